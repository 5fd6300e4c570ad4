"""Measure the gear: how late clicks are, and how late the microphone hears them."""

from __future__ import annotations

from dataclasses import dataclass
from queue import Empty, SimpleQueue
from statistics import median

from coach.commands.gear_desk import lay_bars
from coach.config import read_settings
from coach.edges.engine_link import EngineLink
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.rehearsal.clicks import ClickSettings, ClickTrack
from coach.rehearsal.gear import (
    ClickSent,
    Fact,
    GearLost,
    GearReport,
    SoundHeard,
    TrackEnded,
)
from coach.rehearsal.round_trip import (
    RoundTrip,
    RoundTripSettings,
    lay_round_trip,
    measure_round_trip,
)
from coach.score.tempo import Seconds

TEST_BARS = 5
PARTS_OF_BEAT = 4
"""Ten seconds of sixteenths at 120."""

SPARE_S = 5.0
"""How much longer than it lasts a track may take before the engine counts as stuck."""

PERCENT_99 = 0.99
LOOK_AGAIN_S = 0.2


@dataclass(frozen=True, slots=True)
class Lateness:
    """How late the clicks of a test were."""

    count: int
    """How many were due."""

    heard: int
    """How many went out to gear."""

    median: Seconds
    """Of the middle one."""

    p99: Seconds
    """Of the one in a hundred."""

    worst: Seconds
    """Of the latest."""


def time_clicks(link: EngineLink) -> Lateness:
    """Play ten seconds of clicks and tell how late they were."""
    facts = _play(link, lay_bars(TEST_BARS, PARTS_OF_BEAT))
    clicks = [fact for fact in facts if isinstance(fact, ClickSent)]
    late = sorted(Seconds(abs(click.sent - click.due)) for click in clicks)
    if not late:
        raise GearError("The click engine played nothing.", "Try again.")
    return Lateness(
        count=len(late),
        heard=sum(click.is_heard for click in clicks),
        median=Seconds(median(late)),
        p99=late[int(PERCENT_99 * (len(late) - 1))],
        worst=late[-1],
    )


def calibrate(link: EngineLink, patience_s: float) -> RoundTrip:
    """Play clicks, hear them, and keep how late they are heard with this gear."""
    from coach.edges.microphone import gear_pair, read_microphone_settings
    from coach.edges.round_trips import write_round_trip
    from coach.rehearsal.onsets import find_heard_onsets

    settings = read_settings(RoundTripSettings, "sound", "round_trip")
    track = lay_round_trip(read_settings(ClickSettings, "click", "track"), settings)
    found = _open_room(link, patience_s)
    output = found.sound or found.midi_out
    if not output:
        raise GearError("Nothing sounds, so there is nothing to hear.", "coach gear")
    try:
        facts = _play(link, track)
        found = link.ask(patience_s) or found
    finally:
        link.listen_to_room(False)
    blocks = [fact for fact in facts if isinstance(fact, SoundHeard)]
    due = [click.due for click in track.clicks]
    trip = measure_round_trip(due, find_heard_onsets(blocks), settings)
    pair = gear_pair(output, found.microphone, read_microphone_settings())
    known = found.latency + found.microphone_latency + (found.round_trip or 0.0)
    write_round_trip(pair, Seconds(known + trip.delay))
    return trip


def _open_room(link: EngineLink, patience_s: float) -> GearReport:
    """Open the microphone; say why it does not open."""
    facts: SimpleQueue[Fact] = SimpleQueue()
    link.listen(facts.put)
    link.listen_to_room(True)
    clock = SystemClock()
    ends = clock.now() + patience_s
    while clock.now() < ends:
        found = link.ask(patience_s)
        if found is not None and found.microphone:
            return found
        while not facts.empty():
            fact = facts.get()
            if isinstance(fact, GearLost) and not fact.is_back:
                raise GearError(fact.message)
        clock.wait_until(Seconds(clock.now() + LOOK_AGAIN_S))
    raise GearError("The microphone does not open.", "Choose another: coach gear")


def _play(link: EngineLink, track: ClickTrack) -> list[Fact]:
    """Play a track to its end; give all that was told meanwhile."""
    facts: SimpleQueue[Fact] = SimpleQueue()
    link.listen(facts.put)
    link.play(track)
    told: list[Fact] = []
    while not (told and isinstance(told[-1], TrackEnded)):
        try:
            told.append(facts.get(timeout=track.ends - track.starts + SPARE_S))
        except Empty:
            raise GearError("The click engine is stuck.", "Try again.") from None
    return told
