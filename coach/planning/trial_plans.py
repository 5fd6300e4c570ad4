"""Trials that plan tongue and arm anew, as a player will who takes up a way out."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.breathing.breaths import BreathPlan
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Breather, Going, Passage, go_on
from coach.planning.edits import Edits
from coach.planning.performer import Performer
from coach.planning.plan import make_breaths
from coach.planning.trials import Trials


def full_trials(
    performer: Performer, edits: Edits, before_each: Going = go_on
) -> Trials:
    """Try what the player would get: other tempi ask for other efforts of the arm.

    Parameters
    ----------
    edits : Edits
        What the player insists on; the loudness lies in the passages already.
    before_each : callable
        Called before each plan; ends them all by an error of its own.
    """
    as_loud = replace(edits, dynamic_shift=0.0)

    def in_full(passage: Passage, who: Breather, locks: Locks) -> BreathPlan:
        even = passage.worked((1.0,) * len(passage.part.notes))
        asked = replace(as_loud, locks=locks)
        return make_breaths(even, replace(performer, player=who.player), asked)

    return Trials(edits.locks, before_each, in_full)
