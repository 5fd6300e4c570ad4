"""Real MIDI ports for the edges: a JACK server for the session, gear for a test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from coach.config import read_settings
from coach.edges.engine.engine_link import EngineLink
from coach.rehearsal.gear.gear import Fact
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.rehearsal.gear.pedals import PedalKeys
from tests.jack_stand import PATIENCE_S, Gear, JackServer

PEDALS = PedalKeys("control 66", "key 36", "control 64", "control 67")


def engine_of(link: EngineLink) -> int:
    """Give the process number of a link's engine."""
    return link._life.process.pid


@pytest.fixture(scope="session")
def jack_of_the_session() -> Iterator[JackServer]:
    """Run a JACK server, for all that need one."""
    server = JackServer()
    yield server
    server.stop()


@pytest.fixture
def jack(
    jack_of_the_session: JackServer, monkeypatch: pytest.MonkeyPatch
) -> JackServer:
    """Let this test's processes be clients of the session's server."""
    for name, value in jack_of_the_session.environment.items():
        monkeypatch.setenv(name, value)
    return jack_of_the_session


@pytest.fixture
def gear(jack: JackServer) -> Iterator[Gear]:
    """Give a synth with a pedal."""
    made = Gear(jack, "synth")
    yield made
    made.close()


OpenLink = Callable[..., tuple[EngineLink, list[Fact]]]


@pytest.fixture
def open_link(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenLink]:
    """Open engines that are ready, each with the list of what it tells."""
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    opened: list[EngineLink] = []

    def open_one(**choice: str) -> tuple[EngineLink, list[Fact]]:
        shipped = read_settings(GearChoice, "click", "gear")
        values = {name: getattr(shipped, name) for name in shipped.__slots__}
        link = EngineLink(GearChoice(**{**values, "sound": "off", **choice}), PEDALS)
        opened.append(link)
        facts: list[Fact] = []
        link.listen(facts.append)
        assert link.wait_until_ready(PATIENCE_S)
        return link, facts

    yield open_one
    for link in opened:
        link.close(PATIENCE_S)
