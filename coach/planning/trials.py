"""Try whether something gets the player through, by its breaths and in full."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Breather, Going, Passage, go_on
from coach.planning.breathing.search.lasting_air import can_last


@dataclass(frozen=True, slots=True)
class Trials:
    """How a changed passage is tried."""

    locks: Locks
    """What the player insists on, there too."""

    before_each: Going = go_on
    """Called before each plan; ends them all by an error of its own."""

    in_full: Callable[[Passage, Breather, Locks], BreathPlan] | None = None
    """Plans tongue and arm anew too, as the player will when it is tried; None where
    the effort of both stays as it is."""

    def plan(self, passage: Passage, who: Breather) -> BreathPlan:
        """Plan the breaths, with the effort of tongue and arm so far."""
        self.before_each()
        return plan_breaths(passage, who, self.locks)

    def outcome(self, passage: Passage, who: Breather) -> BreathPlan:
        """Plan with arm and tongue planned for it too, where the air lasts so far."""
        plan = self.plan(passage, who)
        if plan.runs_out is not None or self.in_full is None:
            return plan
        self.before_each()
        return self.in_full(passage, who, self.locks)

    def works(self, passage: Passage, who: Breather) -> bool:
        """Tell whether the air lasts, with arm and tongue planned for it too."""
        self.before_each()
        if not can_last(lay_places(passage, who), self.locks):
            return False
        return self.outcome(passage, who).runs_out is None

    @property
    def has_places(self) -> bool:
        """The player insists on notes by their place among the others."""
        locks = self.locks
        return any((locks.must, locks.must_not, locks.left_out, locks.kept))
