"""A part as plain numbers, for those who listen to its line rather than play it.

Conventions
-----------
A *step* is the time from one note's start to the next one's; the last note's step is
its own length.  Steps are logarithms to base 2 of quarter notes, so that one is twice
as long.  A *gap* is what lies between a note and the next: gap k follows note k.
*Place* counts bars, as 2.5 for the middle of the third bar: bars that are short or
long on the page still count as one, or as many as their metre fits in.
"""

from __future__ import annotations

import math
from bisect import bisect_left, insort
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from coach.score.phrase import Bar, Part

SHORTEST_STEP_BEATS = 1 / 32
"""Notes that start nearer than this count as this far apart."""

NEAR_NOTES = 24
"""How many notes on either side make up what is usual around a note."""

ALMOST = 1e-6
"""Places nearer than this are one and the same."""

PLACES_KEPT = 6
"""Decimals by which places in the bar are told apart."""

FIRST_BEAT, HALF_BAR, BEAT, UNIT, HALF_UNIT, OFF_BEAT = 5, 4, 3, 2, 1, 0
"""How strong a place in the bar is; a unit is the metre's lower figure."""


@dataclass(frozen=True, slots=True)
class Melody:
    """One line of notes, each list in playing order."""

    onsets: list[float]
    """Where each note starts, in quarter notes."""

    keys: list[int]
    """Sounding key numbers."""

    lengths: list[float]
    """Written lengths, in quarter notes."""

    steps: list[float]
    """Logarithm of the time to the next note's start; of its length for the last."""

    usual_steps: list[float]
    """Median of the steps around each note."""

    shorter_shares: list[float]
    """How many of the steps around each note are shorter, from 0 to 1."""

    longer_shares: list[float]
    """How many of the steps around each note are longer, from 0 to 1."""

    intervals: list[int]
    """Semitones from each note to the next; one fewer than there are notes."""

    rests: list[float]
    """Quarter notes of silence in each gap."""

    places: list[float]
    """Where each note starts, in bars."""

    phases: list[float]
    """Where in its bar each note starts, from 0 up to 1."""

    levels: list[int]
    """How strong its place in the bar is: 5 on the first beat, 0 off every beat."""

    bar_beats: list[float]
    """Length of a full bar at each note, in quarter notes."""

    beat_beats: list[float]
    """Length of the beat that is counted at each note, in quarter notes."""

    end_place: float
    """Where the last note ends, in bars."""

    @property
    def gaps(self) -> int:
        """How many gaps there are."""
        return len(self.intervals)


def hear_melody(part: Part) -> Melody:
    """Turn a part into plain numbers.

    Parameters
    ----------
    part : Part
        The page; at least one note.
    """
    notes = part.notes
    onsets = [float(note.onset) for note in notes]
    lengths = [float(note.length) for note in notes]
    keys = [note.sounding.midi for note in notes]
    spans = [b - a for a, b in pairwise(onsets)] + [lengths[-1]]
    steps = [math.log2(max(span, SHORTEST_STEP_BEATS)) for span in spans]
    usual, shorter, longer = _compare_around(steps)
    stands = _place_notes(_count_bars(part.bars), onsets)
    return Melody(
        onsets=onsets,
        keys=keys,
        lengths=lengths,
        steps=steps,
        usual_steps=usual,
        shorter_shares=shorter,
        longer_shares=longer,
        intervals=[b - a for a, b in pairwise(keys)],
        rests=[
            max(0.0, span - length)
            for span, length in zip(spans[:-1], lengths, strict=False)
        ],
        places=[stand.place for stand in stands],
        phases=[stand.phase for stand in stands],
        levels=[stand.level for stand in stands],
        bar_beats=[stand.bar_beats for stand in stands],
        beat_beats=[stand.beat_beats for stand in stands],
        end_place=stands[-1].place + lengths[-1] / stands[-1].bar_beats,
    )


def _compare_around(
    steps: list[float],
) -> tuple[list[float], list[float], list[float]]:
    """Give the median around each step, and the shares around it that differ."""
    usual, shorter, longer = [], [], []
    near = sorted(steps[:NEAR_NOTES])
    for k, step in enumerate(steps):
        if k + NEAR_NOTES < len(steps):
            insort(near, steps[k + NEAR_NOTES])
        if k > NEAR_NOTES:
            del near[bisect_left(near, steps[k - NEAR_NOTES - 1])]
        count = len(near)
        usual.append(near[count // 2])
        shorter.append(bisect_left(near, step - ALMOST) / count)
        longer.append(1.0 - bisect_left(near, step + ALMOST) / count)
    return usual, shorter, longer


@dataclass(frozen=True, slots=True)
class _BarStart:
    """Where a bar starts, and its metre, as plain numbers."""

    onset: float
    offset: float
    """How far into a full bar it starts: more than 0 in a pickup."""
    place: float
    full: float
    unit: float
    beat: float


def _count_bars(bars: tuple[Bar, ...]) -> list[_BarStart]:
    """Count the bars; both halves of a bar that is divided are in one."""
    starts: list[_BarStart] = []
    place = 0.0
    reached = 0.0
    for k, bar in enumerate(bars):
        full, unit = float(bar.metre.length), float(bar.metre.unit_beats)
        length = float(bar.length)
        offset = float(bar.first_beat - 1) * unit
        if k == 0 and offset == 0 and length < full and not _is_divided(bars):
            offset = full - length
        if k > 0 and not (offset > 0 and abs(offset - reached) < ALMOST):
            place += max(1, math.ceil((reached - ALMOST) / starts[-1].full))
        onset, beat = float(bar.onset), float(bar.metre.beat)
        starts.append(_BarStart(onset, offset, place, full, unit, beat))
        reached = offset + length
    return starts


def _is_divided(bars: tuple[Bar, ...]) -> bool:
    """Tell whether the second bar is the rest of the first one."""
    if len(bars) == 1:
        return False
    second = bars[1]
    return (second.first_beat - 1) * second.metre.unit_beats == bars[0].length


class _Stand(NamedTuple):
    """Where and how strongly a note stands in its bar."""

    place: float
    phase: float
    level: int
    bar_beats: float
    beat_beats: float


def _place_notes(bars: list[_BarStart], onsets: list[float]) -> list[_Stand]:
    """Find each note's bar, and where and how strongly it stands in it."""
    stands = []
    known: dict[tuple[float, float, float], int] = {}
    k = 0
    for onset in onsets:
        while k + 1 < len(bars) and bars[k + 1].onset <= onset + ALMOST:
            k += 1
        bar = bars[k]
        whole, within = divmod(onset - bar.onset + bar.offset + ALMOST, bar.full)
        within = max(0.0, within - ALMOST)
        key = (round(within, PLACES_KEPT), bar.full, bar.unit)
        if key not in known:
            known[key] = _level(within, bar)
        phase = within / bar.full
        place = bar.place + whole + phase
        stands.append(_Stand(place, phase, known[key], bar.full, bar.beat))
    return stands


def _level(within: float, bar: _BarStart) -> int:
    """Tell how strong a place in the bar is."""
    if within < ALMOST:
        return FIRST_BEAT
    is_halved = round(bar.full / bar.beat) % 2 == 0
    for level, grid in (
        (HALF_BAR, bar.full / 2 if is_halved else bar.full),
        (BEAT, bar.beat),
        (UNIT, bar.unit),
        (HALF_UNIT, bar.unit / 2),
    ):
        if abs(within / grid - round(within / grid)) < ALMOST:
            return level
    return OFF_BEAT
