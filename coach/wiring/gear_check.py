"""Measure the gear: how late clicks are, and how late the microphone hears them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from statistics import median

from coach.config import read_settings
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_choice, read_pedals
from coach.edges.sound.calibration_file import gear_pair, write_round_trip
from coach.edges.sound.microphone_settings import read_microphone_settings
from coach.edges.sound.onsets_apart import find_onsets_apart
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.rehearsal.click.bars_of_four import lay_bars
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import (
    ClickSent,
    Fact,
    GearLost,
    GearReport,
    SoundHeard,
    TrackEnded,
)
from coach.rehearsal.hearing.calibration import (
    Calibration,
    RoundTripSettings,
    lay_round_trip,
    measure_round_trip,
)
from coach.score.tempo import Seconds

SPARE_S = 5.0
"""How much longer than it lasts a track may take before the engine counts as stuck."""

PERCENT_99 = 0.99
LOOK_AGAIN_S = 0.2
"""How often a player may give up before anything is heard."""

OPENS_WITHIN_S = 30.0
"""How long a microphone may say neither that it hears nor why it does not: a bound for
drivers that hang, since the engine tells either as soon as it knows."""


@dataclass(frozen=True, slots=True)
class SelfTest:
    """The keys of ``[self_test]`` in click.toml."""

    bars_count: int
    """Bars of four that are clicked, at 120."""

    parts_of_beat_count: int
    """Clicks in each beat."""


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


def _to_the_end(_done: float) -> bool:
    """Go on, whatever is done."""
    return True


def time_clicks(link: EngineLink) -> Lateness:
    """Play some seconds of clicks and tell how late they were."""
    settings = read_settings(ClickSettings, "click", "track")
    test = read_settings(SelfTest, "click", "self_test")
    track = lay_bars(test.bars_count, test.parts_of_beat_count, settings)
    facts = _play(link, track) or []
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


def calibrate(
    link: EngineLink, go_on: Callable[[float], bool] = _to_the_end
) -> Calibration | None:
    """Play clicks, hear them, and keep how late they are heard with this gear.

    `go_on` is told again and again what share of it is done, and says whether it is
    wanted still; None when it was not.  The microphone is left open.
    """
    settings = read_settings(RoundTripSettings, "sound", "round_trip")
    track = lay_round_trip(read_settings(ClickSettings, "click", "track"), settings)
    found = _open_room(link, go_on)
    if found is None:
        return None
    output = found.sound or found.midi_out
    if not output:
        raise GearError(
            "Nothing sounds, so there is nothing to hear.",
            " ".join(found.remarks) or "Choose a sound device or a MIDI port first.",
        )
    facts = _play(link, track, go_on)
    if facts is None:
        return None
    found = link.ask(OPENS_WITHIN_S) or found
    blocks = [fact for fact in facts if isinstance(fact, SoundHeard)]
    due = [click.due for click in track.clicks]
    trip = measure_round_trip(due, find_onsets_apart(blocks), settings)
    known = found.latency + found.microphone_latency + (found.round_trip or 0.0)
    whole = Seconds(known + trip.delay)
    pair = gear_pair(output, found.microphone, read_microphone_settings())
    write_round_trip(pair, whole)
    link.choose(read_choice(), read_pedals())  # so that it is allowed for at once
    return Calibration(trip, len(due), whole, output, found.microphone)


def _open_room(link: EngineLink, go_on: Callable[[float], bool]) -> GearReport | None:
    """Open the microphone, or say why it does not open; None when it is not wanted.

    The engine tells either: it hears something, or the microphone is lost.
    """
    clock = SystemClock()
    ends = clock.now() + OPENS_WITHIN_S
    with _listening(link) as facts:
        link.listen_to_room(True)
        while clock.now() < ends:
            if not go_on(0.0):
                return None
            try:
                fact = facts.get(timeout=LOOK_AGAIN_S)
            except Empty:
                continue
            if isinstance(fact, GearLost) and not fact.is_back:
                raise GearError(fact.message)
            if isinstance(fact, SoundHeard):
                found = link.ask(OPENS_WITHIN_S)
                if found is not None:
                    return found
    raise GearError("The microphone does not open.", "Choose another microphone.")


def _play(
    link: EngineLink,
    track: ClickTrack,
    go_on: Callable[[float], bool] = _to_the_end,
) -> list[Fact] | None:
    """Play a track to its end; give all that was told meanwhile, None if given up."""
    told: list[Fact] = []
    length = track.ends - track.starts
    with _listening(link) as facts:
        link.play(track)
        while not (told and isinstance(told[-1], TrackEnded)):
            try:
                told.append(facts.get(timeout=length + SPARE_S))
            except Empty:
                raise GearError("The click engine is stuck.", "Try again.") from None
            time = link.run_time()
            if time is None and isinstance(told[-1], GearLost):
                raise GearError(told[-1].message, "Try again.")
            gone = 0.0 if time is None else (time - track.starts) / length
            if not go_on(min(max(gone, 0.0), 1.0)):
                link.stop()
                return None
    return told


@contextmanager
def _listening(link: EngineLink) -> Iterator[SimpleQueue[Fact]]:
    """Collect what is told, until the end of the block."""
    facts: SimpleQueue[Fact] = SimpleQueue()
    link.listen(facts.put)
    try:
        yield facts
    finally:
        link.listen_no_more(facts.put)
