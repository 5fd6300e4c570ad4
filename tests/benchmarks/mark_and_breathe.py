"""How long a key takes: a mark until it is on the disk, a breath until all is planned.

``uv run python -m tests.benchmarks.mark_and_breathe``

Real plans of a part of about 300 notes and a run log in a file; the bare cost of the
disk is measured in the same run, as one row written to an SQLite file of its own.
"""

from __future__ import annotations

import sqlite3
import statistics
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from coach.edges.log.run_log import RunLogFile
from coach.rehearsal.run.mark_kinds import MarkKind
from tests.hand_made import part_of
from tests.hand_rehearsal import FOUR_BARS, HandRehearsal

TIMES = 60
MS = 1000.0


def spent_ms(act: Callable[[], object]) -> float:
    """Time one call, in milliseconds."""
    began = perf_counter()
    act()
    return (perf_counter() - began) * MS


def told(name: str, times: list[float]) -> str:
    """Write median and worst."""
    return (
        f"{name}: median {statistics.median(times):.2f} ms, worst {max(times):.2f} ms"
        f" of {len(times)}"
    )


def bare_row(folder: Path) -> list[float]:
    """Write single rows with the same care, and nothing else."""
    bare = sqlite3.connect(folder / "bare.sqlite3", isolation_level=None)
    bare.execute("PRAGMA journal_mode = WAL")
    bare.execute("PRAGMA synchronous = FULL")
    bare.execute("CREATE TABLE rows (value)")
    times = [
        spent_ms(lambda: bare.execute("INSERT INTO rows VALUES (1)"))
        for _ in range(TIMES)
    ]
    bare.close()
    return times


def main() -> int:
    """Measure and tell."""
    part = part_of(FOUR_BARS * 5)
    with TemporaryDirectory() as name:
        folder = Path(name)
        with RunLogFile(folder / "runs.sqlite3") as log:
            r = HandRehearsal(part, log=log)
            r.conductor.start()
            r.go_to(0.0)
            r.go_to(8.0)
            marks = [
                spent_ms(lambda: r.conductor.mark(MarkKind.RUSHED))
                for _ in range(TIMES)
            ]
            glances = [spent_ms(r.conductor.glance) for _ in range(TIMES)]
            breaths = []
            for k in range(TIMES // 4):
                r.go_to(8.0 + 4.0 * k)
                breaths.append(spent_ms(r.conductor.breathed))
        print(f"{len(part.notes)} notes")
        print(told("one row, bare", bare_row(folder)))
    print(told("a mark, saved", marks))
    print(told("a glance", glances))
    print(told("a breath, all planned anew", breaths))
    return 0


if __name__ == "__main__":
    sys.exit(main())
