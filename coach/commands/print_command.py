"""``coach print``: the part with its breaths, positions and slurs, for the stand."""

from __future__ import annotations

import argparse
from pathlib import Path

from coach.errors import CoachError
from coach.wiring.moved_etudes import open_whole
from coach.wiring.plans.asked_plan import make_asked_plan
from coach.wiring.plans.marked_part import write_marked_part

ENDINGS = (".html", ".htm")


def run(arguments: argparse.Namespace) -> int:
    """Write the marked part into a file, and say how it gets onto paper."""
    path = Path(arguments.file)
    if path.suffix.lower() not in ENDINGS:
        raise CoachError(
            f"“{arguments.file}” does not end in .html: the part is a page for a "
            "browser, which prints it or saves it as PDF.",
            "Name it so: -o part.html",
        )
    write_marked_part(make_asked_plan(open_whole(arguments), arguments).plan, path)
    print(f"The marked part is in {path}: open it in a browser and print it there.")
    return 0
