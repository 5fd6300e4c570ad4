"""What a run was to sound like: the notes that are due, as the ear needs them.

Conventions
-----------
Times are run time in seconds; pitches are sounding MIDI keys.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from coach.planning.plan import Plan
from coach.score.phrase import Bar
from coach.score.tempo import Beats, Seconds

NEAR_S = 1e-6
"""A note that is due so little before a bar is its first one."""


@dataclass(frozen=True, slots=True)
class DueNote:
    """One note, as it is due."""

    due: Seconds
    """When it is to begin."""

    end: Seconds
    """When it is to stop: before `written_end` where a breath takes from it."""

    written_end: Seconds
    """Where its written length ends."""

    midi: int
    """Key number of its sounding pitch."""

    loud: float
    """Loudness on the page at its middle, in steps from mezzo-forte."""

    is_slurred: bool = False
    """Begun with no tongue, by a change of pitch alone."""

    is_left_out: bool = False
    """The plan leaves it out to make room for a breath: nothing is due."""


@dataclass(frozen=True, slots=True)
class DueBreath:
    """One planned breath."""

    after_note: int
    """Index of the note before it."""

    start: Seconds
    """When the note before it is to stop."""

    end: Seconds
    """When the next note that is played is due."""


@dataclass(frozen=True, slots=True)
class DuePart:
    """All that is due in one run."""

    notes: tuple[DueNote, ...]
    """In order; at least one that is not left out."""

    breaths: tuple[DueBreath, ...] = ()
    """Planned breaths, in order."""

    bar_starts: tuple[Seconds, ...] = ()
    """When each bar starts: where players begin again."""

    page_bars: tuple[int, ...] = ()
    """For each of these, which of them was the same bar of the page first; empty where
    nothing is known of repeats."""

    beat: Seconds = Seconds(1.0)
    """Length of the beat that is counted, at the start."""


def bar_of(due: DuePart, note: int) -> int:
    """Name the bar of a note, by its place in `bar_starts`."""
    starts = due.bar_starts
    return max(0, bisect_right(starts, due.notes[note].due + NEAR_S) - 1)


def due_part(plan: Plan) -> DuePart:
    """Tell what a run is to sound like.

    Parameters
    ----------
    plan : Plan
        What is played, breaths and notes left out included.

    Returns
    -------
    DuePart
        One note for each note of the part, under the same index.
    """
    left_out = frozenset(plan.breaths.left_out)
    tempo_map, part = plan.tempo_map, plan.part
    first_beat = tempo_map.seconds_at(Beats(part.start + part.tempo.beat))
    return DuePart(
        notes=tuple(
            DueNote(
                due=time.start,
                end=end,
                written_end=time.end,
                midi=note.sounding.midi,
                loud=(note.loud_start + note.loud_end) / 2,
                is_slurred=not how.is_stroke,
                is_left_out=i in left_out,
            )
            for i, (note, time, end, how) in enumerate(
                zip(
                    part.notes,
                    plan.times,
                    plan.breaths.ends,
                    plan.slide.articulations,
                    strict=True,
                )
            )
        ),
        breaths=tuple(
            DueBreath(breath.after_note, breath.start, breath.next_note)
            for breath in plan.breaths.breaths
        ),
        bar_starts=tuple(tempo_map.seconds_at(bar.onset) for bar in part.bars),
        page_bars=_page_bars(part.bars),
        beat=Seconds(first_beat - tempo_map.seconds_at(part.start)),
    )


def _page_bars(bars: Sequence[Bar]) -> tuple[int, ...]:
    """Tell of each bar as it is played which of them was the same on the page first."""
    page = [(bar.number, bar.first_beat) for bar in bars]
    first = {bar: k for k, bar in reversed(list(enumerate(page)))}
    return tuple(first[bar] for bar in page)
