"""The microphone, on a real sound server's monitor."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest

from coach.config import read_settings, write_player_file
from coach.edges.engine.engine_link import EngineLink
from coach.edges.sound.calibration_file import (
    gear_pair,
    read_round_trip,
    write_round_trip,
)
from coach.edges.sound.microphone import Microphone
from coach.edges.sound.microphone_settings import read_microphone_settings
from coach.edges.sound.sound_devices import SoundDevice
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.gear.gear import (
    Fact,
    GearLost,
    GearReport,
    LevelHeard,
    ManualClock,
    SoundHeard,
    TrackEnded,
)
from coach.rehearsal.hearing.calibration import (
    RoundTrip,
    RoundTripSettings,
    lay_round_trip,
    measure_round_trip,
)
from coach.rehearsal.hearing.onsets import find_heard_onsets
from coach.score.tempo import Seconds
from tests.edges.conftest import OpenLink
from tests.jack_stand import PATIENCE_S, wait_until
from tests.pulseaudio_stand import RATE_HZ, SINK, PulseServer
from tests.system_packages import need_sound_library


@pytest.fixture
def own_pulse(monkeypatch: pytest.MonkeyPatch) -> Iterator[PulseServer]:
    """Run a server that a test may kill."""
    server = PulseServer()
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    yield server
    server.close()


def blocks_of(facts: list[Fact]) -> list[SoundHeard]:
    return [fact for fact in facts if isinstance(fact, SoundHeard)]


def levels_of(facts: list[Fact]) -> list[LevelHeard]:
    return [fact for fact in facts if isinstance(fact, LevelHeard)]


def asked(link: EngineLink) -> GearReport:
    report = link.ask(PATIENCE_S)
    assert report is not None
    return report


def open_room(link: EngineLink, facts: list[Fact]) -> None:
    """Listen, and wait until something is heard."""
    link.listen_to_room(True)
    wait_until(lambda: blocks_of(facts))


def measure(link: EngineLink, facts: list[Fact]) -> RoundTrip:
    """Play clicks and measure how they are heard."""
    settings = read_settings(RoundTripSettings, "sound", "round_trip")
    track = lay_round_trip(read_settings(ClickSettings, "click", "track"), settings)
    facts.clear()
    link.play(track)
    wait_until(lambda: any(isinstance(fact, TrackEnded) for fact in facts))
    due = [click.due for click in track.clicks]
    return measure_round_trip(due, find_heard_onsets(blocks_of(facts)), settings)


@pytest.mark.usefixtures("pulse")
def test_once_calibrated_clicks_are_heard_when_due(
    open_link: OpenLink,
) -> None:
    """Within 2 ms over restarts: the drivers' own stamps differ by more than that."""
    link, facts = open_link(sound="on")
    write_player_file({"sound": {"round_trip": {"clicks_count": 8, "apart_s": 0.25}}})
    open_room(link, facts)
    trip = measure(link, facts)
    report = asked(link)
    assert report.round_trip is None
    whole = Seconds(report.latency + report.microphone_latency + trip.delay)
    pair = gear_pair(report.sound, report.microphone, read_microphone_settings())
    write_round_trip(pair, whole)
    link.close()
    other, told = open_link(sound="on")
    open_room(other, told)
    again = measure(other, told)
    assert abs(again.delay) < 0.002
    assert asked(other).round_trip is not None


def play_tone(level: float, seconds: float) -> None:
    """Let another program play a tone into what the microphone hears."""
    time_s = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    tone = (level * np.sin(2 * np.pi * 440.0 * time_s)).astype("<f4")
    subprocess.run(
        [
            *("pacat", "-d", SINK, "--format=float32le", "--channels=1"),
            f"--rate={RATE_HZ}",
        ],
        input=tone.tobytes(),
        stderr=subprocess.DEVNULL,
        timeout=PATIENCE_S,
        check=True,
    )


@pytest.mark.usefixtures("pulse")
def test_level_is_in_decibels_below_full_scale(open_link: OpenLink) -> None:
    """A sine of a tenth of full scale has its effective value at -23.0 dB."""
    link, facts = open_link()
    open_room(link, facts)
    wait_until(lambda: levels_of(facts))
    assert levels_of(facts)[-1].level_db == -90.0
    facts.clear()
    play_tone(0.1, 1.5)
    loudest = max(level.level_db for level in levels_of(facts))
    assert loudest == pytest.approx(20 * np.log10(0.1 / np.sqrt(2)), abs=0.3)
    assert not any(level.is_overloaded for level in levels_of(facts))


@pytest.mark.usefixtures("pulse")
def test_a_room_that_is_too_loud_is_told(open_link: OpenLink) -> None:
    link, facts = open_link()
    open_room(link, facts)
    facts.clear()
    play_tone(1.0, 1.0)
    assert any(level.is_overloaded for level in levels_of(facts))
    assert any(block.is_overloaded for block in blocks_of(facts))


