"""The runs of an etude by the bars they were of: which part comes next, and how fast.

Conventions
-----------
Bars are numbers on the page, first and last.  Parts overlap by the bar that the next
one begins in, so that what is joined again was played across the join.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median_low

from coach.rehearsal.click.tempo_scale import (
    TempoSettings,
    notch_at_most,
    step_tempo,
    whole_bpm,
)
from coach.rehearsal.review.advice import Standing
from coach.rehearsal.review.footing import Footing, climb
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.marked import troubles_of
from coach.rehearsal.run.run import Run

Bars = tuple[int, int]


def first_tempo(goal_bpm: float, scale: TempoSettings, ladder: LadderSettings) -> float:
    """Tell the tempo to begin with: a notch well below the goal."""
    return min(goal_bpm, notch_at_most(goal_bpm * ladder.start_share, scale))


@dataclass(frozen=True, slots=True)
class SoFar:
    """What was played of an etude, seen from where the rehearsal stands."""

    played: tuple[Run, ...]
    """Runs of which it is known how they went, false starts left out; oldest first."""

    here: Standing
    """Where the rehearsal stands, in tempos that can be set."""

    ladder: LadderSettings
    """When to move on."""

    scale: TempoSettings
    """Which tempos there are."""

    def rung(self, bars: Bars) -> Footing | None:
        """Tell on which rung some bars stand; None where they were never played."""
        runs = [run for run in self.played if _bars(run) == bars]
        return climb(runs, self.ladder.trial_notches_count, self.scale)

    def clean_by_bars(self) -> dict[Bars, float]:
        """Tell at which tempo bars are clean, for all that are anywhere.

        What is solid counts; where nothing is, the rung at which the newest run was
        clean.
        """
        rungs = {bars: self.rung(bars) for bars in {_bars(run) for run in self.played}}
        solid = {
            bars: rung.solid_bpm
            for bars, rung in rungs.items()
            if rung is not None and rung.solid_bpm is not None
        }
        return solid or {
            bars: rung.bpm
            for bars, rung in rungs.items()
            if rung is not None and rung.clean
        }

    def parts_inside(self, bars: Bars) -> list[Bars]:
        """List the parts of some bars that are smaller than these, in order."""
        return [part for part in self.here.parts if _is_inside(part, bars)]

    def last_inside(self, bars: Bars) -> datetime | None:
        """Tell when a smaller part of these bars was played last."""
        inside = [run.started for run in self.played if _is_inside(_bars(run), bars)]
        return max(inside, default=None)

    def likely(self, bars: Bars) -> tuple[float, str]:
        """Name a tempo at which bars will likely be clean, and why.

        Parameters
        ----------
        bars : (int, int)
            Bars that were not played by themselves yet.

        Returns
        -------
        (float, str)
            No faster than the goal; and why, to stand after a comma.
        """
        solid = self.clean_by_bars()
        around = [bpm for one, bpm in solid.items() if _is_inside(bars, one)]
        within = [bpm for one, bpm in solid.items() if _is_inside(one, bars)]
        goal = self.here.goal_bpm
        if around:
            return min(goal, max(around)), "as clean as with the bars around them"
        if within:
            bpm = step_tempo(min(within), -1, self.scale)
            return min(goal, bpm), "a notch below the slowest of its parts"
        if solid:
            bpm = step_tempo(median_low(solid.values()), -1, self.scale)
            return min(goal, bpm), "a notch below what is clean in other bars"
        return (
            first_tempo(goal, self.scale, self.ladder),
            "slow enough to be clean",
        )

    def tempo_of(self, bars: Bars) -> float:
        """Name the tempo of bars that come next: their rung's, or a likely one."""
        rung = self.rung(bars)
        return (
            self.likely(bars)[0] if rung is None else min(rung.bpm, self.here.goal_bpm)
        )

    def part_in_the_way(self, failed: Sequence[Run]) -> tuple[Bars, float] | None:
        """Find the part to practise alone, and at which tempo.

        Parameters
        ----------
        failed : sequence of Run
            Runs of the bars at hand that were not clean.

        Returns
        -------
        ((int, int), float) or None
            The part in which most was marked; where nothing was, the one that is least
            known, and of those the hardest as it is planned; None where the bars at
            hand are no longer than a part.
        """
        here = (self.here.from_bar, self.here.to_bar)
        marked = Counter(
            bar
            for run in failed
            for bar in {mark.bar for mark in troubles_of(run)}
            if here[0] <= bar <= here[1]
        )
        parts = self.parts_inside(here)
        if marked:
            worst = max(sorted(marked), key=lambda bar: marked[bar])
            around = (max(here[0], worst - 1), min(here[1], worst + 1))
            parts = [part for part in parts if part[0] <= worst <= part[1]] or [around]
            parts = [part for part in parts if _is_inside(part, here)]
        if not parts:
            return None
        part = min(parts, key=lambda one: (self._known(one), *self._ease(one)))
        rung = self.rung(part)
        left = min(whole_bpm(failed[0].bpm), self.here.goal_bpm)
        if rung is not None and rung.failed:
            return part, min(rung.bpm, left)
        return part, left

    def waits_for(self, bars: Bars, bpm: float) -> tuple[Bars, float] | None:
        """Find the next step back to the bars that were left for these, and its tempo.

        A mended part is joined with its neighbours first, and so on outward, so that
        what goes wrong at a join shows while little is played around it.

        Parameters
        ----------
        bpm : float
            Tempo at which these bars are clean by now.

        Returns
        -------
        ((int, int), float) or None
            None where nothing wider was left, or its tempo is still too fast.
        """
        wider = [run for run in self.played if _is_inside(bars, _bars(run))]
        if not wider or wider[-1].is_clean:
            return None
        left = whole_bpm(wider[-1].bpm)
        return (self._joined(bars, _bars(wider[-1])), left) if bpm >= left else None

    def _joined(self, bars: Bars, wider: Bars) -> Bars:
        """Give bars with the parts before and after them, no wider than others."""
        parts = self.parts_inside(wider)
        before = [first for first, _ in parts if first < bars[0]]
        after = [last for _, last in parts if last > bars[1]]
        return max(before, default=wider[0]), min(after, default=wider[1])

    def _ease(self, part: Bars) -> tuple[float, float]:
        """Tell how little a part asks of arm and fingers, as it is planned."""
        ahead = self.here.outlook.ask(part, self.here.goal_bpm)
        return (0.0, 0.0) if ahead is None else (-ahead.hurry, -ahead.notes_per_s)

    def _known(self, part: Bars) -> float:
        """Tell how fast a part is known; 0 where it is not."""
        rung = self.rung(part)
        return 0.0 if rung is None else rung.bpm


def _bars(run: Run) -> Bars:
    return run.from_bar, run.to_bar


def _is_inside(inner: Bars, outer: Bars) -> bool:
    """Tell whether bars are a part of others, and not the same."""
    return inner != outer and outer[0] <= inner[0] and inner[1] <= outer[1]
