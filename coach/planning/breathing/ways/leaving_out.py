"""Which notes may be left out to make room for a breath, and what that costs.

A teacher leaves out weak short notes: never one on the beat, which carries the
figure, nor the turning point of the line, nor the first note of a phrase, nor its
last unless even notes run on over it, nor what leads into a last one of a beat and
more, nor the goal of a chromatic neighbour.  What is repeated, passes by step, or
leaves by step and returns, is missed least; of all notes, a small one that comes
quickly before its main note (common practice, no published source).

Conventions
-----------
Costs have no unit; lower is better.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from coach.last_answers import remembered
from coach.planning.breathing.breath_costs import (
    LIKELY,
    NEIGHBOURS,
    SAME_PLACE,
    FeltBeats,
    felt_beats,
    of_torn_slur,
)
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.passage import Passage
from coach.score.note import SEMITONES_IN_OCTAVE, STEP_SEMITONES, Note, glides
from coach.score.phrase import Bar, Part
from coach.score.tempo import SECONDS_PER_MINUTE

A_STEP = 2
"""Semitones that a passing or neighbouring note moves by at most."""

PAIR, TRIPLE = 2, 3
"""Beats that are felt as one where they are quick."""

FIFTH_SEMITONES = 7
MAJOR_SCALE = frozenset(STEP_SEMITONES.values())
STRONG_SIGNS = frozenset({"accent", "strong-accent", "tenuto"})


@dataclass(frozen=True, slots=True)
class FewerNotes:
    """Adjacent notes that may be left out."""

    count: int
    """How many; 0 for a breath that leaves out none."""

    cost: float
    """What that costs the music."""


def find_fewer_notes(
    passage: Passage, costs: BreathSettings, kept: frozenset[int] = frozenset()
) -> tuple[tuple[FewerNotes, ...], ...]:
    """Tell for each gap which notes after it may be left out.

    Parameters
    ----------
    passage : Passage
        What is to be breathed, n notes.
    kept : frozenset of int
        Notes that the player never leaves out.

    Returns
    -------
    tuple of tuple of FewerNotes, length n - 1
        By the note before the gap; the note after those left out is always there.
    """
    return _find_fewer(passage.part, passage.ends, costs, kept)


@remembered
def _find_fewer(
    part: Part, ends: tuple[float, ...], costs: BreathSettings, kept: frozenset[int]
) -> tuple[tuple[FewerNotes, ...], ...]:
    """Tell the same of a part, whatever the tempo and the player."""
    weak = [
        None if k in kept else cost
        for k, cost in enumerate(_weak_notes(part, ends, costs))
    ]
    notes = part.notes
    found: list[tuple[FewerNotes, ...]] = []
    for k in range(len(notes) - 1):
        ways = []
        cost = costs.leave_out_weight
        for count in range(1, costs.most_left_out_count + 1):
            note_cost = weak[k + count] if k + count < len(notes) - 1 else None
            if note_cost is None or notes[k + count].onset != notes[k + count - 1].end:
                break
            cost += note_cost
            slur = _slur_cost(notes[k + 1 : k + count + 2], costs)
            ways.append(FewerNotes(count, cost + slur))
        found.append(tuple(ways))
    return tuple(found)


@remembered
def fewer_before_mark(
    part: Part, mark: int, costs: BreathSettings, kept: frozenset[int] = frozenset()
) -> tuple[FewerNotes, ...]:
    """Tell which notes just before a breath mark of the page may be left out for it.

    Whoever set the mark wants a breath there: a last note of a phrase, or a turning
    point, may go too, but none on a beat.  None of them costs anything: the page goes
    before what is near.

    Parameters
    ----------
    mark : int
        The note that the mark stands after.
    kept : frozenset of int
        Notes that the player never leaves out.

    Returns
    -------
    tuple of FewerNotes
        The fewest first; the breath stands after the note before them.
    """
    notes = part.notes
    bars = {bar.number: bar for bar in part.bars}
    ways = []
    for count in range(1, min(costs.most_left_out_count, mark) + 1):
        k = mark - count + 1
        note = notes[k]
        place = _in_beat(note, _felt(part, bars[note.bar], costs))
        is_asked = k in kept or not STRONG_SIGNS.isdisjoint(note.articulations)
        if is_asked or note.has_fermata or note.is_grace or _is_strong(note, *place):
            break
        if note.onset != notes[k - 1].end:
            break
        ways.append(FewerNotes(count, costs.leave_out_weight))
    return tuple(ways)


def _slur_cost(notes: Sequence[Note], costs: BreathSettings) -> float:
    """Weigh what leaving out all but the last of some notes does to slurs.

    A slur that leads over all of them is torn twice.  One that only ends or begins
    among them is shorter, which nobody hears: so the gap's own cost is given back.
    """
    own = of_torn_slur(notes[0], costs)
    if all(note.is_slurred for note in notes):
        return of_torn_slur(notes[-1], costs) - own + costs.slur_weight
    return -own


def _weak_notes(
    part: Part, ends: Sequence[float], costs: BreathSettings
) -> list[float | None]:
    """Weigh each note for being left out; None for one that has to be there."""
    notes = part.notes
    bars = {bar.number: (bar, _felt(part, bar, costs)) for bar in part.bars}
    keys = [note.sounding.midi for note in notes]
    quick = _quick_graces(part)
    weighed: list[float | None] = [None] * len(notes)
    for k in range(1, len(notes) - 1):
        if k in quick:
            weighed[k] = costs.left_grace_weight
            continue
        bar, felt = bars[notes[k].bar]
        into_beat, beat = _in_beat(notes[k], felt)
        is_carrying = (
            _is_strong(notes[k], into_beat, beat)
            or ends[k - 1] >= LIKELY
            or (ends[k] >= LIKELY and not _is_in_even_run(notes, k))
            or _is_marked(notes[k])
            or _is_turning(keys, k, costs.turning_notes_count)
            or _is_goal(notes, k, bar)
            or _leads_to_end(notes, ends, k, beat)
            or glides(notes[k - 1], notes[k])
            or glides(notes[k], notes[k + 1])
        )
        if not is_carrying:
            is_half = abs(into_beat - beat / 2) < SAME_PLACE
            weighed[k] = (
                costs.left_note_weight if _is_light(keys, k) else costs.left_leap_weight
            ) + (costs.left_half_weight if is_half else 0.0)
    return weighed


def _in_beat(note: Note, felt: FeltBeats) -> tuple[float, float]:
    """Tell how far into its beat a note stands, and how long the beat is."""
    return felt.into((float(note.beat) - 1.0) * felt.unit)


def _is_strong(note: Note, into_beat: float, beat: float) -> bool:
    """Tell whether a note stands on the beat, or lasts for more than half of it."""
    is_on_beat = min(into_beat, beat - into_beat) < SAME_PLACE
    return is_on_beat or float(note.length) > beat / 2 + SAME_PLACE


def _felt(part: Part, bar: Bar, costs: BreathSettings) -> FeltBeats:
    """Give the beats of a bar as they are felt at the page's speed: quick ones joined.

    Common practice, no published source: a quick 4/4 goes in halves, a quick waltz in
    one.
    """
    felt = felt_beats(bar)
    quarters_per_s = (
        part.tempo_map.quarters_per_minute_at(bar.onset) / SECONDS_PER_MINUTE
    )
    count = float(bar.metre.length) / felt.beat
    if felt.groups or felt.beat >= costs.quickest_felt_s * quarters_per_s:
        return felt
    joined = next((n for n in (PAIR, TRIPLE) if count % n == 0), 1)
    return replace(felt, beat=joined * felt.beat)


def _leads_to_end(
    notes: Sequence[Note], ends: Sequence[float], k: int, beat: float
) -> bool:
    """Tell whether a note leads into one of a beat and more that ends a phrase."""
    is_end = k + 2 == len(notes) or ends[k + 1] >= LIKELY
    length = float(notes[k + 1].length)
    return is_end and length > max(float(notes[k].length), beat - SAME_PLACE)


def _is_in_even_run(notes: Sequence[Note], k: int) -> bool:
    """Tell whether the notes around one are as long: there a phrase ends in passing."""
    around = notes[max(0, k - NEIGHBOURS) : k + NEIGHBOURS + 1]
    return all(note.length == notes[k].length for note in around)


def _quick_graces(part: Part) -> frozenset[int]:
    """Name the small notes that come before their place on the page.

    One that is leaned on, or follows such a one, sounds at its place, and carries the
    line as a main note does.
    """
    bars: dict[int, list[Bar]] = defaultdict(list)
    for bar in part.bars:
        bars[bar.number].append(bar)
    quick: set[int] = set()
    is_leaned = False
    for k, note in enumerate(part.notes):
        is_leaned = note.is_grace and (
            is_leaned
            or any(
                bar.onset + (note.beat - bar.first_beat) * bar.metre.unit_beats
                == note.onset
                for bar in bars[note.bar]
            )
        )
        if note.is_grace and not is_leaned:
            quick.add(k)
    return frozenset(quick)


def _is_marked(note: Note) -> bool:
    """Tell whether the page makes something of a note."""
    return (
        note.is_grace
        or note.has_fermata
        or bool(note.breath_mark)
        or not STRONG_SIGNS.isdisjoint(note.articulations)
    )


def _is_turning(keys: Sequence[int], k: int, count: int) -> bool:
    """Tell whether the line turns on a note: alone above or below all around it."""
    around = [*keys[max(0, k - count) : k], *keys[k + 1 : k + count + 1]]
    return keys[k] > max(around) or keys[k] < min(around)


def _is_goal(notes: Sequence[Note], k: int, bar: Bar) -> bool:
    """Tell whether a note is where a chromatic neighbour leads to."""
    before, here = notes[k - 1].sounding.midi, notes[k].sounding.midi
    tonic = bar.fifths * FIFTH_SEMITONES
    is_chromatic = (before - tonic) % SEMITONES_IN_OCTAVE not in MAJOR_SCALE
    return is_chromatic and abs(here - before) == 1


def _is_light(keys: Sequence[int], k: int) -> bool:
    """Tell whether a note is repeated, passes by step, or leaves and returns."""
    here, before, after = keys[k], keys[k - 1], keys[k + 1]
    is_repeated = here in (before, after)
    is_by_step = abs(here - before) <= A_STEP and abs(after - here) <= A_STEP
    return is_repeated or is_by_step
