"""``coach log``: list the runs."""

from __future__ import annotations

import argparse
import csv
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from coach.errors import CoachError
from coach.plain.run_json import run_as_dict
from coach.plain.safe_json import write_json
from coach.planning.naming import say_place_short
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_words import say_run
from coach.wiring.open_rehearsal import open_log

if TYPE_CHECKING:
    from coach.score.etude_key import EtudeKey

COLUMNS = (
    *("id", "started", "etude", "from_bar", "to_bar", "bpm"),
    *("completed", "clean", "marks", "note", "attended", "said"),
)


def run(arguments: argparse.Namespace) -> int:
    """List runs as lines, as JSON or in a table file."""
    with open_log() as log:
        runs = log.list_runs(
            _key(arguments) if arguments.etude else None,
            _moment(arguments.since) if arguments.since else None,
        )
    if arguments.csv:
        _write_table(Path(arguments.csv), runs)
    if arguments.json:
        listed = [run_as_dict(run) for run in runs]
        print(write_json(listed))
    elif not arguments.csv:
        print("\n".join(map(_line, runs)) or "No runs yet. Rehearse one: coach")
    return 0


def _key(arguments: argparse.Namespace) -> EtudeKey:
    """Find the key that runs of an etude are kept under."""
    from coach.score.etude_key import key_of
    from coach.wiring.player_planner import open_whole

    return key_of(open_whole(arguments))


def _moment(date: str) -> datetime:
    """Read a date as its first moment here."""
    try:
        return datetime.fromisoformat(date).astimezone()
    except ValueError:
        raise CoachError(f"“{date}” is no date.", "Write it as 2026-01-31.") from None


def _line(run: Run) -> str:
    """Write a run as a line."""
    return f"{run.started.astimezone():%Y-%m-%d %H:%M}  {say_run(run)}"


def _write_table(path: Path, runs: Sequence[Run]) -> None:
    """Write runs as comma-separated values, a run a line."""
    try:
        with path.open("w", newline="", encoding="utf-8") as file:
            table = csv.DictWriter(file, COLUMNS)
            table.writeheader()
            table.writerows(map(_row, runs))
    except OSError as error:
        raise CoachError(
            f"{path} cannot be written: {error.strerror}.", "Name another file."
        ) from error


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
        "marks": "; ".join(
            f"{mark.kind} {say_place_short(mark.bar, mark.beat)}" for mark in run.marks
        ),
        "note": run.note,
        "attended": run.is_attended,
        "said": run.is_clean is not None,
    }
