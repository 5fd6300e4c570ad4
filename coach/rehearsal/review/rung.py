"""One rung of the ladder of tempos: how far it is to the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coach.rehearsal.click.tempo_scale import (
    TempoSettings,
    say_bpm,
    whole_bpm,
)
from coach.rehearsal.review.advice import Advice, say_goal
from coach.rehearsal.review.footing import Footing, climb, within_reach
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.progress import played_of
from coach.rehearsal.run.playing import less_room, say_room
from coach.rehearsal.run.run import Run


@dataclass(frozen=True, slots=True)
class Rung:
    """Where a player stands with some bars at one tempo."""

    clean: int
    """Clean runs in a row, up to the newest."""

    wanted: int
    """So many move the tempo up."""

    bpm: float
    """The tempo, in whole beats a minute."""

    next_bpm: float | None
    """The tempo that comes after so many; None where something else comes."""

    goal_bpm: float
    """The page's tempo, in whole beats a minute."""

    room_beats: float = 0.0
    """Beats of rest at each breath, of which there is less after so many; 0 in time."""

    def before_word(self, said: Rung) -> Rung:
        """Count no run that nobody has called clean yet: only what was said of others.

        What is wanted, and what comes then, stays as if it had been clean.

        Examples
        --------
        >>> if_clean = Rung(clean=1, wanted=1, bpm=48, next_bpm=52, goal_bpm=76)
        >>> said = Rung(clean=0, wanted=1, bpm=48, next_bpm=52, goal_bpm=76)
        >>> if_clean.before_word(said).say()
        '0 of 1 clean at 48, then 52'
        """
        return replace(self, clean=said.clean, wanted=max(self.wanted, said.clean + 1))

    def say(self) -> str:
        """Say it: ``2 of 3 clean at 72, then 76``.

        Examples
        --------
        >>> Rung(clean=2, wanted=3, bpm=72, next_bpm=76, goal_bpm=92).say()
        '2 of 3 clean at 72, then 76'
        >>> Rung(clean=4, wanted=3, bpm=92, next_bpm=96, goal_bpm=92).say()
        '3 of 3 clean at 92, the goal'
        >>> Rung(clean=1, wanted=3, bpm=96, next_bpm=100, goal_bpm=92).say()
        '1 of 3 clean at 96, above the goal 92'
        >>> Rung(clean=1, wanted=1, bpm=72, next_bpm=None, goal_bpm=92).say()
        '1 of 1 clean at 72'
        """
        clean = f"{min(self.clean, self.wanted)} of {self.wanted} clean"
        here = f"{clean} at {say_bpm(self.bpm)}"
        if self.room_beats:
            less = less_room(self.room_beats)
            then = say_room(less) if less else "in time"
            return f"{here} with {say_room(self.room_beats)}, then {then}"
        if self.bpm >= self.goal_bpm:
            return f"{here}, {say_goal(self.bpm, self.goal_bpm)}"
        if self.next_bpm is None:
            return here
        return f"{here}, then {say_bpm(min(self.next_bpm, self.goal_bpm))}"


def find_rung(
    runs: Sequence[Run],
    bpms: tuple[float, float],
    advice: Advice,
    ladder: LadderSettings,
    scale: TempoSettings,
    room_beats: float = 0.0,
) -> Rung:
    """Tell how far it is to the next tempo, as the advice counts.

    Parameters
    ----------
    runs : sequence of Run
        Runs of the bars at hand, oldest first.
    bpms : (float, float)
        The tempo at hand, and the page's.
    """
    bpm, goal = whole_bpm(bpms[0]), whole_bpm(bpms[1])
    alike = [run for run in played_of(runs) if run.how.room_beats == room_beats]
    alike = within_reach(alike, goal, ladder)
    footing = climb(alike, ladder.trial_notches_count, scale) or Footing(bpm, ())
    footing = footing.at(bpm)
    wanted = ladder.room_runs if room_beats else footing.needed(goal, ladder, scale)
    next_bpm = None
    if advice.kind == "faster":
        next_bpm = advice.bpm
    elif footing.clean < wanted or advice.kind == "again":
        next_bpm = footing.next_tempo(goal, ladder, scale)
    return Rung(
        clean=footing.clean,
        wanted=max(wanted, footing.clean + 1) if advice.kind == "again" else wanted,
        bpm=bpm,
        next_bpm=next_bpm,
        goal_bpm=goal,
        room_beats=room_beats,
    )
