"""Tempos: what to play next, and when to move up.

Conventions
-----------
Runs are oldest first.  A run that failed is one that was played and was not clean;
a run that nobody played, or said a word about, says nothing.

References
----------
Duke, Simmons & Cash 2009, J. Res. Music Educ. 56:310–321: the share of correct runs
matters, not their number.  Carter & Grahn 2016, Front. Psychol. 7:1251: passages in
turn.  Simmons 2012, J. Res. Music Educ. 59:357–368: a night between.  Three clean
runs before moving up is common practice, no published source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from coach.rehearsal.click.tempo_scale import (
    TempoSettings,
    notch_at_most,
    say_bpm,
    step_tempo,
    whole_bpm,
)
from coach.rehearsal.review.advice import Advice, AdviceKind, Standing
from coach.rehearsal.run.mark import say_fault
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.tempo import SECONDS_PER_MINUTE


@dataclass(frozen=True, slots=True)
class LadderSettings:
    """When to move on."""

    start_share: float
    """First tempo, as a share of the goal."""

    promote_runs: int
    """Clean runs in a row before a faster tempo."""

    demote_runs: int
    """Failed runs in a row before a slower one."""

    block_s: float
    """Time on the same segment before another is played."""

    rest_after_s: float
    """Time of a rehearsal without a rest before one is due."""

    rest_s: float
    """A pause this long is a rest."""

    rehearsal_pause_s: float
    """A pause this long ends a rehearsal."""


def first_tempo(goal_bpm: float, scale: TempoSettings, ladder: LadderSettings) -> float:
    """Tell the tempo to begin with: a notch well below the goal."""
    return min(goal_bpm, notch_at_most(goal_bpm * ladder.start_share, scale))


def advise(
    runs: Sequence[Run], here: Standing, ladder: LadderSettings, scale: TempoSettings
) -> Advice:
    """Tell what to play next and why.

    Parameters
    ----------
    runs : sequence of Run
        All runs of this etude, oldest first.
    here : Standing
        Segment, tempo and goal.

    Returns
    -------
    Advice
        The first of these that applies: rest; say how it was; begin; test again on
        a new day; breathe elsewhere; slower; faster or on; another spot; again.
    """
    here = here.rounded
    played = [run for run in runs if run.is_telling]
    at_segment = [run for run in played if _is_here(run, here)]
    at_tempo = [run for run in at_segment if _is_same(run.bpm, here.bpm)]
    clean_in_a_row = len(list(takewhile(lambda run: run.is_clean, at_tempo[::-1])))
    failed = list(takewhile(lambda run: not run.is_clean, at_tempo[::-1]))
    return (
        _rest(played, here, ladder)
        or _ask(runs, at_segment, here)
        or _begin(at_segment, here, ladder, scale)
        or _test_again(at_segment, here)
        or _breathe(failed, here, ladder)
        or _slower(failed, here, ladder, scale)
        or _up_or_on(clean_in_a_row, here, ladder, scale)
        or _another_spot(played, here, ladder)
        or _again(clean_in_a_row, failed, here, ladder)
    )


def _rest(
    played: Sequence[Run], here: Standing, ladder: LadderSettings
) -> Advice | None:
    """Ask for a rest once the rehearsal has gone on for long without one."""
    begun = here.now
    for run in reversed(played):
        ended = run.started.timestamp() + run.lasted
        if begun.timestamp() - ended >= ladder.rest_s:
            break
        begun = run.started
    played_s = (here.now - begun).total_seconds()
    if played_s < ladder.rest_after_s:
        return None
    return _advice(
        "rest",
        here,
        f"You have played for {_minutes(played_s)} minutes: rest the lips for "
        f"{_minutes(ladder.rest_s)}, then go on.",
    )


def _ask(
    runs: Sequence[Run], at_segment: Sequence[Run], here: Standing
) -> Advice | None:
    """Ask for a word where these bars were played and nobody said how it was."""
    silent = [run for run in runs if run.is_attended and run.is_clean is None]
    if at_segment or not any(_is_here(run, here) for run in silent if run.was_played):
        return None
    return _advice(
        "again", here, "Nobody said yet how these bars go: play them, and say it."
    )


def _begin(
    at_segment: Sequence[Run],
    here: Standing,
    ladder: LadderSettings,
    scale: TempoSettings,
) -> Advice | None:
    """Name a first tempo where nothing is known."""
    if at_segment:
        return None
    bpm = first_tempo(here.goal_bpm, scale, ladder)
    return _advice(
        "again",
        here,
        f"These bars are new: begin at {say_bpm(bpm)}, slow enough to be clean.",
        bpm=bpm,
    )


def _test_again(at_segment: Sequence[Run], here: Standing) -> Advice | None:
    """Ask for the old tempo first on a new day."""
    newest = at_segment[-1].started.astimezone(here.now.tzinfo)
    clean = [whole_bpm(run.bpm) for run in at_segment if run.is_clean]
    if newest.date() == here.now.date() or not clean:
        return None
    best = max(clean)
    return _advice(
        "again",
        here,
        f"Clean at {say_bpm(best)} on another day: see whether it still is, "
        "before moving up.",
        bpm=best,
    )


def _breathe(
    failed: Sequence[Run], here: Standing, ladder: LadderSettings
) -> Advice | None:
    """Ask for another breath where the air runs out again and again."""
    recent = failed[: ladder.demote_runs]
    bars = Counter(
        bar
        for run in recent
        for bar in {mark.bar for mark in run.marks if mark.kind is MarkKind.RAN_OUT}
    )
    if len(recent) < ladder.demote_runs or not bars:
        return None
    bar, times = bars.most_common(1)[0]
    if times < ladder.demote_runs:
        return None
    return _advice(
        "breathe",
        here,
        f"Ran out in bar {bar} {times} times: breathe before it, or softer. "
        "Slower would take more air.",
    )


def _slower(
    failed: Sequence[Run], here: Standing, ladder: LadderSettings, scale: TempoSettings
) -> Advice | None:
    """Move down after enough failed runs."""
    if len(failed) < ladder.demote_runs:
        return None
    bpm = step_tempo(here.bpm, -1, scale)
    return _advice(
        "slower",
        here,
        f"{len(failed)} runs at {say_bpm(here.bpm)} were not clean"
        f"{_most_often(failed)}: go down to {say_bpm(bpm)}.",
        bpm=bpm,
    )


def _up_or_on(
    clean: int, here: Standing, ladder: LadderSettings, scale: TempoSettings
) -> Advice | None:
    """Move up after enough clean runs; at the goal, move on."""
    if clean < ladder.promote_runs:
        return None
    done = f"{clean} clean runs in a row at {say_bpm(here.bpm)}"
    if here.bpm < here.goal_bpm:
        bpm = min(here.goal_bpm, step_tempo(here.bpm, 1, scale))
        return _advice("faster", here, f"{done}: go up to {say_bpm(bpm)}.", bpm=bpm)
    if here.is_whole:
        return _advice("rest", here, f"{done}, the goal: come back to it tomorrow.")
    return _move_on(here, f"{done}, the goal")


def _another_spot(
    played: Sequence[Run], here: Standing, ladder: LadderSettings
) -> Advice | None:
    """Leave a segment after a few minutes; the whole part is no spot."""
    if here.is_whole:
        return None
    block = takewhile(lambda run: _is_here(run, here), reversed(played))
    recent = [
        run
        for run in block
        if (here.now - run.started).total_seconds() < ladder.rehearsal_pause_s
    ]
    played_s = sum(run.lasted for run in recent)
    if played_s < ladder.block_s:
        return None
    return _move_on(here, f"{_minutes(played_s)} minutes on the same bars are enough")


def _again(
    clean: int, failed: Sequence[Run], here: Standing, ladder: LadderSettings
) -> Advice:
    """Ask for the same once more."""
    if clean:
        more = ladder.promote_runs - clean
        why = f"{clean} clean in a row; {more} more and it goes up."
    elif failed:
        why = f"Not clean yet{_most_often(failed)}: once more at {say_bpm(here.bpm)}."
    else:
        why = f"Nothing is known of these bars at {say_bpm(here.bpm)} yet: try it."
    return _advice("again", here, why)


def _move_on(here: Standing, why: str) -> Advice:
    """Go to the next segment, or to the whole after the last."""
    if here.following is None:
        first, last = here.bars
        return Advice("whole", first, last, here.bpm, f"{why}: now all of it.")
    first, last = here.following
    return Advice(
        "next", first, last, here.bpm, f"{why}: go on to bars {first} to {last}."
    )


def _advice(
    kind: AdviceKind, here: Standing, why: str, *, bpm: float | None = None
) -> Advice:
    """Give advice about the segment at hand."""
    return Advice(
        kind, here.from_bar, here.to_bar, here.bpm if bpm is None else bpm, why
    )


def _most_often(runs: Sequence[Run]) -> str:
    """Say what went wrong most often, if anything was marked."""
    faults = Counter((mark.kind, mark.bar) for run in runs for mark in run.faults)
    if not faults:
        return ""
    (kind, bar), _ = faults.most_common(1)[0]
    return f" ({say_fault(kind, bar)})"


def _is_here(run: Run, here: Standing) -> bool:
    """Tell whether a run was of this segment."""
    return (run.from_bar, run.to_bar) == (here.from_bar, here.to_bar)


def _is_same(one: float, other: float) -> bool:
    """Tell whether two tempos are the same to a player."""
    return whole_bpm(one) == whole_bpm(other)


def _minutes(seconds: float) -> int:
    """Round to whole minutes."""
    return round(seconds / SECONDS_PER_MINUTE)
