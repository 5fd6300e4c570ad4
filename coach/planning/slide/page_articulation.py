"""What the page asks of the tongue, note by note.

The page is obeyed: a written slur is never struck hard, and a note that it marks, or
that it does not slur where it slurs the notes around it, is never slurred.  Only in a
plain run, with no slur and no sign, is the player free.

Common practice, no published source: slurs in sets of two, the first of the two
tongued; a staccato note and the one after it, and a repeated pitch, need the tongue;
grace notes are slurred to their note, one stroke for all of them, but tongued where the
arm has too far to go for a slur; a glissando is the slide alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum, auto
from itertools import pairwise

from coach.score.note import Note, glides
from coach.score.phrase import Part

STRUCK_SIGNS = frozenset(
    {
        *("accent", "strong-accent", "staccato", "staccatissimo", "tenuto"),
        *("detached-legato", "spiccato", "stress", "soft-accent"),
    }
)
SHORT_SIGNS = frozenset({"staccato", "staccatissimo", "spiccato", "detached-legato"})

PAIR = 2
"""Notes: a long one and a short one."""

LEAST_SWUNG_NOTES = 2 * PAIR
"""Two pairs make a passage; one is no more than a rhythm."""

MOST_SWUNG_RATIO = 3
"""From two to one, swung, to three to one, dotted; beyond, the short note is apart."""


class Begin(Enum):
    """How a note may be begun."""

    TONGUE = auto()
    """With the tongue."""

    SLUR = auto()
    """Slurred, or with a soft tongue where a slur would smear."""

    GRACE = auto()
    """To or from a grace note: slurred, or tongued where the arm comes too late."""

    SOFT = auto()
    """With a soft tongue: a repeated or marked note under a slur."""

    GLIDE = auto()
    """By the slide alone, the sound going on through all that lies between."""

    OPEN = auto()
    """With the tongue, or slurred if that is clean."""


def find_breaks(part: Part, breaths_after: frozenset[int]) -> tuple[bool, ...]:
    """Tell before which notes the sound stops: a rest, a breath, the beginning.

    Parameters
    ----------
    breaths_after : frozenset of int
        Notes that a breath follows.
    """
    breaks = [True]
    for k, (note, after) in enumerate(pairwise(part.notes)):
        is_caesura = note.breath_mark == "caesura"
        breaks.append(k in breaths_after or is_caesura or note.end < after.onset)
    return tuple(breaks)


def read_begins(part: Part, breaks: Sequence[bool]) -> tuple[Begin, ...]:
    """Tell how the page lets each note begin.

    Parameters
    ----------
    breaks : sequence of bool
        Before which notes the sound stops, from `find_breaks`.
    """
    begins: list[Begin] = []
    for run in _runs(part.notes, breaks):
        is_page_slurred = any(part.notes[k].is_slurred for k in run)
        for k in run:
            begin = _begin(part.notes, k, is_broken=breaks[k])
            if begin is Begin.OPEN and is_page_slurred:
                begin = Begin.TONGUE
            begins.append(begin)
    return tuple(begins)


def find_free(
    part: Part, breaks: Sequence[bool], begins: Sequence[Begin]
) -> tuple[bool, ...]:
    """Tell which notes stand in a run that the page leaves free, if only in part.

    Parameters
    ----------
    breaks : sequence of bool
        Before which notes the sound stops, from `find_breaks`.
    begins : sequence of Begin
        How each may begin, from `read_begins`.
    """
    free: list[bool] = []
    for run in _runs(part.notes, breaks):
        free += [any(begins[k] is Begin.OPEN for k in run)] * len(run)
    return tuple(free)


def find_unslurred(part: Part, breaks: Sequence[bool]) -> tuple[bool, ...]:
    """Tell which notes stand in a run without a slur on the page.

    Parameters
    ----------
    breaks : sequence of bool
        Before which notes the sound stops, from `find_breaks`.
    """
    found: list[bool] = []
    for run in _runs(part.notes, breaks):
        found += [not any(part.notes[k].is_slurred for k in run)] * len(run)
    return tuple(found)


def find_turns(part: Part, breaks: Sequence[bool]) -> tuple[bool, ...]:
    """Tell with which notes another manner of beginning notes may set in.

    Parameters
    ----------
    breaks : sequence of bool
        Before which notes the sound stops, from `find_breaks`.

    Returns
    -------
    tuple of bool
        The first note of each bar, of each run of like notes, and after each break.
    """
    firsts = {run.start for run in _runs(part.notes, breaks)}
    turns = [True] * len(part.notes)
    for k, (before, note) in enumerate(pairwise(part.notes), 1):
        turns[k] = k in firsts or note.bar != before.bar
    return tuple(turns)


def _runs(notes: Sequence[Note], breaks: Sequence[bool]) -> Iterator[range]:
    """Cut the part into runs of like notes, with no break inside.

    Notes are alike that are equally long, or of which the long and the short take
    turns: swung or dotted pairs are one passage.
    """
    start = 0
    while start < len(notes):
        end = _end_alike(notes, breaks, start, 1)
        if end == start + 1:
            swung = _end_alike(notes, breaks, start, PAIR)
            is_swung = swung >= start + LEAST_SWUNG_NOTES
            end = swung if is_swung and _is_swung(notes[start : start + PAIR]) else end
        yield range(start, end)
        start = end


def _end_alike(
    notes: Sequence[Note], breaks: Sequence[bool], start: int, period: int
) -> int:
    """Tell how far each note is as long as the one so many notes before."""
    end = start + 1
    while end < len(notes) and not breaks[end]:
        if end - start >= period and notes[end].length != notes[end - period].length:
            break
        end += 1
    return end


def _is_swung(pair: Sequence[Note]) -> bool:
    """Tell whether two notes are a long one and a short one."""
    long, short = pair
    return short.length < long.length <= MOST_SWUNG_RATIO * short.length


def _begin(notes: Sequence[Note], k: int, *, is_broken: bool) -> Begin:
    """Tell how one note may begin, the run around it left aside."""
    note = notes[k]
    if is_broken:
        return Begin.TONGUE
    before = notes[k - 1]
    is_same_pitch = note.sounding.midi == before.sounding.midi
    if glides(before, note):
        return Begin.GLIDE
    is_led = _is_led(notes, k)
    if note.is_slurred or is_led:
        is_marked = bool(note.articulations & STRUCK_SIGNS)
        if is_marked or is_same_pitch:
            return Begin.SOFT
        return Begin.GRACE if is_led else Begin.SLUR
    begins_slur = k + 1 < len(notes) and (
        notes[k + 1].is_slurred or _is_led(notes, k + 1)
    )
    must_strike = (
        is_same_pitch
        or begins_slur
        or before.has_fermata
        or note.articulations & STRUCK_SIGNS
        or before.articulations & SHORT_SIGNS
    )
    return Begin.TONGUE if must_strike else Begin.OPEN


def _is_led(notes: Sequence[Note], k: int) -> bool:
    """Tell whether a note hangs on the one before: one of them is the other's grace."""
    before, note = notes[k - 1], notes[k]
    if not (before.is_grace or note.is_grace):
        return False
    if (before.bar, before.beat) != (note.bar, note.beat):
        return False
    return before.is_grace or not _leads(notes, k)


def _leads(notes: Sequence[Note], k: int) -> bool:
    """Tell whether a grace note stands before its main note, and not after it."""
    grace = notes[k]
    for other in (notes[j] for j in range(k + 1, len(notes))):
        if not other.is_grace:
            return (other.bar, other.beat) == (grace.bar, grace.beat)
    return False