@pytest.mark.usefixtures("pulse")
def test_blocks_follow_each_other_without_a_gap(open_link: OpenLink) -> None:
    link, facts = open_link()
    open_room(link, facts)
    wait_until(lambda: len(blocks_of(facts)) >= 20)
    blocks = blocks_of(facts)[:20]
    assert not any(block.has_gap for block in blocks)
    for before, after in pairwise(blocks):
        length = len(before.samples) / 4 / before.rate_hz
        assert after.at - before.at == pytest.approx(length, abs=0.0015)


class PaperDriver:
    """Stands in for the sound library: a device that brings blocks at once."""

    PortAudioError = OSError
    OutputStream = None

    def __init__(self) -> None:
        self.clock = ManualClock(Seconds(100.0))
        self.uneven = 0
        """How many blocks come late, each later than the one before, at first."""

    def InputStream(self, callback: Callable[..., None], **_: object) -> PaperDriver:  # noqa: N802
        """Open the device."""
        self._callback = callback
        return self

    def start(self) -> None:
        """Bring blocks until the device has run evenly for a second."""
        self.bring(self.uneven, late_s=0.001)
        self.bring(100)

    def bring(self, count: int, late_s: float = 0.0) -> None:
        """Bring some blocks of 10 ms, each in the air 10 ms before."""
        for _ in range(count):
            self.clock.wait_until(Seconds(self.clock.now() + 0.01 + late_s))
            times = SimpleNamespace(inputBufferAdcTime=0.99, currentTime=1.0)
            heard = np.zeros((480, 1), dtype=np.float32)
            self._callback(heard, 480, times, SimpleNamespace(input_overflow=False))

    def abort(self) -> None:
        """Stop at once."""

    def close(self) -> None:
        """Let the device go."""


@pytest.fixture
def driver(monkeypatch: pytest.MonkeyPatch) -> PaperDriver:
    made = PaperDriver()
    monkeypatch.setitem(sys.modules, "sounddevice", made)
    return made


def open_on(driver: PaperDriver) -> Microphone:
    device = SoundDevice(0, "paper", "input", 1)
    return Microphone(device, read_microphone_settings(), driver.clock)


def test_a_device_that_takes_long_to_run_evenly_begins_without_a_gap(
    driver: PaperDriver,
) -> None:
    """More blocks come meanwhile than are kept; nobody was told of any of them."""
    driver.uneven = 300
    microphone = open_on(driver)
    blocks = blocks_of(list(microphone.facts()))
    assert len(blocks) > 20
    assert not any(block.has_gap for block in blocks)
    microphone.close()


def test_blocks_that_were_dropped_leave_a_gap_between_two_facts(
    driver: PaperDriver,
) -> None:
    """The engine asks too late; the sound before and after is stamped rightly."""
    microphone = open_on(driver)
    before = blocks_of(list(microphone.facts()))
    driver.bring(2)
    before += blocks_of(list(microphone.facts()))
    driver.bring(300)
    after = blocks_of(list(microphone.facts()))
    assert not any(block.has_gap for block in before)
    assert [block.has_gap for block in after[:3]] == [False, True, False]
    assert len(after[0].samples) == 2 * 480 * 4
    assert after[1].at - after[0].at == pytest.approx((2 + 300 - 256) * 0.01)
    for one, next_one in pairwise(after[1:]):
        assert next_one.at - one.at == pytest.approx(0.05)
    microphone.close()


def test_a_microphone_that_goes_is_told_and_found_again(
    own_pulse: PulseServer, open_link: OpenLink
) -> None:
    link, facts = open_link()
    open_room(link, facts)
    own_pulse.kill()
    wait_until(lambda: any(isinstance(f, GearLost) and not f.is_back for f in facts))
    own_pulse.start()
    wait_until(lambda: any(isinstance(f, GearLost) and f.is_back for f in facts))
    facts.clear()
    wait_until(lambda: blocks_of(facts))


def test_without_a_microphone_one_sentence_is_told(
    open_link: OpenLink, monkeypatch: pytest.MonkeyPatch
) -> None:
    need_sound_library()
    monkeypatch.setenv("PULSE_SERVER", "unix:/nowhere/native")
    link, facts = open_link()
    link.listen_to_room(True)
    wait_until(lambda: any(isinstance(fact, GearLost) for fact in facts))
    told = [fact.message for fact in facts if isinstance(fact, GearLost)]
    assert len(told) == 1
    assert told[0].startswith("This machine has no microphone.")
    link.listen_to_room(True)
    wait_until(lambda: sum(isinstance(fact, GearLost) for fact in facts) == 2)


@pytest.mark.usefixtures("pulse")
def test_a_room_that_nobody_wants_is_let_go(open_link: OpenLink) -> None:
    link, facts = open_link()
    open_room(link, facts)
    assert asked(link).microphone
    link.listen_to_room(False)
    wait_until(lambda: not asked(link).microphone)
    facts.clear()
    assert not blocks_of(facts)
    assert read_round_trip(gear_pair("x", "y", read_microphone_settings())) is None
