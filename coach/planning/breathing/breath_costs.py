"""What a breath costs the music, and what lack of air costs the player.

Conventions
-----------
Costs have no unit; lower is better.  Every cost of lacking air falls, or stays,
as the air rises: more air is never worse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from coach.last_answers import remembered
from coach.planning.breathing.breath_settings import BreathSettings
from coach.score.note import TRILL, Note, closes_trill, lengths_of
from coach.score.phrase import Bar, NoteTime, Part

NEIGHBOURS = 2
"""Notes on each side that a note is compared with."""

FAST_OF_BEAT = 4
"""Notes of which so many fill a beat, or more, make a fast run."""

MOST_NEAR = 12
"""No more notes on each side count as near, however fast they are."""

MOST_OF_FINAL = 2
"""A note more than so many times as long as the next is an end itself: it leads into
none, and no cadence is torn after it."""

EIGHTH = 8
"""Longer units are felt as beats by themselves, however they are grouped."""

LIKELY = 0.5
"""From here on a phrase is said to end."""

SAME_DEPTH = 1e-9
"""Depths nearer than this, in shares of capacity, are one."""

SAME_PLACE = 1e-6
"""Places nearer than this, in quarter notes, are one."""


@dataclass(frozen=True, slots=True)
class AirCosts:
    """What lack of air costs while notes sound.

    Levels are given as depth: how far below half, as a fraction of capacity.
    """

    low_depth: float
    """Depth that is not planned beyond without need."""

    empty_depth: float
    """Depth beyond which nothing more can be blown."""

    half_weight: float
    """For each second and share below half."""

    low_weight: float
    """For each second and share below low at a note's end."""

    dry_weight: float
    """For each second beyond empty."""

    dry_note_weight: float
    """For each note that ends beyond empty."""

    def of_note(self, start: float, end: float, seconds: float, high: float) -> float:
        """Weigh one note by the air at its start and end.

        Parameters
        ----------
        start, end : float
            How far below half the air is, as a fraction of capacity.
        seconds : float
            How long it sounds.
        high : float
            Weight of being high; 0 for other notes.

        Returns
        -------
        float
            At least 0; never falls when both depths grow together.
        """
        if end <= 0.0:
            return 0.0
        cost = 0.0
        if end > self.empty_depth + SAME_DEPTH:
            dry = min(1.0, (end - self.empty_depth) / (end - start))
            cost = self.dry_weight * seconds * dry + self.dry_note_weight
        end = min(end, self.empty_depth)
        start = min(max(start, 0.0), self.empty_depth)
        cost += self.half_weight * seconds * (start + end) / 2 + high * start
        if end > self.low_depth:
            cost += self.low_weight * seconds * (end - self.low_depth)
        return cost


def place_costs(
    part: Part,
    ends: Sequence[float],
    times: Sequence[NoteTime],
    costs: BreathSettings,
) -> list[float]:
    """Weigh the place of every gap, whatever the length of the breath.

    Parameters
    ----------
    part : Part
        What is played, n notes.
    ends : sequence of float, length n - 1
        How likely a phrase ends in each gap, 0 to 1.
    times : sequence of NoteTime, length n
        When each note sounds, as written.

    Returns
    -------
    list of float, length n - 1
        At least 0; 0 where a phrase surely ends outside a slur.
    """
    notes = part.notes
    lengths = lengths_of(notes)
    groups = _group_costs(part, tuple(ends), costs)
    near = _best_near(ends, times, costs.near_s)
    weighed = []
    for k, end in enumerate(ends):
        rest_s = times[k + 1].start - times[k].end
        longest = max(lengths[max(0, k - NEIGHBOURS) : k + NEIGHBOURS + 1])
        cost = costs.place_weight + groups[k]
        cost += costs.short_note_weight * (1.0 - lengths[k] / longest)
        apart = min(1.0, rest_s / costs.rest_from_s)
        joined = 1.0 - apart * (1.0 - costs.rest_place_share)
        following = ends[k + 1] if k + 1 < len(ends) else 1.0
        cost *= (1.0 - end) * joined
        if lengths[k] <= MOST_OF_FINAL * lengths[k + 1]:
            cost += costs.torn_weight * max(0.0, following - end) * (1.0 - apart)
        cost += costs.near_weight * (near[k] - end)
        cost += of_torn_slur(notes[k + 1], costs)
        if notes[k].is_grace or closes_trill(notes[k], notes[k + 1]):
            cost += costs.grace_weight
        elif TRILL in notes[k].articulations:
            cost += costs.trill_weight * (1.0 - apart)
        weighed.append(cost)
    return weighed


