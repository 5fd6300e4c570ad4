"""The next step from a rung of the ladder: up, down, on, or to a smaller part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import takewhile

from coach.planning.naming import say_bars
from coach.rehearsal.ahead.breath_before import say_fill_up, say_keeps_running_out
from coach.rehearsal.click.tempo_scale import (
    TempoSettings,
    say_bpm,
    step_tempo,
    whole_bpm,
)
from coach.rehearsal.review.advice import (
    Advice,
    AdviceKind,
    Standing,
    advice_on,
    say_goal,
    say_minutes,
)
from coach.rehearsal.review.footing import Footing
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.marked import (
    is_one_place,
    say_what_failed,
)
from coach.rehearsal.review.parts import SoFar
from coach.rehearsal.run.run import Run


@dataclass(frozen=True, slots=True)
class NextStep:
    """The next step from a rung; each way is None where it does not apply."""

    so_far: SoFar
    """What was played of the etude."""

    rung: Footing
    """Where the bars at hand stand."""

    last_with_room: datetime | None = None
    """When they were last played with room to breathe; None if they never were."""

    @property
    def here(self) -> Standing:
        """Where the rehearsal stands."""
        return self.so_far.here

    @property
    def ladder(self) -> LadderSettings:
        """When to move on."""
        return self.so_far.ladder

    @property
    def scale(self) -> TempoSettings:
        """Which tempos there are."""
        return self.so_far.scale

    @property
    def failed(self) -> Sequence[Run]:
        """Failed runs in a row, newest first, since a part or room was practised."""
        inside = self.so_far.last_inside((self.here.from_bar, self.here.to_bar))
        lasts = [last for last in (inside, self.last_with_room) if last is not None]
        since = max(lasts, default=None)
        return [run for run in self.rung.failed if since is None or run.started > since]

    @property
    def falls_today(self) -> int:
        """How often these bars went down today."""
        today = self.here.now.date()
        return sum(1 for _, day in self.rung.falls if day == today)

    @property
    def _is_learned(self) -> bool:
        """All of it is clean at the goal, and was on enough days."""
        is_there = self.here.is_whole and self.rung.bpm >= self.here.goal_bpm
        enough = self.ladder.learned_days_count
        return is_there and bool(self.rung.clean) and self._clean_days >= enough

    @property
    def _clean_days(self) -> int:
        """On how many days these bars were clean at this tempo."""
        clean = (run.started for run in self.rung.runs if run.is_clean)
        return len({at.astimezone(self.here.now.tzinfo).date() for at in clean})

    def _say_learned(self) -> str:
        """Say that it is learned, and when to come back to it."""
        at = f"{say_bpm(self.rung.bpm)}, {say_goal(self.rung.bpm, self.here.goal_bpm)}"
        return f"Clean at {at}, on {self._clean_days} days: come back to it in a week"

    @property
    def _is_solid(self) -> bool:
        """Most of the last runs at this tempo, or at a faster one, were clean."""
        return (self.rung.solid_bpm or 0.0) >= self.rung.bpm

    @property
    def _of_these_bars(self) -> Sequence[Run]:
        """All runs of the bars at hand, oldest first."""
        bars = (self.here.from_bar, self.here.to_bar)
        return [run for run in self.so_far.played if (run.from_bar, run.to_bar) == bars]

    def back_from_trial(self) -> Advice | None:
        """After one run far above the rung: once more if clean, else back."""
        trial, bpm = self.rung.trial, self.rung.bpm
        if trial is None:
            return None
        tried = say_bpm(whole_bpm(trial.bpm))
        if trial.is_clean:
            to_try = min(whole_bpm(trial.bpm), self.here.goal_bpm)
            then = "once more at" if to_try == whole_bpm(trial.bpm) else "now at"
            why = f"Clean at {tried}, far above {say_bpm(bpm)}: "
            why += f"{then} {say_bpm(to_try)}, to be sure."
            return advice_on(self.here, "again", to_try, why)
        why = f"{tried} is not clean yet: back to {say_bpm(bpm)}."
        return advice_on(self.here, "slower", bpm, why)

    def test_again(self) -> Advice | None:
        """Ask for the old tempo first on a new day; a little less after long."""
        newest = self.rung.runs[-1].started.astimezone(self.here.now.tzinfo)
        away_days = (self.here.now.date() - newest.date()).days
        if away_days <= 0:
            return None
        solid = self.rung.bpm if self.rung.clean else self.rung.solid_bpm
        if solid is None:
            down = -1 if len(self.rung.failed) >= self.ladder.demote_runs else 0
            bpm = step_tempo(self.rung.bpm, down, self.scale)
            what = say_what_failed(self.rung.failed)
            why = f"Not clean yet when it was last played{what}: try it afresh at "
            why += f"{say_bpm(bpm)}{say_fill_up(self.here, bpm, self.rung.failed)}."
            return advice_on(self.here, "again", bpm, why)
        weeks = int(away_days // self.ladder.notch_lost_days)
        if self._is_learned and not weeks:
            return advice_on(self.here, "rest", solid, f"{self._say_learned()}.")
        notches = min(weeks, self.ladder.most_notches_count)
        bpm = step_tempo(solid, -notches, self.scale)
        why = f"Clean at {say_bpm(solid)} on another day"
        if notches:
            why += f", {away_days} days ago: begin again at {say_bpm(bpm)}."
        elif solid < self.here.goal_bpm:
            why += ": see whether it still is, before moving up."
        else:
            why += ": see whether it still is."
        return advice_on(self.here, "again", bpm, why)

    def slower(self) -> Advice | None:
        """Move down after enough failed runs; then to a part; then leave it.

        Above the goal one that failed is enough, but where it was solid up there.
        """
        failed, goal = self.failed, self.here.goal_bpm
        if failed and self.rung.bpm > goal and not self._is_solid:
            why = f"{say_bpm(self.rung.bpm)}, above the goal, is not clean: back to "
            why += f"{say_bpm(goal)}."
            return advice_on(self.here, "slower", goal, why)
        if len(failed) < self.ladder.demote_runs:
            return None
        what = f"{len(failed)} runs at {say_bpm(self.rung.bpm)} were not clean"
        what += say_what_failed(failed)
        is_new = len(self.rung.runs) <= self.ladder.settle_runs
        was_given_up = any(fell == self.rung.bpm for fell, _ in self.rung.falls)
        if is_new and (was_given_up or is_one_place(failed)):
            part = self.smaller(what)
            if part is not None:
                return part
        was_clean = any(run.is_clean for run in self.so_far.played)
        notches = 1 if was_clean else self.ladder.never_clean_notches_count
        below = step_tempo(self.rung.bpm, -notches, self.scale)
        if self.falls_today < self.ladder.falls_a_day_count and below < self.rung.bpm:
            why = f"{what}: go down to {say_bpm(below)}"
            why += f"{say_fill_up(self.here, below, failed)}."
            return advice_on(self.here, "slower", below, why)
        return self.smaller(what) or self.leave(what)

    def smaller(self, what: str) -> Advice | None:
        """Go to the part that is in the way; None where there is none to go to."""
        part = self.so_far.part_in_the_way(self.failed)
        if part is None:
            return None
        bars, bpm = part
        return Advice(
            "part", *bars, bpm, f"{what}: {say_bars(*bars)} alone, at {say_bpm(bpm)}."
        )

    def leave(self, what: str) -> Advice:
        """Leave these bars for today."""
        why = f"{what}: leave it for today, and come back to it after a night"
        if self.here.is_whole or self.here.following is None:
            return advice_on(self.here, "rest", self.rung.bpm, f"{why}.")
        return self._move_on(why)

    def up_or_on(self) -> Advice | None:
        """Move up after enough clean runs; at the goal, or where joined, move on."""
        clean, here = self.rung.clean, self.here
        is_goal = self.rung.bpm >= here.goal_bpm
        if clean < self.rung.enough(here.goal_bpm, self.ladder):
            return None
        done = f"{_say_clean(clean)} at {say_bpm(self.rung.bpm)}"
        wider = self.so_far.waits_for((here.from_bar, here.to_bar), self.rung.bpm)
        if wider is not None:
            bars, bpm = wider
            kind: AdviceKind = "whole" if bars == here.bars else "next"
            why = f"{done}: join them again, {say_bars(*bars)} at {say_bpm(bpm)}."
            return Advice(kind, *bars, bpm, why)
        if is_goal:
            done += f", {say_goal(self.rung.bpm, here.goal_bpm)}"
            if here.is_whole:
                why = f"{done}: come back to it tomorrow."
                if self._is_learned:
                    why = f"{self._say_learned()}."
                return advice_on(here, "rest", self.rung.bpm, why)
            return self._move_on(done)
        bpm = self._next_tempo
        falls = self.rung.falls_up_to(bpm)
        if falls and self.falls_today >= self.ladder.falls_a_day_count:
            return self.leave(f"{done}, and {say_bpm(bpm)} was too fast today")
        if clean < self._needed:
            return None
        return advice_on(here, "faster", bpm, f"{done}: go up to {say_bpm(bpm)}.")

    @property
    def _next_tempo(self) -> float:
        """The next tempo up."""
        return self.rung.next_tempo(self.here.goal_bpm, self.ladder, self.scale)

    @property
    def _needed(self) -> int:
        """Clean runs in a row that a move up takes."""
        return self.rung.needed(self.here.goal_bpm, self.ladder, self.scale)

    def another_spot(self) -> Advice | None:
        """Leave a segment after a few minutes; the whole part is no spot."""
        if self.here.is_whole:
            return None
        bars = (self.here.from_bar, self.here.to_bar)
        block = takewhile(
            lambda run: (
                (run.from_bar, run.to_bar) == bars
                and (self.here.now - run.started).total_seconds()
                < self.ladder.rehearsal_pause_s
            ),
            reversed(self.so_far.played),
        )
        played_s = sum(run.lasted for run in block)
        if played_s < self.ladder.block_s:
            return None
        return self._move_on(f"{say_minutes(played_s)} on the same bars are enough")

    def try_goal(self) -> Advice | None:
        """Try the goal now and then, once it is not too far."""
        goal = self.here.goal_bpm
        far = step_tempo(self.rung.bpm, self.ladder.trial_notches_count, self.scale)
        if not self.rung.clean or goal <= far:
            return None
        if self.rung.bpm < goal * self.ladder.goal_try_share:
            return None
        recent = self.so_far.played[-self.ladder.goal_try_runs :]
        if len(recent) < self.ladder.goal_try_runs:
            return None
        if any(run.bpm >= goal for run in recent):
            return None
        why = (
            f"Try it once at {say_bpm(goal)}, the goal: to hear what is still missing."
        )
        return advice_on(self.here, "goal", goal, why)

    def again(self) -> Advice:
        """Ask for the same once more."""
        bpm, clean, here = self.rung.bpm, self.rung.clean, self.here
        is_goal = bpm >= here.goal_bpm
        needed = self._needed
        if clean:
            then = "it is there" if is_goal else "it goes up"
            why = f"{clean} clean in a row; {needed - clean} more and {then}"
            why += self.rung.say_why_so_many(here.goal_bpm, self.ladder, self.scale)
        else:
            why = f"Not clean yet{say_what_failed(self.failed)}: once more at "
            why += f"{say_bpm(bpm)}{say_fill_up(here, bpm, self.rung.failed[:1])}."
            why += say_keeps_running_out(self._of_these_bars, self.ladder)
        advice = advice_on(here, "again", bpm, why)
        return replace(advice, clean=clean, needed=needed)

    def _move_on(self, why: str) -> Advice:
        """Go to the next segment, or to the whole after the last."""
        bars = self.here.following or self.here.bars
        bpm = self.so_far.tempo_of(bars)
        if self.here.following is None:
            return Advice("whole", *bars, bpm, f"{why}: now all of it.")
        return Advice("next", *bars, bpm, f"{why}: go on to {say_bars(*bars)}.")


def _say_clean(clean: int) -> str:
    """Say how many runs were clean."""
    return f"{clean} clean runs in a row" if clean > 1 else "Clean"
