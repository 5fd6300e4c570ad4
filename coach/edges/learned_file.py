"""Keep what was learned up to the last finished day, so that it need not be again.

It is a copy, never the source: a file that is damaged, of another coach, or that
cannot be written, is as good as none, and everything is learned anew from the log.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from coach.config import write_whole
from coach.edges.kept_file import read_kept
from coach.rehearsal.learning.belief import Belief
from coach.rehearsal.learning.learning import Learned

DIGITS = 9
"""Significant digits kept of a belief."""


@dataclass(frozen=True, slots=True)
class LearnedDays:
    """What was learned, and from which runs."""

    learned: Learned
    """Up to the end of the last finished day."""

    runs: tuple[int, ...]
    """Numbers in the log of the runs that it is from, oldest first."""


def read_learned(path: Path, key: str) -> LearnedDays | None:
    """Give what is kept for `key`; None if there is nothing that fits."""
    with suppress(ValueError, KeyError, TypeError):
        kept = read_kept(path)
        if kept["key"] == key:
            return LearnedDays(_learned(kept), tuple(kept["runs"]))
    return None


def write_learned(path: Path, key: str, days: LearnedDays) -> None:
    """Keep what was learned; a full or read-only disk is no error."""
    learned = days.learned
    kept = {
        "key": key,
        "runs": days.runs,
        "day": learned.belief.day.isoformat() if learned.belief.day else None,
        "counts": [
            *(learned.ran_out, learned.completed, learned.tones),
            *(learned.days, learned.days_out),
        ],
        "rows": [
            [float(f"{one:.{DIGITS}g}") for one in row] for row in learned.belief.rows
        ],
    }
    with suppress(OSError):
        write_whole(path, json.dumps(kept, separators=(",", ":")))


def _learned(kept: dict[str, Any]) -> Learned:
    """Make what was learned of plain values."""
    day = date.fromisoformat(kept["day"]) if kept["day"] else None
    rows = tuple(tuple(map(float, row)) for row in kept["rows"])
    return Learned(Belief(rows, day), *map(int, kept["counts"]))
