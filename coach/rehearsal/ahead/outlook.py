"""What bars ask that are not played yet: their air, their pace, and the arm's hurry.

Conventions
-----------
Bars are numbers on the page, first and last.  Paces are notes a second, over a window
of a few seconds, so that one quick turn is no quick passage.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from coach.planning.breath_place import BreathPlace
from coach.planning.breathing.prompts import place_of_breath
from coach.planning.plan import Plan
from coach.planning.slide.arm import move_time_s
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.progress import is_false_start
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import PlayedRun

Bars = tuple[int, int]

AS_MUCH_AS_IS_SEEN = 0.05
"""Less of a capacity is no more than one player's days differ."""

TWICE = 2
"""What was clean so often was no luck."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """What some bars ask at a tempo, as they are planned at it."""

    lowest_air: float
    """The lowest level of air, as a share of capacity."""

    runs_out: int | None
    """Bar in which the air runs out; None where it lasts."""

    breath_bars: tuple[int, ...]
    """Bars with a breath in them, each once, in order."""

    notes_per_s: float
    """Pace of the quickest passage."""

    hurry: float
    """So many times too quick is the quickest move for a trained arm; up to 1 all is in
    time."""

    breath_places: tuple[BreathPlace, ...] = ()
    """Where each breath begins, in order."""

    short_places: tuple[BreathPlace, ...] = ()
    """Where those begin that have no time to fill the lungs right up."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What a player can do in other etudes."""

    clean_per_s: float
    """Pace that was clean more than once."""

    is_limit: bool
    """What was quicker went wrong; otherwise nobody knows yet how far it goes."""


def _not_planned(_: Bars, __: float) -> Ahead | None:
    """Know nothing of bars."""
    return None


def _nothing_elsewhere() -> Elsewhere | None:
    """Know of no other etude."""
    return None


@dataclass(frozen=True, slots=True)
class Outlook:
    """Where advice looks ahead; both ways may take a while and are asked if needed."""

    ask: Callable[[Bars, float], Ahead | None] = field(default=_not_planned)
    """Plan bars at a tempo; None where they cannot be planned, or are too many."""

    elsewhere: Callable[[], Elsewhere | None] = field(default=_nothing_elsewhere)
    """Tell what was clean in other etudes; None where nothing was."""

    ask_anew: Callable[[Bars, float], Ahead | None] = field(default=_not_planned)
    """Plan bars for the air that the runs have taught by now."""


NO_OUTLOOK = Outlook()
"""Knows nothing."""


def look_at(plan: Plan, window_s: float, acceleration_mps2: float) -> Ahead:
    """Tell what a plan asks.

    Parameters
    ----------
    window_s : float
        Window over which a pace is taken, in seconds.
    acceleration_mps2 : float
        What a trained arm gives the slide.
    """
    breaths = plan.breaths
    places = tuple(
        place_of_breath(plan.part, plan.tempo_map, breath) for breath in breaths.breaths
    )
    left_out = frozenset(breaths.left_out)
    played = [k for k in range(len(plan.times)) if k not in left_out]
    starts = [plan.times[k].start for k in played]
    travels = plan.slide.travel_by_note_cm
    times_over = [
        move_time_s(travels[k], acceleration_mps2) / (start - before)
        for k, (before, start) in zip(played[1:], pairwise(starts), strict=True)
        if travels and start > before
    ]
    out, full = breaths.runs_out, breaths.air_before[0]
    return Ahead(
        lowest_air=breaths.lowest_air,
        runs_out=None if out is None else breaths.dry_place(out).bar,
        breath_bars=tuple(sorted({place.bar for place in places})),
        notes_per_s=pace_of(starts, window_s),
        hurry=max(times_over, default=0.0),
        breath_places=places,
        short_places=tuple(
            place
            for place, breath in zip(places, breaths.breaths, strict=True)
            if breath.air_after < full - AS_MUCH_AS_IS_SEEN
        ),
    )


def pace_of(starts: Sequence[float], window_s: float) -> float:
    """Tell how many notes a second begin in the quickest window.

    Parameters
    ----------
    starts : sequence of float
        When each note begins, in seconds, increasing.

    Examples
    --------
    >>> pace_of([0.0, 0.5, 1.0, 1.25, 1.5, 1.75, 2.0], 1.0)
    4.0
    """
    most = max(
        (bisect_right(starts, start + window_s) - k for k, start in enumerate(starts)),
        default=1,
    )
    return max(0, most - 1) / window_s


def sum_up_elsewhere(
    played: Sequence[PlayedRun], ladder: LadderSettings
) -> Elsewhere | None:
    """Tell what was clean in other etudes, and whether more was tried.

    Parameters
    ----------
    played : sequence of PlayedRun
        Runs of other etudes; where only the air ran out, fingers were in time.  A few
        notes, or a few seconds of them, tell nothing of a page; nor does what went
        wrong far above what was clean.

    Returns
    -------
    Elsewhere or None
        None where nothing was clean twice at one pace or a quicker one.
    """
    clean, failed = [], []
    for one in played:
        starts = [note.start_s for note in one.evidence.notes]
        if is_false_start(one.run) or not _is_page(starts, ladder):
            continue
        pace = pace_of(starts, ladder.pace_window_s)
        kinds = {mark.kind for mark in one.run.faults}
        if one.run.is_clean:
            clean.append(pace)
        elif one.run.is_clean is not None and kinds != {MarkKind.RAN_OUT}:
            failed.append(pace)
    if len(clean) < TWICE:
        return None
    best = sorted(clean)[-TWICE]
    too_far = best * ladder.elsewhere_near_share
    return Elsewhere(best, any(best < pace <= too_far for pace in failed))


def _is_page(starts: Sequence[float], ladder: LadderSettings) -> bool:
    """Tell whether notes that begin at these times are enough to go by."""
    if len(starts) < ladder.elsewhere_least_notes_count:
        return False
    return starts[-1] - starts[0] >= ladder.pace_window_s
