"""Time what a player waits for with a hundred thousand runs in the log.

``uv run python -m tests.benchmarks.big_log [RUNS]``

The same work with an empty log and with a full one, in turn in one run of the
program, so that a busy machine slows both.  The runs are of thirty etudes, a third of
them of one, over five years.  Told: the median of several, in milliseconds of the
processor, which a busy machine hardly changes, and by the clock.  The coach is started
whole as well, up to the picture of its shelf, and told as a ratio.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from random import Random
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median
from tempfile import TemporaryDirectory

from coach.edges.log.log_sums import add_up
from coach.edges.log.log_writing import add_end, add_mark, add_run, add_word
from coach.edges.log.run_log import RunLogFile
from coach.edges.log.which_runs import Which
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Playing
from coach.rehearsal.run.run import Run, RunWord
from coach.score.etude_key import key_of
from coach.score.tempo import Seconds
from tests.benchmarks.first_paint import COACH, KNOWN_PLAYER, first_picture
from tests.edges.log.kept_runs import PLAYED, TO_THE_END, run
from tests.hand_rehearsal import HandRehearsal, nothing_learned, short

RUNS = 100_000
ETUDES = 30
DAYS = 1800
TIMES = 9
FAULTS = 0.3
MS = 1000.0


def fill(log: RunLogFile, runs: int) -> None:
    """Write runs of five years in one transaction."""
    chance = Random(5)
    key = key_of(short())
    how = Playing(instrument="tenor-trombone", capacity_l=4.8)
    with log._file.transaction() as database:
        for number in range(runs):
            etude = max(0, chance.randrange(-ETUDES // 2, ETUDES))
            one = run(
                number * DAYS * 24 * 60 / runs,
                etude=key.title if not etude else f"Etude {etude}",
                etude_key=key.fingerprint if not etude else f"key-{etude}",
                how=how,
            )
            run_id = add_run(database, one)
            has_fault = chance.random() < FAULTS
            if has_fault:
                bar = chance.randrange(1, 5)
                add_mark(
                    database, run_id, Mark(MarkKind.RUSHED, bar, 1.0, Seconds(1.0))
                )
            add_end(database, run_id, TO_THE_END)
            add_word(database, run_id, RunWord(is_clean=not has_fault, evidence=PLAYED))
        add_up(database)


def append(log: RunLogFile, newest: Run) -> None:
    """Write a whole run: four transactions."""
    run_id = log.begin(newest)
    log.end(run_id, TO_THE_END)
    log.finish(run_id, RunWord(is_clean=True, evidence=PLAYED))


def start(home: Path) -> tuple[float, float]:
    """Start the coach and leave it at its shelf; give processor and clock, in ms."""
    worked = getrusage(RUSAGE_CHILDREN)
    shown_s = first_picture(COACH, str(home))
    after = getrusage(RUSAGE_CHILDREN)
    busy_s = after.ru_utime + after.ru_stime - worked.ru_utime - worked.ru_stime
    return busy_s * MS, shown_s * MS


def compare_starts(homes: tuple[Path, Path]) -> None:
    """Start with either log in turn, and tell how much longer it takes with runs."""
    for home in homes:
        (home / "player.toml").write_text(KNOWN_PLAYER)
        start(home)  # what is worked out but once stands in the cache from here on
    took = [[start(home) for home in homes] for _ in range(TIMES)]
    for k, by in enumerate(("processor", "clock")):
        bare, heavy = (median(both[full][k] for both in took) for full in (0, 1))
        ratio = median(both[1][k] / both[0][k] for both in took)
        print(
            f"{'start':12} {by:9} empty {bare:7.1f} ms, full {heavy:7.1f} ms, "
            f"{heavy - bare:+7.1f} ms; pair by pair {ratio - 1:+.1%}",
            flush=True,
        )


def compare(what: str, empty: Callable[[], object], full: Callable[[], object]) -> None:
    """Time two things in turn, and tell both and the difference."""
    took: dict[str, tuple[list[float], list[float]]] = {
        "processor": ([], []),
        "clock": ([], []),
    }
    for _ in range(TIMES):
        for k, work in enumerate((empty, full)):
            began, worked = time.perf_counter(), time.process_time()
            work()
            took["clock"][k].append((time.perf_counter() - began) * MS)
            took["processor"][k].append((time.process_time() - worked) * MS)
    for by, (bare_times, full_times) in took.items():
        bare, heavy = median(bare_times), median(full_times)
        print(
            f"{what:12} {by:9} empty {bare:7.1f} ms, full {heavy:7.1f} ms, "
            f"{heavy - bare:+7.1f} ms",
            flush=True,
        )


def main(runs: int = RUNS) -> None:
    """Compare."""
    with TemporaryDirectory() as folder:
        homes = Path(folder) / "empty", Path(folder) / "full"
        paths = homes[0] / "runs.sqlite3", homes[1] / "runs.sqlite3"
        with RunLogFile(paths[0]) as bare, RunLogFile(paths[1]) as heavy:
            fill(heavy, runs)
            size = paths[1].stat().st_size / 1e6
            print(f"{runs} runs, {size:.0f} MB", flush=True)
            few, many = (HandRehearsal(short(), log=log) for log in (bare, heavy))
            late = few.wall() + timedelta(days=DAYS)
            few.midnight = many.midnight = late
            air = nothing_learned()
            like = few.conductor._how.like
            newest = replace(
                run(DAYS * 24 * 60.0), how=Playing(instrument="tenor-trombone")
            )
            compare("advice", few.conductor.advice, many.conductor.advice)
            compare(
                "review",
                lambda: few.conductor.review(air),
                lambda: many.conductor.review(air),
            )
            compare(
                "learned from",
                lambda: bare.list_played_ids(200, like),
                lambda: heavy.list_played_ids(200, like),
            )
            compare("shelf", bare.tally, heavy.tally)
            compare(
                "list of runs",
                lambda: bare.list_of_player(None, Which(), 100),
                lambda: heavy.list_of_player(None, Which(), 100),
            )
            compare(
                "append a run",
                lambda: append(bare, newest),
                lambda: append(heavy, newest),
            )
        compare(
            "open",
            lambda: RunLogFile(paths[0]).close(),
            lambda: RunLogFile(paths[1]).close(),
        )
        compare_starts(homes)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
