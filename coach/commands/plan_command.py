"""``coach plan``: print where to breathe, how the air goes, what arm and tongue do.

With ``--paper`` that is marked in the part, to be printed and taken to the stand.
"""

from __future__ import annotations

import argparse
import shutil
from dataclasses import replace
from pathlib import Path

from coach.config import player_name
from coach.errors import CoachError
from coach.plain.check_json import check_as_dict
from coach.plain.check_table import check_lines
from coach.plain.plan_json import plan_as_dict
from coach.plain.plan_table import compare_lines, plan_lines
from coach.plain.reach_table import reach_lines
from coach.plain.safe_json import write_json
from coach.planning.instrument.range_fit import say_fit
from coach.planning.page_words import page_words
from coach.planning.plan import Plan
from coach.rehearsal.stand.segment_choice import choose_bars, cut_choice
from coach.score.etude_key import key_of
from coach.score.phrase import Part
from coach.wiring.marked_part import write_marked_part
from coach.wiring.moved_etudes import open_whole
from coach.wiring.open_rehearsal import open_log, wishes_of
from coach.wiring.player_planner import REACH_SHARES, PlayerPlanner
from coach.wiring.terminal.terminal_signs import tell


def run(arguments: argparse.Namespace) -> int:
    """Print the plan as a table, or as JSON."""
    whole = open_whole(arguments)
    if arguments.check:
        return _check(whole, arguments)
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
    ways_out = planner.ways_out(plan, edits)
    if arguments.paper is not None:
        return _write_paper(plan, arguments.paper)
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
        bpms = [share * part.tempo.bpm for share in REACH_SHARES]
        lines += ["", *reach_lines(planner.reach(part, bpms, edits))]
    tell(lines)
    return 0


def _write_paper(plan: Plan, name: str) -> int:
    """Write the marked part into a file, and say how it gets onto paper."""
    path = Path(name)
    if not path.name:
        raise CoachError(f"“{name}” is no name of a file.", "Name another file.")
    write_marked_part(plan, path)
    print(f"The marked part is in {path}: open it in a browser and print it there.")
    return 0


def _check(whole: Part, arguments: argparse.Namespace) -> int:
    """Print what was read of the page."""
    instrument = PlayerPlanner(arguments.instrument).instrument
    if arguments.json:
        print(write_json(check_as_dict(whole, say_fit(whole, instrument))))
        return 0
    tell(check_lines(whole, page_words(whole, instrument)))
    return 0