def of_torn_slur(note: Note, costs: BreathSettings) -> float:
    """Weigh a breath just before a note that is slurred to the one before; else 0."""
    if not note.is_slurred:
        return 0.0
    return costs.slur_weight + (costs.slur_in_bar_weight if note.beat > 1 else 0.0)


def _best_near(
    ends: Sequence[float], times: Sequence[NoteTime], near_s: float
) -> list[float]:
    """Give the likeliest phrase end near each gap, itself taken in."""
    best = []
    first = last = 0
    for k in range(len(ends)):
        while times[k].end - times[first].end > near_s:
            first += 1
        while last < len(ends) and times[last].end - times[k].end <= near_s:
            last += 1
        best.append(max(ends[max(first, k - MOST_NEAR) : min(last, k + MOST_NEAR + 1)]))
    return best


@remembered
def _group_costs(
    part: Part, ends: tuple[float, ...], costs: BreathSettings
) -> tuple[float, ...]:
    """Weigh what a breath in each gap does to the notes of one beat.

    A group of short notes leads to the next beat, and a pickup leads into its bar;
    so just before either is a bad place, and so is one before a group's last note.
    Of even notes of a beat, whatever goes on quicker after them, none is a pickup but
    the one that a phrase begins with.
    """
    felt = {bar.number: felt_beats(bar) for bar in part.bars}
    lengths = lengths_of(part.notes)
    weighed = []
    beat = 0.0
    for k, note in enumerate(part.notes):
        before = lengths[k - 1]
        is_short, is_pickup = before < beat, before <= beat and note.beat == 1
        beats = felt[note.bar]
        place = (note.beat.numerator / note.beat.denominator - 1.0) * beats.unit
        into_beat, beat = beats.into(place)
        cost = 0.0
        if is_pickup:
            is_even = k > 1 and not is_short and lengths[k - 2] == before >= lengths[k]
            cost = costs.barline_weight * (ends[k - 2] if is_even else 1.0)
        if is_short and min(into_beat, beat - into_beat) < SAME_PLACE:
            cost += costs.leading_weight
        elif is_short and abs(into_beat + lengths[k] - beat) < SAME_PLACE:
            cost += costs.last_of_group_weight
        weighed.append(cost)
    runs = _run_costs(part, lengths, felt, costs)
    return tuple(cost + run for cost, run in zip(weighed[1:], runs, strict=True))


def _run_costs(
    part: Part,
    lengths: Sequence[float],
    felt: Mapping[int, FeltBeats],
    costs: BreathSettings,
) -> Iterator[float]:
    """Weigh what a breath in each gap does to a run of even short notes.

    There a breath is least heard after a downbeat: the figure has come to its goal,
    and the rest of the beat is on the way to the next one.
    """
    for k, note in enumerate(part.notes[:-1]):
        place = (float(note.beat) - 1.0) * felt[note.bar].unit
        into_beat, beat = felt[note.bar].into(place)
        around = lengths[max(0, k - NEIGHBOURS) : k + NEIGHBOURS + 1]
        is_run = (
            lengths[k] * FAST_OF_BEAT <= beat + SAME_PLACE
            and max(around) - min(around) < SAME_PLACE
        )
        if not is_run or place < SAME_PLACE:
            yield 0.0
        elif min(into_beat, beat - into_beat) < SAME_PLACE:
            yield costs.weak_beat_weight
        else:
            yield costs.off_downbeat_weight


@dataclass(frozen=True, slots=True)
class FeltBeats:
    """The beats of a bar as they are felt: in 7/8 its groups, in 6/8 dotted ones."""

    unit: float
    """Length of the written unit, in quarter notes, as all that follows."""

    beat: float
    """Length of each beat where all are alike."""

    groups: tuple[tuple[float, float], ...]
    """Start and length of each, where they are not; else empty."""

    def into(self, place: float) -> tuple[float, float]:
        """Tell how far into its beat a place of the bar is, and how long that is."""
        for start, length in self.groups:
            if place < start + length - SAME_PLACE:
                return place - start, length
        return place % self.beat, self.beat


def felt_beats(bar: Bar) -> FeltBeats:
    """Give the felt beats of a bar."""
    unit = float(bar.metre.unit_beats)
    counts = bar.metre.groups if bar.metre.unit >= EIGHTH else ()
    groups = zip(accumulate(counts, initial=0), counts, strict=False)
    return FeltBeats(
        unit,
        float(bar.metre.beat),
        tuple((start * unit, count * unit) for start, count in groups),
    )
