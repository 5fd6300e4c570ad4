"""Read, plan and rehearse pieces of all six formats, start to finish.

Run by hand: ``uv run python -m tests.benchmarks.corpus_rehearsed 36 5``: pieces of each
format, seed.  The pieces are those of ``corpus_formats``.  Each is read by the guarded
child, planned for a tenor trombone, rehearsed in lines of text on a manual clock and
kept in a run log.  Printed by format: pieces rehearsed to the end, refused in one
sentence, and failed otherwise; etudes come first.
"""

from __future__ import annotations

import os
import sys
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from coach.config import shipped
from coach.edges.engine.silent_player import SilentPlayer
from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.edges.scores.score_files import read_part
from coach.errors import CoachError
from coach.plain.plain_rehearsal import rehearse_plain
from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.outside import Outside
from coach.wiring.open_rehearsal import open_conductor, wall_time, wishes_of
from coach.wiring.player_planner import PlayerPlanner
from tests.benchmarks.corpus_formats import choose, write_mei, write_midi, written


def rehearse(path: Path, planner: PlayerPlanner) -> tuple[str, int]:
    """Rehearse one piece; tell what became of it and how many lines were said."""
    lines: list[str] = []
    try:
        part = read_part(path)
        clock = ManualClock()
        player = SilentPlayer(clock)
        with RunLogFile(IN_MEMORY) as log:
            conductor = open_conductor(
                part, planner, Outside(player, log, clock, wall_time), wishes_of(part)
            )
            rehearse_plain(conductor, player, clock, lines.append)
            (run,) = log.list_runs()
    except CoachError as error:
        print(f"    refused {path.name}: {error}")
        return "refused", 0
    except Exception as error:  # noqa: BLE001 — this is what is counted
        print(f"    FAILED {path.name}: {error!r}")
        return "failed", 0
    return ("rehearsed" if run.is_completed else "cut off"), len(lines)


def main() -> None:
    """Rehearse the etudes, then pieces of each format."""
    pieces, seed = (int(word) for word in sys.argv[1:3])
    with TemporaryDirectory() as folder:
        os.environ["COACH_HOME"] = folder
        planner = PlayerPlanner()
        chosen = {
            "etudes": sorted(shipped("etudes").glob("*.musicxml")),
            **{name: list(paths) for name, paths in choose(pieces, seed).items()},
        }
        half = pieces // 2
        sources = chosen["MusicXML"][:half] + chosen["compressed MusicXML"][:half]
        chosen["MIDI"] = list(written(write_midi, sources, Path(folder)))
        chosen["MEI"] = list(written(write_mei, sources, Path(folder)))
        for name, paths in chosen.items():
            began = time.perf_counter()
            counts: Counter[str] = Counter()
            said = 0
            for path in paths:
                outcome, lines = rehearse(path, planner)
                counts[outcome] += 1
                said += lines
            took = time.perf_counter() - began
            print(f"{name:20} {dict(counts)}  {said} lines  {took:.0f} s", flush=True)


if __name__ == "__main__":
    main()
