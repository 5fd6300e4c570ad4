"""How the next run is to be: the next answer to each question, as one key asks it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from coach.planning.naming import say_count
from coach.rehearsal.run.playing import A_BEAT, less_room, say_room
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.tempo import Seconds

SUBDIVISIONS = (1, 2, 3, 4)
RESTS_S = (0.0, 5.0, 15.0, 30.0)
MOST_COUNT_IN_BARS = 2
MOST_LEAD_IN_BARS = 2
SILENT_BARS = 2


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked for."""

    wishes: RunWishes
    """All wishes, with this one."""

    words: str
    """The same for the player."""

    holds_at_once: bool = False
    """It holds in a run that plays too."""


def by_breath(wishes: RunWishes) -> Wish:
    """Cut segments by breath or by bars."""
    if wishes.segment_by == "bars":
        return Wish(replace(wishes, segment_by="breath"), "segments by breath")
    return Wish(replace(wishes, segment_by="bars"), "segments by bars")


def lead_in(wishes: RunWishes) -> Wish:
    """Play more or fewer bars before the segment."""
    bars = (wishes.lead_in_bars + 1) % (MOST_LEAD_IN_BARS + 1)
    words = f"lead-in: {say_count(bars, 'bar')}" if bars else "no lead-in"
    return Wish(replace(wishes, lead_in_bars=bars), words)


def overlap(wishes: RunWishes) -> Wish:
    """Play on into the next downbeat, or not."""
    words = "to the segment's end" if wishes.overlaps else "into the next downbeat"
    return Wish(replace(wishes, overlaps=not wishes.overlaps), words)


def from_end(wishes: RunWishes) -> Wish:
    """Join parts from the end of the page, or from its beginning."""
    is_from_end = not wishes.is_from_end
    end = "end of the page: the last comes first" if is_from_end else "beginning"
    return Wish(replace(wishes, is_from_end=is_from_end), f"parts from the {end}")


def room(wishes: RunWishes) -> Wish:
    """Put a beat of rest at each breath, half of one, or none."""
    beats = less_room(wishes.room_beats) if wishes.room_beats else A_BEAT
    words = f"{say_room(beats)} at each breath" if beats else "breaths in time"
    return Wish(replace(wishes, room_beats=beats), words)


def subdivide(wishes: RunWishes) -> Wish:
    """Divide the beat differently."""
    larger = [parts for parts in SUBDIVISIONS if parts > wishes.click.subdivision]
    parts = larger[0] if larger else SUBDIVISIONS[0]
    words = f"click {parts} to a beat" if parts > 1 else "click the beat"
    return _click(wishes, words, subdivision=parts)


def count_in(wishes: RunWishes) -> Wish:
    """Count in more or fewer bars."""
    bars = (wishes.click.count_in_bars + 1) % (MOST_COUNT_IN_BARS + 1)
    words = f"count-in: {say_count(bars, 'bar')}" if bars else "no count-in"
    click = replace(wishes.click, count_in_bars=bars)
    return Wish(replace(wishes, click=click), words)


def guide(wishes: RunWishes) -> Wish:
    """Play guide notes, or not."""
    words = "guide notes off" if wishes.click.guide else "guide notes on"
    return _click(wishes, words, guide=not wishes.click.guide)


def drone(wishes: RunWishes) -> Wish:
    """Hold the tonic, or not."""
    words = "drone off" if wishes.click.drone else "drone on the tonic"
    return _click(wishes, words, drone=not wishes.click.drone)


def cues(wishes: RunWishes) -> Wish:
    """Let a soft sound come before each breath, or not."""
    is_on = wishes.click.cues
    words = "no sound before breaths" if is_on else "a sound before breaths"
    return _click(wishes, words, cues=not is_on)


def silent_bars(wishes: RunWishes) -> Wish:
    """Let the click come and go, to test oneself, or stay."""
    bars = 0 if wishes.click.silent_bars else SILENT_BARS
    words = f"click for {bars} bars, silent for {bars}" if bars else "click throughout"
    return _click(wishes, words, play_bars=bars, silent_bars=bars)


def ladder(wishes: RunWishes) -> Wish:
    """Let the tempo move by itself, or not."""
    words = "ladder off" if wishes.is_ladder_on else "ladder on"
    return Wish(replace(wishes, is_ladder_on=not wishes.is_ladder_on), words)


def rest(wishes: RunWishes) -> Wish:
    """Rest more or less between runs in a row."""
    longer = [seconds for seconds in RESTS_S if seconds > wishes.rest]
    seconds = Seconds(longer[0] if longer else RESTS_S[0])
    words = f"rest {seconds:g} seconds" if seconds else "no rest between runs"
    return Wish(replace(wishes, rest=seconds), words)


def microphone(wishes: RunWishes) -> Wish:
    """Be heard from the next run on, or no more, from now on."""
    if wishes.listens:
        words = "the microphone is off"
        return Wish(replace(wishes, listens=False), words, holds_at_once=True)
    words = "the microphone hears you: marks are proposed after the run"
    return Wish(replace(wishes, listens=True), words)


def runs_in_a_row(wishes: RunWishes, count: int) -> Wish:
    """Play so many runs in a row."""
    words = f"{count} runs in a row" if count > 1 else "one run at a time"
    return Wish(replace(wishes, runs_in_a_row=count), words)


def _click(wishes: RunWishes, words: str, **changes: int | bool) -> Wish:
    """Ask for another click, also in the run that plays."""
    click = replace(wishes.click, **changes)  # type: ignore[arg-type]  # its own fields
    return Wish(replace(wishes, click=click), words, holds_at_once=True)


NEXT_WISHES: Mapping[str, Callable[[RunWishes], Wish]] = {
    ask.__name__: ask
    for ask in (
        *(by_breath, lead_in, overlap, from_end, room, subdivide, count_in, guide),
        *(drone, cues, silent_bars, ladder, rest, microphone),
    )
}
"""The answer that comes next, by the name that stands in the table of keys."""
