"""How long does an engine at work take to give a sign of life on a busy machine?

Run as ``python -m tests.benchmarks.busy_engine``; see ``--help``.  An engine plays
sixteenths and is asked five times a second, once with the priority that it asks for
and once as an ordinary program, beside as many busy loops as asked for.  No answer may
take as long as what counts as a hang (``[pulse]`` in ``config/click.toml``).
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import asdict
from pathlib import Path
from queue import SimpleQueue
from typing import BinaryIO, cast

from coach.config import read_settings
from coach.edges import engine_wire
from coach.edges.engine.engine_life import ENGINE
from coach.edges.engine.engine_watchdog import WatchdogSettings
from coach.edges.engine.track_wire import pack_track
from coach.edges.engine_wire import FrameKind
from coach.rehearsal.click.bars_of_four import BAR_S, lay_bars
from coach.rehearsal.click.click_settings import ClickSettings
from tests.hand_gear import SILENT

MS = 1000.0
PRIORITIES = {
    "as it asks for": "",
    "ordinary": "[click.engine]\nrealtime_priority_steps = 0\n"
    "raised_priority_steps = 0\n",
}


def ask_engine(seconds: float, every_s: float) -> list[float]:
    """Ask an engine again and again; give how long each answer took."""
    with subprocess.Popen(
        [sys.executable, "-m", ENGINE],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as engine:
        words, facts = cast(BinaryIO, engine.stdin), cast(BinaryIO, engine.stdout)
        answered: SimpleQueue[float] = SimpleQueue()
        reader = threading.Thread(target=read, args=(facts, answered), daemon=True)
        reader.start()
        no_pedals: dict[str, str] = dict.fromkeys(
            ("start_stop", "again", "mark", "breathed"), ""
        )
        choice = {"do": "choose", "gear": asdict(SILENT), "pedals": no_pedals}
        words.write(engine_wire.pack_words(choice))
        settings = read_settings(ClickSettings, "click", "track")
        track = lay_bars(int(seconds / BAR_S) + 5, 4, settings)
        words.write(pack_track(FrameKind.PLAY, track, 1))
        words.write(engine_wire.ALIVE)
        words.flush()
        answered.get()  # it has started
        took = []
        for _ in range(int(seconds / every_s)):
            time.sleep(every_s)
            asked = time.monotonic()
            words.write(engine_wire.ALIVE)
            words.flush()
            took.append(answered.get() - asked)
        words.write(engine_wire.pack_words({"do": "quit"}))
        words.flush()
        reader.join()
    return took


def read(facts: BinaryIO, answered: SimpleQueue[float]) -> None:
    """Note when each sign of life comes."""
    while (frame := engine_wire.read_frame(facts)) is not None:
        if frame[0] is FrameKind.ALIVE:
            answered.put(time.monotonic())


def main() -> None:
    """Ask engines beside busy loops, and print how long they took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--busy", type=int, default=8, help="busy loops beside it")
    given = parser.parse_args()
    settings = read_settings(WatchdogSettings, "click", "pulse")
    loops = [
        subprocess.Popen([sys.executable, "-c", "while True: pass"])
        for _ in range(given.busy)
    ]
    try:
        for name, table in PRIORITIES.items():
            with tempfile.TemporaryDirectory() as folder:
                os.environ["COACH_HOME"] = folder
                Path(folder, "player.toml").write_text(table, encoding="utf-8")
                took = ask_engine(given.seconds, settings.every_s)
            hang_ms = settings.every_s * settings.missed_count * MS
            print(
                f"priority {name}, {given.busy} busy loops: {len(took)} answers, "
                f"median {statistics.median(took) * MS:.2f} ms, "
                f"at most {max(took) * MS:.1f} ms of {hang_ms:.0f} ms",
                flush=True,
            )
    finally:
        for loop in loops:
            loop.kill()
            loop.wait()


if __name__ == "__main__":
    main()
