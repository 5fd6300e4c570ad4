"""The microphone, on a real sound server's monitor."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest

from coach.config import read_settings, write_player_file
from coach.edges.engine_link import EngineLink
from coach.edges.microphone_settings import read_microphone_settings
from coach.edges.round_trips import gear_pair, read_round_trip, write_round_trip
from coach.rehearsal.click_settings import ClickSettings
from coach.rehearsal.gear import (
    Fact,
    GearLost,
    GearReport,
    LevelHeard,
    SoundHeard,
    TrackEnded,
)
from coach.rehearsal.onsets import find_heard_onsets
from coach.rehearsal.round_trip import (
    RoundTrip,
    RoundTripSettings,
    lay_round_trip,
    measure_round_trip,
)
from coach.score.tempo import Seconds
from tests.edges.conftest import OpenLink
from tests.jack_stand import wait_until
from tests.pulse_stand import RATE_HZ, SINK, PulseServer


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
    report = link.ask(10.0)
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
        timeout=20.0,
        check=True,
    )


@pytest.mark.usefixtures("pulse")
def test_level_is_in_decibels_below_full_scale(open_link: OpenLink) -> None:
    """A sine of a tenth of full scale has its effective value at -23.0 dB."""
    link, facts = open_link()
    open_room(link, facts)
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
    monkeypatch.setenv("PULSE_SERVER", "unix:/nowhere/native")
    link, facts = open_link()
    link.listen_to_room(True)
    wait_until(lambda: any(isinstance(fact, GearLost) for fact in facts))
    told = [fact.message for fact in facts if isinstance(fact, GearLost)]
    assert len(told) == 1
    assert told[0].startswith("This machine has no microphone.")


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
