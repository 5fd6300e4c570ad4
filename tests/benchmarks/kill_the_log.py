"""Kill a rehearsal at random moments, and see what the run log still knows.

``uv run python -m tests.benchmarks.kill_the_log [KILLS]``

A child rehearses run after run through the conductor, with marks and marks taken
back, and tells of each run once its word is saved.  It is killed (SIGKILL) at a
random moment, a hundred times, always with the same log.  After each kill the log
must open, pass SQLite's own integrity check, and hold every run that was told of,
with all its marks.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from coach.edges.log.run_log import RunLogFile
from coach.rehearsal.run.mark_kinds import MarkKind
from tests.hand_rehearsal import HandRehearsal, short

KILLS = 100
LONGEST_LIFE_S = 0.6
MARKS = 5


def rehearse_for_ever(path: Path) -> None:
    """Rehearse run after run; tell the number and the marks of each."""
    with RunLogFile(path) as log:
        rehearsal = HandRehearsal(short(), log=log)
        conductor = rehearsal.conductor
        print("ready", flush=True)
        while True:
            conductor.start()
            rehearsal.go_to(0.0)
            for mark in range(MARKS + 1):
                rehearsal.go_to(3.0 * mark)
                conductor.mark(MarkKind.RUSHED)
            conductor.take_back_mark()
            rehearsal.go_to(conductor.track.ends)
            saved = conductor.finish(note="a word")
            print(saved.id, flush=True)


def live_and_die(path: Path, life_s: float) -> set[int]:
    """Start a child, kill it after a while, and give the runs that it told of."""
    hears, tells = os.pipe()
    # Forked, so that it need not load anything; this process has no threads and has
    # closed the log.
    child = os.fork()
    if not child:
        os.dup2(tells, sys.stdout.fileno())
        try:
            rehearse_for_ever(path)
        finally:
            os._exit(1)
    os.close(tells)
    with os.fdopen(hears) as told:
        if not told.readline():
            sys.exit("The child did not come to rehearse.")
        time.sleep(life_s)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return {int(line) for line in told.read().split()}


def check(path: Path, told: set[int]) -> Iterator[str]:
    """Name everything that is wrong with the log after a kill."""
    by_hand = sqlite3.connect(path)
    (verdict,) = by_hand.execute("PRAGMA integrity_check").fetchone()
    by_hand.close()
    if verdict != "ok":
        yield f"integrity: {verdict}"
    with RunLogFile(path) as log:
        runs = {run.id: run for run in log.list_runs()}
    for number in sorted(told):
        run = runs.get(number)
        if run is None:
            yield f"run {number} is lost"
        elif not run.is_completed or len(run.marks) != MARKS or not run.note:
            yield f"run {number} has lost something: {run}"


def main(kills: int) -> int:
    """Kill, check and tell."""
    chance = Random()
    wrong: list[str] = []
    told: set[int] = set()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "runs.sqlite3"
        for kill in range(1, kills + 1):
            told |= live_and_die(path, chance.uniform(0.0, LONGEST_LIFE_S))
            wrong += check(path, told)
            print(f"\r{kill} kills, {len(told)} runs told of", end="", flush=True)
        with RunLogFile(path) as log:
            runs = log.list_runs()
    cut_off = [run for run in runs if not run.is_completed]
    waiting = [run for run in runs if run.is_completed and not run.note]
    marked = [run for run in cut_off if run.marks]
    print(
        f"\n{len(runs)} runs in the log; {len(cut_off)} cut off by a kill, "
        f"{len(marked)} of them with marks; {len(waiting)} killed before their word"
    )
    print("\n".join(wrong) or "nothing finished was lost")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if sys.argv[1:] else KILLS))
