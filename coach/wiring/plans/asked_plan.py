"""The plan that a command asks for: its bars and tempo, and what was locked before."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.stand.segment_choice import choose_bars, cut_choice
from coach.score.etude_key import key_of
from coach.score.phrase import Part
from coach.wiring.open_rehearsal import open_log, wishes_of
from coach.wiring.player_planner import PlayerPlanner

if TYPE_CHECKING:
    import argparse


class AskedPlan(NamedTuple):
    """A plan, with who made it and from what."""

    plan: Plan
    """The plan, told how sure its breaths are."""

    planner: PlayerPlanner
    """Plans for the player and the instrument."""

    edits: Edits
    """What is locked in it."""


def make_asked_plan(whole: Part, arguments: argparse.Namespace) -> AskedPlan:
    """Plan the bars that are asked for, with the edits that the log holds."""
    wishes = wishes_of(whole, arguments)
    bars = choose_bars(whole, wishes.from_bar, wishes.to_bar)
    segment = cut_choice(whole, bars, wishes)
    part = segment.part
    with open_log(to_play=True) as log:
        kept = log.read_edits(key_of(whole))
        planner = PlayerPlanner(arguments.instrument, log)
    edits = kept.within(segment.first_note, len(part.notes))
    planner.hear_whole(whole)
    if arguments.every_note:
        locks = replace(edits.locks, left_out=frozenset(), may_leave_out=False)
        edits = replace(edits, locks=locks)
    plan = planner.tell_sure(planner.plan(part, wishes.bpm, edits), edits)
    return AskedPlan(plan, planner, edits)
