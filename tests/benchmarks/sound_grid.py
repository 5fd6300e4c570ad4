"""How far recorded clicks of the built-in sound are from the sample grid.

Run as ``python -m tests.benchmarks.sound_grid``; see ``--help``.  Sixteenths at 120 go
through the engine to a PulseAudio null sink, whose monitor an independent program
records; meanwhile a run screen is drawn at full speed, scores are imported one after
another and busy loops run.  With ``--stop`` the engine is held up that long in the
middle, so that the device runs dry: printed is how far the clicks after it are from
where they would have been.

``load`` is the machine's one-minute load average at the end.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import ExitStack, suppress
from pathlib import Path

import numpy as np

from coach.config import shipped
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_pedals
from coach.edges.scores.score_files import read_part
from coach.errors import CoachError
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.gear.gear import ClickSent, Fact, GearLost
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.score.tempo import Seconds
from tests.benchmarks.terminal import run_in_terminal
from tests.edges.conftest import engine_of
from tests.pulseaudio_stand import RATE_HZ, PulseServer, Recording, starts

STEP = RATE_HZ // 8
"""Samples of a sixteenth at 120."""

SCREEN = (120, 40)


def main() -> None:
    """Play, record, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--burners", type=int, default=0, help="busy loops beside it")
    parser.add_argument("--stop", type=float, default=0.0, help="hold the engine up")
    asked = parser.parse_args()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        os.environ["COACH_HOME"] = str(folder)
        server = PulseServer()
        stack.callback(server.close)
        os.environ.update(server.environment)
        for _ in range(asked.burners):
            burner = subprocess.Popen([sys.executable, "-c", "while True: pass"])
            stack.callback(burner.kill)
        screen = threading.Thread(target=draw, args=(folder, asked.seconds))
        screen.start()
        over = threading.Event()
        imported: list[str] = []
        importer = threading.Thread(target=import_scores, args=(folder, over, imported))
        importer.start()
        try:
            measure(server, asked)
        finally:
            over.set()
            importer.join()
            screen.join()
        drawn = json.loads((folder / "screen.json").read_text())
        print(
            f"{len(imported)} scores imported meanwhile, a run screen drawn every "
            f"{drawn['median_ms']:.0f} ms, load {os.getloadavg()[0]:.1f}"
        )


def draw(folder: Path, seconds: float) -> None:
    """Let a run screen be drawn in a terminal of its own, in a process of its own."""
    child = ["-m", "tests.benchmarks.run_screen_load", "--child", "run"]
    home = folder / "screen"
    home.mkdir()
    figures = str(folder / "screen.json")
    run_in_terminal([*child, str(seconds), figures], SCREEN, str(home))


def measure(server: PulseServer, asked: argparse.Namespace) -> None:
    """Play and record once."""
    link = EngineLink(GearChoice("", "", "on", "", "", 0.0), read_pedals())
    try:
        assert link.wait_until_ready(20.0)
        facts: list[Fact] = []
        link.listen(facts.append)
        count = int(asked.seconds * RATE_HZ / STEP)
        recording = Recording(server)
        link.play(sixteenths(count))
        time.sleep(asked.seconds / 2)
        if asked.stop:
            os.kill(engine_of(link), signal.SIGSTOP)
            time.sleep(asked.stop)
            os.kill(engine_of(link), signal.SIGCONT)
        time.sleep(asked.seconds / 2 + 1.0)
        found = starts(recording.end())
        report = link.ask(10.0)
    finally:
        link.close()
    told = [fact for fact in facts if isinstance(fact, ClickSent)]
    heard = sum(fact.is_heard for fact in told)
    off = (found - found[0] + STEP // 2) % STEP - STEP // 2
    steps = np.diff(found)
    print(f"{count} clicks, {heard} told as heard, {len(found)} recorded")
    print(f"{int(np.count_nonzero(steps != STEP))} of {len(steps)} intervals not exact")
    print(f"worst interval error {int(np.abs(steps - STEP).max())} samples")
    print(f"last click {int(off[-1])} samples off the grid of the first")
    worst = int(np.abs(off).max())
    print(f"worst click {worst} samples ({worst / RATE_HZ * 1000:.2f} ms) off it")
    for fact in facts:
        if isinstance(fact, GearLost):
            print(f"told: {fact.message}")
    if report is not None:
        print(f"{report.dropped} drops told, {report.scheduling}")


def sixteenths(count: int) -> ClickTrack:
    """Lay sixteenths at 120."""
    step = STEP / RATE_HZ
    clicks = tuple(
        Click(Seconds(k * step), Seconds(0.05), SoundKind.BEAT, 9, 77, 100)
        for k in range(count)
    )
    return ClickTrack(clicks, Seconds(0.0), Seconds(count * step))


def import_scores(folder: Path, over: threading.Event, imported: list[str]) -> None:
    """Read scores one after another, each new to the cache."""
    etudes = sorted(shipped("etudes").glob("*.musicxml"))
    while not over.is_set():
        copy = folder / f"{len(imported)}.musicxml"
        shutil.copy(etudes[len(imported) % len(etudes)], copy)
        with copy.open("a", encoding="utf-8") as file:
            file.write(f"<!-- {len(imported)} -->")
        with suppress(CoachError):
            read_part(copy)
        imported.append(copy.name)


if __name__ == "__main__":
    main()
