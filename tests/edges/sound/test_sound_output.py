"""The built-in sound through a real sound server, recorded by another program."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from coach.config import read_settings
from coach.edges.engine.engine_link import EngineLink
from coach.edges.sound.sound_output import OutputSettings
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind, lay_take
from coach.rehearsal.gear.gear import ClickSent, Fact, GearLost, SoundHeard, TrackEnded
from coach.score.tempo import Seconds
from tests.edges.conftest import OpenLink, engine_of
from tests.jack_stand import PATIENCE_S, wait_until
from tests.pulseaudio_stand import RATE_HZ, PulseServer, Recording, starts
from tests.system_packages import need_sound_library

STEP = RATE_HZ // 8
"""Samples of a sixteenth at 120."""


def sixteenths(count: int) -> ClickTrack:
    clicks = tuple(
        Click(Seconds(k / 8), Seconds(0.05), SoundKind.BEAT, 9, 77, 100)
        for k in range(count)
    )
    return ClickTrack(clicks, Seconds(0.0), Seconds(count / 8))


def ended(facts: list[Fact]) -> bool:
    return any(isinstance(fact, TrackEnded) for fact in facts)


def clicks_told(facts: list[Fact]) -> list[ClickSent]:
    return [fact for fact in facts if isinstance(fact, ClickSent)]


@pytest.fixture
def own_pulse(monkeypatch: pytest.MonkeyPatch) -> Iterator[PulseServer]:
    """Run a server that a test may kill."""
    server = PulseServer()
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    yield server
    server.close()


def record(
    pulse: PulseServer, link: EngineLink, facts: list[Fact], count: int
) -> NDArray[np.float32]:
    """Play sixteenths and give what was recorded of them."""
    recording = Recording(pulse)
    link.play(sixteenths(count))
    wait_until(lambda: ended(facts))
    time.sleep(0.3)
    return recording.end()


def test_recorded_clicks_are_on_the_sample_grid(
    pulse: PulseServer, open_link: OpenLink
) -> None:
    link, facts = open_link(sound="on")
    assert "built-in sound" in link.says
    sound = record(pulse, link, facts, 24)
    found = starts(sound)
    assert np.diff(found).tolist() == [STEP] * 23
    told = clicks_told(facts)
    assert [click.due for click in told] == [k / 8 for k in range(24)]
    assert all(click.is_heard for click in told)
    assert max(abs(click.sent - click.due) for click in told) < 0.002
    assert np.abs(sound).max() < 0.3, "a modest volume"


def test_after_an_underrun_no_click_is_off_the_grid(
    pulse: PulseServer, open_link: OpenLink
) -> None:
    """The device runs dry: clicks may be missing, but those that sound are in place."""
    link, facts = open_link(sound="on")
    recording = Recording(pulse)
    link.play(sixteenths(32))
    wait_until(lambda: len(clicks_told(facts)) >= 10)
    os.kill(engine_of(link), signal.SIGSTOP)
    time.sleep(0.35)
    os.kill(engine_of(link), signal.SIGCONT)
    wait_until(lambda: ended(facts))
    time.sleep(0.3)
    found = starts(recording.end())
    assert 20 <= len(found) < 32
    off = (found - found[0] + STEP // 2) % STEP - STEP // 2
    # A move of the device's time up to this is taken for its clock's, which run time
    # goes with: so far off the old grid the new one may lie where the machine is busy.
    parts_s = read_settings(OutputSettings, "sound", "output").clock_parts_s
    assert np.abs(off).max() < parts_s * RATE_HZ, off
    gap = np.diff(found).max() / STEP
    assert gap < 16, "back within two seconds, however busy the machine"
    report = link.ask(PATIENCE_S)
    assert report is not None
    assert report.dropped >= 1


@pytest.mark.parametrize("choice", ["on", "off"])
def test_a_take_is_heard_through_the_sound_even_where_the_click_is_not(
    pulse: PulseServer, open_link: OpenLink, choice: str
) -> None:
    link, facts = open_link(sound=choice)
    take = np.zeros(RATE_HZ, "<f4")
    take[[RATE_HZ // 4, RATE_HZ // 2]] = 0.5
    recording = Recording(pulse)
    for half in np.split(take, 2):
        link.hold_take(SoundHeard(Seconds(3.0), RATE_HZ, half.tobytes()))
    link.play(lay_take(Seconds(3.0), Seconds(4.0)))
    wait_until(lambda: ended(facts))
    time.sleep(0.3)
    sound = recording.end()
    assert np.abs(sound).max() == pytest.approx(0.5, abs=0.02)
    assert np.diff(starts(sound)).tolist() == [RATE_HZ // 4]
    link.stop()
    wait_until(lambda: ("built-in sound" in link.says) is (choice == "on"))


def test_a_stop_is_heard_at_once(pulse: PulseServer, open_link: OpenLink) -> None:
    link, facts = open_link(sound="on")
    report = link.ask(PATIENCE_S)
    assert report is not None
    recording = Recording(pulse)
    link.play(sixteenths(400))
    wait_until(lambda: len(clicks_told(facts)) >= 4)
    link.stop()
    time.sleep(1.5)
    found = starts(recording.end())
    assert 4 <= len(found) <= 8
    assert 0.0 < report.latency < 0.3


def test_a_sound_server_that_dies_is_told_and_found_again(
    own_pulse: PulseServer, open_link: OpenLink
) -> None:
    link, facts = open_link(sound="on")
    own_pulse.kill()
    wait_until(lambda: any(isinstance(f, GearLost) and not f.is_back for f in facts))
    wait_until(lambda: "no sound" in link.says)
    own_pulse.start()
    wait_until(lambda: any(isinstance(f, GearLost) and f.is_back for f in facts))
    sound = record(own_pulse, link, facts, 8)
    assert np.diff(starts(sound)).tolist() == [STEP] * 7


def test_without_a_sound_device_the_beat_is_shown(
    open_link: OpenLink, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    need_sound_library()
    monkeypatch.setenv("PULSE_SERVER", f"unix:{tmp_path}/nobody")
    link, facts = open_link(sound="on")
    assert "the beat is shown" in link.says
    assert "no sound device" in link.says
    link.play(sixteenths(4))
    wait_until(lambda: ended(facts))
    assert [click.is_heard for click in clicks_told(facts)] == [False] * 4


def test_a_take_that_cannot_sound_is_told(
    open_link: OpenLink, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    need_sound_library()
    monkeypatch.setenv("PULSE_SERVER", f"unix:{tmp_path}/nobody")
    link, facts = open_link(sound="off")
    link.hold_take(SoundHeard(Seconds(0.0), RATE_HZ, bytes(4 * RATE_HZ)))
    link.play(lay_take(Seconds(0.0), Seconds(1.0)))
    wait_until(lambda: any(isinstance(fact, GearLost) for fact in facts))
    (lost,) = (fact for fact in facts if isinstance(fact, GearLost))
    assert "no sound device" in lost.message
    assert not ended(facts)


LIBRARY_IS_MISSING = 'raise OSError("PortAudio library not found")\n'
MODULE_IS_MISSING = "raise ModuleNotFoundError(\"No module named 'sounddevice'\")\n"


@pytest.mark.parametrize(
    ("says", "sentence"),
    [
        (LIBRARY_IS_MISSING, "the library PortAudio"),
        (MODULE_IS_MISSING, "pip install sounddevice"),
    ],
)
def test_without_the_sound_library_one_sentence_says_what_mends_it(
    open_link: OpenLink,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    says: str,
    sentence: str,
) -> None:
    """What its import raises where PortAudio is missing, and where itself is."""
    (tmp_path / "sounddevice.py").write_text(says)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    link, facts = open_link(sound="on")
    assert sentence in link.says
    report = link.ask(PATIENCE_S)
    assert report is not None
    assert [remark for remark in report.remarks if sentence in remark]
    link.play(sixteenths(4))
    wait_until(lambda: ended(facts))
    assert len(clicks_told(facts)) == 4


def test_the_screens_process_loads_no_sound_library() -> None:
    """They take time and write to the terminal: only the engine has them."""
    code = (
        "import coach.screens.app, coach.wiring.studio.real_studio\n"
        "import coach.wiring.real_gear, coach.edges.engine.engine_link, sys\n"
        "print({'sounddevice', 'numpy', 'rtmidi'} & set(sys.modules))"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert told.stdout.strip() == "set()"
