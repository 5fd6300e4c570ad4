"""``coach plan``: print where to breathe and which positions to take."""

from __future__ import annotations

import argparse
import json
import shutil
import sys

from coach.commands.workshop import Workshop, open_part
from coach.planning.edits import Edits
from coach.planning.plan_json import plan_as_dict
from coach.planning.plan_table import compare_lines, plan_lines


def run(arguments: argparse.Namespace) -> int:
    """Print the plan as a table, or as JSON."""
    part = open_part(arguments)
    workshop = Workshop(arguments.instrument)
    bpm = arguments.tempo or part.tempo.bpm
    plan = workshop.plan(part, bpm, Edits())
    if arguments.json:
        print(json.dumps(plan_as_dict(plan), ensure_ascii=False, indent=1))
        return 0
    width = shutil.get_terminal_size().columns
    lines = plan_lines(plan, width=width, is_ascii=not _is_wide(sys.stdout.encoding))
    if arguments.compare:
        lines += ["", *compare_lines(plan, workshop.plan_tongued(plan))]
    if arguments.reach:
        lines += ["", *workshop.reach_lines(part)]
    print("\n".join(lines))
    return 0


def _is_wide(encoding: str | None) -> bool:
    """Tell whether the screen has more signs than ASCII."""
    return (encoding or "").lower().replace("-", "").startswith("utf")
