"""One rung of the ladder of tempos: how far it is to the next."""

from __future__ import annotations

from dataclasses import dataclass

from coach.rehearsal.click.tempo_scale import say_bpm


@dataclass(frozen=True, slots=True)
class Rung:
    """Where a player stands with some bars at one tempo."""

    clean: int
    """Clean runs in a row, up to the newest."""

    wanted: int
    """So many move the tempo up."""

    bpm: float
    """The tempo, in whole beats a minute."""

    next_bpm: float
    """One notch faster."""

    goal_bpm: float
    """The page's tempo, in whole beats a minute."""

    def say(self) -> str:
        """Say it: ``2 of 3 clean at 72, then 76``.

        Examples
        --------
        >>> Rung(clean=2, wanted=3, bpm=72, next_bpm=76, goal_bpm=92).say()
        '2 of 3 clean at 72, then 76'
        >>> Rung(clean=4, wanted=3, bpm=92, next_bpm=96, goal_bpm=92).say()
        '3 of 3 clean at 92, the goal'
        """
        clean = f"{min(self.clean, self.wanted)} of {self.wanted} clean"
        here = f"{clean} at {say_bpm(self.bpm)}"
        if self.bpm >= self.goal_bpm:
            return f"{here}, the goal"
        return f"{here}, then {say_bpm(min(self.next_bpm, self.goal_bpm))}"
