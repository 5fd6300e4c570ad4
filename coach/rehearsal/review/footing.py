"""Where a player stands on the ladder of tempos, for some bars, as the log has it.

Conventions
-----------
Runs are of one segment and oldest first, false starts left out.  Whenever the tempo
moves, counts begin anew.  One run far above the rung is a trial: it moves nothing
unless a second follows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import takewhile

from coach.rehearsal.click.tempo_scale import (
    TempoSettings,
    say_bpm,
    step_tempo,
    whole_bpm,
)
from coach.rehearsal.review.advice import say_number, say_often
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.run.run import Run

LAST_RUNS = 3
"""What is solid shows in so many of the last runs at a tempo ..."""

MOST = 2
"""... of which so many were clean."""


@dataclass(frozen=True, slots=True)
class Footing:
    """The tempo at which some bars are practised, and how it went there."""

    bpm: float
    """The tempo, in whole beats a minute."""

    runs: tuple[Run, ...]
    """Runs at it since it was last moved to, oldest first."""

    falls: tuple[tuple[float, date], ...] = ()
    """Tempos that were given up for slower ones after runs that failed, and when."""

    solid_bpm: float | None = None
    """Fastest tempo that the last runs at it uphold; None where there is none."""

    is_smooth: bool = True
    """No run failed since these bars were begun."""

    trial: Run | None = None
    """The newest run, where it was a trial far above the rung."""

    @property
    def clean(self) -> int:
        """Clean runs in a row, up to the newest."""
        return len(list(takewhile(lambda run: run.is_clean, self.runs[::-1])))

    @property
    def failed(self) -> tuple[Run, ...]:
        """Failed runs in a row, the newest first."""
        return tuple(takewhile(lambda run: not run.is_clean, self.runs[::-1]))

    def falls_up_to(self, bpm: float) -> int:
        """Count how often a faster tempo than this, up to another, was given up."""
        return sum(1 for fell, _ in self.falls if self.bpm < fell <= bpm)

    def next_tempo(
        self, goal_bpm: float, ladder: LadderSettings, scale: TempoSettings
    ) -> float:
        """Name the next tempo: a longer step far from the goal if nothing failed."""
        is_far = self.bpm < goal_bpm * ladder.smooth_up_to_share
        notches = ladder.smooth_notches_count if is_far and self.is_smooth else 1
        return min(goal_bpm, step_tempo(self.bpm, notches, scale))

    def enough(self, goal_bpm: float, ladder: LadderSettings) -> int:
        """Tell how many clean runs in a row are enough at this tempo."""
        if self.bpm >= goal_bpm:
            return ladder.promote_runs
        if self.is_smooth:
            return ladder.smooth_runs
        is_near = self.bpm >= goal_bpm * ladder.near_goal_share
        return ladder.near_goal_runs if is_near else ladder.promote_runs

    def needed(
        self, goal_bpm: float, ladder: LadderSettings, scale: TempoSettings
    ) -> int:
        """Tell how many clean runs a move up takes: more, where it failed before."""
        falls = self.falls_up_to(self.next_tempo(goal_bpm, ladder, scale))
        return self.enough(goal_bpm, ladder) + min(falls, ladder.most_wary_runs)

    def say_why_so_many(
        self, goal_bpm: float, ladder: LadderSettings, scale: TempoSettings
    ) -> str:
        """End a sentence, and say why a move up takes more than a few clean runs."""
        needed = self.needed(goal_bpm, ladder, scale)
        if self.bpm >= goal_bpm or needed <= ladder.near_goal_runs:
            return "."
        above = self.next_tempo(goal_bpm, ladder, scale)
        falls = self.falls_up_to(above)
        because = "not every run here was clean"
        if falls:
            often = "" if falls == 1 else f" {say_often(falls)}"
            because = f"{say_bpm(above)} went wrong{often} before"
        return f": {say_number(needed)} in all, since {because}."

    def at(self, bpm: float) -> Footing:
        """Tell how it would stand at a tempo, in whole beats a minute.

        What a trial counts, it counts once a second run follows it.
        """
        if bpm == self.bpm:
            return self
        gives_up = bpm < self.bpm and bool(self.failed)
        fall = ((self.bpm, self.runs[-1].started.date()),) if gives_up else ()
        trial = self.trial
        runs = (trial,) if trial is not None and whole_bpm(trial.bpm) == bpm else ()
        return replace(self, bpm=bpm, runs=runs, falls=self.falls + fall, trial=None)


def within_reach(
    runs: Sequence[Run], goal_bpm: float, ladder: LadderSettings
) -> list[Run]:
    """Leave out what failed so far above the goal that it tells nothing of the bars.

    Where these bars were clean up there, failing there tells as much as that.
    """
    most_bpm = goal_bpm * ladder.most_over_goal_share
    clean_above = {
        (run.from_bar, run.to_bar)
        for run in runs
        if run.is_clean and run.bpm > most_bpm
    }
    return [
        run
        for run in runs
        if run.bpm <= most_bpm or (run.from_bar, run.to_bar) in clean_above
    ]


@dataclass(slots=True)
class _Climb:
    """A rung in the making."""

    bpm: float
    runs: list[Run] = field(default_factory=list)
    falls: list[tuple[float, date]] = field(default_factory=list)
    trial: Run | None = None


def climb(
    runs: Sequence[Run], trial_notches_count: int, scale: TempoSettings
) -> Footing | None:
    """Go through the runs of a segment and tell on which rung it stands.

    Parameters
    ----------
    trial_notches_count : int
        A single run more notches than this above the rung is a trial.

    Returns
    -------
    Footing or None
        None where the segment was never played.
    """
    if not runs:
        return None
    state = _Climb(whole_bpm(runs[0].bpm))
    for run in runs:
        _take(state, run, trial_notches_count, scale)
    return Footing(
        bpm=state.bpm,
        runs=tuple(state.runs),
        falls=tuple(state.falls),
        solid_bpm=_solid(runs),
        is_smooth=all(run.is_clean for run in runs),
        trial=state.trial,
    )


def _take(
    state: _Climb, run: Run, trial_notches_count: int, scale: TempoSettings
) -> None:
    """Move the rung by one run."""
    bpm = whole_bpm(run.bpm)
    if bpm == state.bpm:
        state.runs.append(run)
        state.trial = None
        return
    trial = state.trial
    is_far = bool(state.runs) and bpm > step_tempo(
        state.bpm, trial_notches_count, scale
    )
    if is_far and (trial is None or whole_bpm(trial.bpm) != bpm):
        state.trial = run
        return
    if bpm < state.bpm and state.runs and not state.runs[-1].is_clean:
        state.falls.append((state.bpm, run.started.date()))
    state.bpm = bpm
    state.runs = [trial, run] if is_far and trial else [run]
    state.trial = None


def _solid(runs: Sequence[Run]) -> float | None:
    """Give the fastest tempo at which most of the last runs were clean.

    Of a tempo that was played only once nothing is known: it may have been luck.
    """
    by_tempo: dict[float, list[bool]] = {}
    for run in runs:
        by_tempo.setdefault(whole_bpm(run.bpm), []).append(bool(run.is_clean))
    solid = [bpm for bpm, went in by_tempo.items() if sum(went[-LAST_RUNS:]) >= MOST]
    return max(solid, default=None)
