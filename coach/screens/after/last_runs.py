"""How the last runs went in each bar."""

from __future__ import annotations

from collections.abc import Sequence

from coach.rehearsal.run.mark_kinds import FAULTS
from coach.rehearsal.run.run import Run
from coach.screens.signs import Signs

LAST = 5
"""Runs that are shown, as many as a glance can count: our own choice."""


def went_wrong_in(run: Run, bar: int) -> bool | None:
    """Tell whether something went wrong in a bar; None if it was not played."""
    reached = run.to_bar if run.is_completed else run.reached_bar
    if reached is None or not run.from_bar <= bar <= reached:
        return None
    return any(mark.bar == bar and mark.kind in FAULTS for mark in run.marks)


def say_bar(runs: Sequence[Run], bar: int, width: int, signs: Signs) -> str:
    """Write how a bar went: a sign for each run, oldest first, or how often it failed.

    In a narrow bar a figure stands for the signs, and nothing where all went well.
    """
    wrong, well = ("x", ".") if signs.is_plain else ("▪", "▫")
    told = {True: wrong, False: well, None: " "}
    went = [went_wrong_in(run, bar) for run in runs]
    if width > LAST:
        return "".join(told[one] for one in went)
    failed = went.count(True)
    return str(failed) if failed else ""
