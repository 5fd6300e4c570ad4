"""Runs as comma-separated values, a run a line, that no spreadsheet takes for formulas.

References
----------
OWASP, *CSV Injection* (owasp.org/www-community/attacks/CSV_Injection): a cell that
begins with ``= + - @``, a tab or a line break may be taken for a formula; an apostrophe
before it makes it text.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import TextIO

from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_words import say_mark_short

COLUMNS = (
    *("id", "started", "etude", "from_bar", "to_bar", "bpm"),
    *("completed", "clean", "marks", "note", "attended", "said"),
    *("player", "instrument", "dynamic_shift", "click", "guide", "word"),
    *("room_beats", "set_aside", "uid"),
)

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a formula may begin with; the full-width signs count alike in some programs."""


def write_table(file: TextIO, runs: Sequence[Run]) -> None:
    """Write runs as a table with a line of names."""
    table = csv.DictWriter(file, COLUMNS)
    table.writeheader()
    for run in runs:
        table.writerow({name: as_text(cell) for name, cell in _row(run).items()})


def as_text(cell: object) -> object:
    """Give a cell that is shown as it is; numbers stay numbers.

    Examples
    --------
    >>> as_text("=1+1"), as_text(-1.0)
    ("'=1+1", -1.0)
    """
    if isinstance(cell, str) and cell.startswith(FORMULA_SIGNS):
        return f"'{cell}"
    return cell


def _row(run: Run) -> dict[str, object]:
    """Lay a run out as a row."""
    return {
        "id": run.id,
        "started": run.started.isoformat(),
        "etude": run.etude,
        "from_bar": run.from_bar,
        "to_bar": run.to_bar,
        "bpm": run.bpm,
        "completed": run.is_completed,
        "clean": bool(run.is_clean),
        "marks": "; ".join(f"{mark.kind} {say_mark_short(mark)}" for mark in run.marks),
        "note": run.note,
        "attended": run.is_attended,
        "said": run.is_clean is not None,
        "player": run.how.player,
        "instrument": run.how.instrument,
        "dynamic_shift": run.how.dynamic_shift,
        "click": run.how.click,
        "guide": run.how.guide,
        "word": run.how.word,
        "room_beats": run.how.room_beats,
        "set_aside": run.set_aside or "",
        "uid": run.uid,
    }
