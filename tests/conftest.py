"""What every room's tests share: a folder of their own, and real sound."""

from __future__ import annotations

import atexit
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from coach.config import shipped
from coach.edges.log import log_file
from coach.edges.scores.score_files import read_part
from coach.edges.scores.score_process import ScoreChild
from tests.pulseaudio_stand import PulseServer

# Settings, cache and log stay out of the folder of whoever runs the tests.  Each worker
# has a folder of its own, and before the rooms' tests are imported: some read settings
# on the way.  A worker ends without unconfiguring.
OWN_HOME = os.environ["COACH_HOME"] = tempfile.mkdtemp(prefix="home-of-tests-")
atexit.register(shutil.rmtree, OWN_HOME, ignore_errors=True)

# Workers share the cores: the ear's child computes on one as well.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# A busy machine must not fail a property that holds, and `CI` not stop the search.
settings.register_profile(
    "patient",
    deadline=None,
    derandomize=False,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("patient")

TESTS = Path(__file__).parent
collect_ignore = [] if find_spec("rtmidi") else ["midi_peer.py"]
"""Where no MIDI library is, no examples are looked for in what plays a MIDI device."""

UNGATED = ("commands", "edges", "plain", "screens", "wiring")
"""Tests of rooms that are not pure: pure rooms are covered by tests of their own."""

PATIENT = "[scores.limits]\nwall_s = 600.0\n"
"""A busy machine may take its time to load what reads scores."""


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """Name no test after bytes: a packed file holds its time; workers must agree."""
    return argname if isinstance(val, bytes) else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Measure no lines where the gate asks for none: it takes as long as the tests."""
    for item in items:
        if any(item.path.is_relative_to(TESTS / room) for room in UNGATED):
            item.add_marker("no_cover")


@pytest.fixture(scope="session")
def read_etudes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Read every shipped etude once, for all tests; give the cache that keeps them."""
    home = tmp_path_factory.mktemp("read")
    (home / "player.toml").write_text(PATIENT, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COACH_HOME", str(home))
        with ScoreChild() as child:
            for path in sorted(shipped("etudes").glob("*.musicxml")):
                read_part(path, child=child)
    own = Path(OWN_HOME)
    shutil.copytree(home / "cache", own / "cache", dirs_exist_ok=True)
    return home / "cache"


@pytest.fixture(autouse=True)
def logs_closed_behind_each_test(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Close the logs that a test has opened: Python 3.13 warns of those left open."""
    opened: list[sqlite3.Connection] = []
    connect = log_file._connect

    def connect_and_note(path: Path) -> sqlite3.Connection:
        opened.append(connect(path))
        return opened[-1]

    monkeypatch.setattr(log_file, "_connect", connect_and_note)
    yield
    for database in opened:
        database.close()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read_etudes: Path) -> Path:
    """Give a test a player who has seen the shelf and nothing else."""
    folder = tmp_path / "home"
    shutil.copytree(read_etudes, folder / "cache")
    monkeypatch.setenv("COACH_HOME", str(folder))
    return folder


@pytest.fixture(scope="session")
def pulse_of_the_session() -> Iterator[PulseServer]:
    """Run a PulseAudio server without a sound card, for all that need one."""
    server = PulseServer()
    yield server
    server.close()


@pytest.fixture
def pulse(
    pulse_of_the_session: PulseServer, monkeypatch: pytest.MonkeyPatch
) -> PulseServer:
    """Let this test's processes be clients of the session's server."""
    for name, value in pulse_of_the_session.environment.items():
        monkeypatch.setenv(name, value)
    return pulse_of_the_session
