"""How long it takes to know a player's air from a log: the first time, and after.

``uv run python -m tests.benchmarks.learning_time [RUNS]``

A log of so many runs of real plans, four a day, is written; then the air is learned
with nothing kept, with the finished days kept, and after one run more.  For
comparison: reading the newest runs from the log alone.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from coach.edges.log.run_log import RunLogFile
from coach.planning.edits import Edits
from coach.rehearsal.run.evidence import evidence_of
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import PlayedRun, RunEnd, RunWord
from coach.wiring.learned_air import PlayersAir
from coach.wiring.player_file import read_facts
from tests.hand_rehearsal import HandPlanner, long, plan_settings
from tests.simulated_player import FIRST_DAY, draw_player, rehearse, wake_up

RUNS = 400
RUNS_A_DAY = 4
CAPACITY_L = 4.8
MS = 1000.0


MINE = Like("", "tenor-trombone")


def write_runs(log: RunLogFile, first: int, runs: int) -> None:
    """Let a simulated player rehearse."""
    chance = Random(first)
    player = replace(draw_player(chance), flow=1.2)
    plan = HandPlanner().plan(long(), 60, Edits())
    asked = evidence_of(plan, frozenset(), frozenset())
    for k in range(first, first + runs):
        day = wake_up(player, k // RUNS_A_DAY, chance)
        air = plan_settings().air
        played: PlayedRun = rehearse(day, asked, CAPACITY_L, air, chance)
        started = FIRST_DAY + timedelta(days=day.number, minutes=k % RUNS_A_DAY)
        run_id = log.begin(replace(played.run, started=started))
        for mark in played.run.marks:
            log.add_mark(run_id, mark)
        log.end(run_id, RunEnd(is_completed=True, reached_bar=16))
        log.finish(run_id, RunWord(played.run.is_clean, evidence=played.evidence))


def timed(name: str, what: Callable[[], object]) -> None:
    """Do it and tell how long it took."""
    began = time.perf_counter()
    what()
    print(f"{name}: {(time.perf_counter() - began) * MS:.0f} ms")


def main(runs: int = RUNS) -> None:
    """Measure and tell."""
    with TemporaryDirectory() as folder:
        os.environ["COACH_HOME"] = folder
        facts = replace(read_facts(), capacity_l=CAPACITY_L)
        with RunLogFile(Path(folder) / "runs.sqlite3") as log:
            write_runs(log, 0, runs)
            timed("reading the newest 200 runs", lambda: log.list_played(200, MINE))
            for name in ("nothing kept", "finished days kept"):
                timed(name, lambda: PlayersAir(facts, "tenor-trombone", log))
            write_runs(log, runs, 1)
            timed("one run more", lambda: PlayersAir(facts, "tenor-trombone", log))
        kept = Path(folder) / "cache" / "learned-air.json"
        print(f"kept in {kept.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
