"""Short rehearsals one right after another beside real servers: how many come off?

Run as ``python -m tests.benchmarks.runs_in_a_row``; see ``--help``.  A JACK server, a
PulseAudio server and FluidSynth run; between rehearsals the synth is killed or started
again, or is gone from the start, or was never chosen.  Each rehearsal is the real
program, in lines of text or on screen on a terminal of its own; it counts if its run
was played to the end, and if its count-in could be heard: the click had been ready.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from itertools import compress
from operator import not_
from pathlib import Path

from coach.edges.scores.etude_shelf import find_etude
from coach.edges.scores.score_files import list_parts, read_part
from tests import jack_stand
from tests.commands.pty_coach import PtyCoach
from tests.fluid_stand import NAME, FluidSynth
from tests.jack_stand import ROOT, JackServer
from tests.pulseaudio_stand import PulseServer

WAYS = ("none", "gone", "comes and goes")
WORDS = ("rehearse", "long-river", "--bars", "1-1", "--tempo", "160")
PLAYER = "[screens]\nis_set_up = true\nhas_seen_cautions = true\n"
BEATS = 8
"""Of the count-in and the bar."""

LOGGED = ("id", "started", "completed", "note", "click")
"""What tells of a run in the log how far it came, and how late its clicks were."""

SILENT = "is not ready yet"


def main() -> None:
    """Rehearse as often as asked for, and print what became of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=10, help="rows of each kind")
    parser.add_argument("--runs", type=int, default=8, help="rehearsals in a row")
    parser.add_argument("--way", choices=WAYS, action="append")
    parser.add_argument("--where", choices=("text", "screen"), action="append")
    parser.add_argument(
        "--quick-server",
        action="store_true",
        help="an asynchronous server, which does not wait for clients that are gone",
    )
    given = parser.parse_args()
    if not given.quick_server:
        jack_stand.may_hurry = lambda: False  # a synchronous one is held up longest
    for where in given.where or ("text", "screen"):
        for way in given.way or WAYS:
            rows = []
            for row in range(1, given.rows + 1):
                rows.append(
                    rehearse_in_a_row(way, given.runs, is_on_screen=where == "screen")
                )
                print(f"{where}, synth {way}, row {row}: {rows[-1]}", flush=True)
            whole = sum(played == given.runs for played, _ in rows)
            times = [took for _, row in rows for took in row]
            print(
                f"{where}, synth {way}: {whole} of {given.rows} rows of {given.runs} "
                f"whole, rehearsals played {[played for played, _ in rows]}; "
                f"each took {min(times):.1f} to {max(times):.1f} s",
                flush=True,
            )


def rehearse_in_a_row(
    way: str, runs: int, *, is_on_screen: bool, player: str = PLAYER
) -> tuple[int, list[float]]:
    """Rehearse so often; give how many were played, and how long each took.

    `player` is the player's file, but for the port that is chosen.
    """
    server, sound = JackServer(), PulseServer()
    times = []
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        os.environ.update(
            {**server.environment, **sound.environment, "COACH_HOME": folder}
        )
        chosen = "" if way == "none" else f'[click.gear]\nmidi_out = "{NAME}"\n'
        (home / "player.toml").write_text(player + chosen, encoding="utf-8")
        etude = find_etude(WORDS[1])
        list_parts(etude)
        read_part(etude)
        synth = FluidSynth(server) if way == "comes and goes" else None
        for _ in range(runs):
            began = time.monotonic()
            if is_on_screen:
                rehearse_on_screen(home)
            else:
                rehearse_in_text()
            times.append(time.monotonic() - began)
            if synth is not None:
                synth.kill()
                synth = None
            elif way == "comes and goes":
                synth = FluidSynth(server)
        if synth is not None:
            synth.kill()
        played = count_played()
    server.stop()
    sound.close()
    return played, times


def rehearse_in_text() -> None:
    """Rehearse once in lines of text; say what went wrong."""
    result = subprocess.run(
        [sys.executable, "-m", "coach", *WORDS, "--plain"],
        cwd=ROOT,
        input="clean\n",
        capture_output=True,
        text=True,
        check=False,
    )
    if "Played to the end" not in result.stdout or SILENT in result.stdout:
        print(result.stdout, result.stderr)


def rehearse_on_screen(home: Path) -> None:
    """Rehearse once on a terminal, and leave from the screen after the run."""
    coach = PtyCoach(home, *WORDS)
    coach.wait_for("Long River")
    coach.press("\r")
    coach.wait_for("starts the count-in")
    before = coach.press(" ")
    coach.wait_for("not clean", before)
    coach.press("\x11")
    coach.end()


def count_played() -> int:
    """Count the runs in the log that came to their end with every beat sounded.

    Of the others it is printed what the log has of them.
    """
    result = subprocess.run(
        [sys.executable, "-m", "coach", "log", "--json"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    runs = json.loads(result.stdout)
    whole = [run["completed"] and run["click"]["sent"] >= BEATS for run in runs]
    for run in compress(runs, map(not_, whole)):
        print("did not count:", {key: run[key] for key in LOGGED}, flush=True)
    return sum(whole)


if __name__ == "__main__":
    main()
