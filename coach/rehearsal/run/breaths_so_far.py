"""Breaths as they really come in a run: which one is meant, and what that fixes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from operator import itemgetter

from coach.planning.breathing.breaths import Breath
from coach.planning.breathing.locks import Locks
from coach.planning.plan import Plan
from coach.score.phrase import NoteTime
from coach.score.tempo import Seconds

A_HAIR = 1e-6
"""By this share of a beat or a bar rounding may miss its edge."""


def breath_meant(
    plan: Plan, at: Seconds, missed: Iterable[Breath] = ()
) -> Breath | None:
    """Find the planned breath that a player means who says that it is missed.

    Parameters
    ----------
    at : Seconds
        Run time at which the player says so.
    missed : iterable of Breath
        Breaths that the plan has no more, since they were missed: said once more.

    Returns
    -------
    Breath or None
        One that starts a beat from here at the latest, or ended a bar ago at the
        earliest; of several the nearest, in shares of these; None where there is none.
    """
    beat = float(plan.part.tempo.beat)
    place = plan.tempo_map.beats_at(at)
    near: list[tuple[float, Breath]] = []
    for breath in (*missed, *plan.breaths.breaths):
        start = plan.tempo_map.beats_at(breath.start)
        bar = [bar for bar in plan.part.bars if float(bar.onset) <= start + A_HAIR][-1]
        early = (start - place) / beat
        late = (place - plan.tempo_map.beats_at(breath.next_note)) / float(bar.length)
        if max(early, late) <= 1 + A_HAIR:
            near.append((max(0.0, early, late), breath))
    return min(near, key=itemgetter(0))[1] if near else None


def nearest_gap(times: Sequence[NoteTime], time: Seconds) -> int | None:
    """Find the gap between notes that a moment is nearest to.

    Returns
    -------
    int or None
        Index of the note before the gap; None where there is only one note.
    """
    return min(
        range(len(times) - 1),
        key=lambda i: max(times[i].end - time, 0.0, time - times[i + 1].start),
        default=None,
    )


def locks_so_far(
    plan: Plan,
    now: Seconds,
    taken: Iterable[int],
    missed: Iterable[int],
    edits: Locks,
    notice: Seconds,
) -> Locks:
    """Tell the planner what has happened, so that only the rest is free.

    Parameters
    ----------
    now : Seconds
        Run time up to which things have happened.
    taken : iterable of int
        Gaps at which the player has really breathed.
    missed : iterable of int
        Gaps of planned breaths that are not taken, past, going on or about to come.
    edits : Locks
        What the player insists on; holds for what is still to come.
    notice : Seconds
        A breath that was not planned is asked for no sooner than this.

    Returns
    -------
    Locks
        A breath at every gap taken, none at one missed nor at any other that has
        passed, and none so soon that the player cannot be told.
    """
    breathed = frozenset(taken)
    planned = {breath.after_note for breath in plan.breaths.breaths}
    over = frozenset(
        gap
        for gap, following in enumerate(plan.times[1:])
        if following.start <= (now if gap in planned else now + notice)
    )
    closed = over | frozenset(missed)
    left_out = frozenset(
        note
        for breath in plan.breaths.breaths
        if breath.after_note in breathed
        for note in breath.left_out
    )
    return replace(
        edits,
        must=(edits.must - closed) | breathed,
        must_not=(edits.must_not | closed) - breathed,
        left_out=left_out | {note for note in edits.left_out if note - 1 not in closed},
    )
