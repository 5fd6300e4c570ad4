"""``coach plan``: print where to breathe, how the air goes, what arm and tongue do."""

from __future__ import annotations

import argparse
import shutil

from coach.config import player_name
from coach.plain.check_json import check_as_dict
from coach.plain.check_table import check_lines
from coach.plain.plan_json import plan_as_dict
from coach.plain.plan_table import compare_lines, plan_lines
from coach.plain.reach_table import reach_lines
from coach.plain.safe_json import write_json
from coach.planning.instrument.range_fit import say_fit
from coach.planning.page_words import page_words
from coach.score.phrase import Part
from coach.wiring.moved_etudes import open_whole
from coach.wiring.plans.asked_plan import make_asked_plan
from coach.wiring.player_planner import REACH_SHARES, PlayerPlanner
from coach.wiring.terminal.terminal_signs import tell


def run(arguments: argparse.Namespace) -> int:
    """Print the plan as a table, or as JSON."""
    whole = open_whole(arguments)
    if arguments.check:
        return _check(whole, arguments)
    plan, planner, edits = make_asked_plan(whole, arguments)
    ways_out = planner.ways_out(plan, edits)
    if arguments.json:
        gap = planner.prove(plan, edits)
        print(write_json(plan_as_dict(plan, ways_out, gap=gap)))
        return 0
    width = shutil.get_terminal_size().columns
    lines = plan_lines(plan, width=width, ways_out=ways_out, player=player_name())
    lines += ["", planner.air.estimate.says, planner.air.planned.says]
    if arguments.compare:
        lines += ["", *compare_lines(plan, planner.plan_tongued(plan))]
    if arguments.reach:
        bpms = [share * plan.part.tempo.bpm for share in REACH_SHARES]
        lines += ["", *reach_lines(planner.reach(plan.part, bpms, edits))]
    tell(lines)
    return 0


def _check(whole: Part, arguments: argparse.Namespace) -> int:
    """Print what was read of the page."""
    instrument = PlayerPlanner(arguments.instrument).instrument
    if arguments.json:
        print(write_json(check_as_dict(whole, say_fit(whole, instrument))))
        return 0
    tell(check_lines(whole, page_words(whole, instrument)))
    return 0
