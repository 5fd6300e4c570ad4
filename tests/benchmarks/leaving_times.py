"""How long leaving takes at each moment of a start, and on each screen.

Run as ``python -m tests.benchmarks.leaving_times [TIMES] [WAY]``, where a way is
``ctrl+q`` (usual), ``ctrl+c`` or ``hup``.  Each is the real program
on a terminal of its own; a first start has an empty home and reads all etudes, the
others have a home that knows them.  Beside each stands the load of the machine.
"""

from __future__ import annotations

import os
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from coach.edges.scores.etude_shelf import list_etudes
from coach.edges.scores.score_files import list_parts, read_part
from tests.commands.pty_coach import PtyCoach

WAYS: dict[str, Callable[[PtyCoach], object]] = {
    "ctrl+q": lambda coach: coach.press("\x11"),
    "ctrl+c": lambda coach: coach.press("\x03"),
    "hup": lambda coach: coach.tell(signal.SIGHUP),
}
PLAYER = "[screens]\nis_set_up = true\nhas_seen_cautions = true\n"
REHEARSE = ("rehearse", "long-river", "--silent")

STARTS_S = (0.1, 0.2, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0)
"""So long after the terminal keeps keys, a first start is left."""

SOON_S = 0.1
"""So long after a key that begins something, its screen is left."""


@dataclass(frozen=True, slots=True)
class Moment:
    """When the coach is left."""

    says: str
    words: tuple[str, ...]
    reach: Callable[[PtyCoach], None]
    """Wait until then."""

    is_first: bool = False


def starting(seconds: float) -> Moment:
    """Leave a first start so long after it began."""

    def reach(coach: PtyCoach) -> None:
        while not coach.keeps_keys():
            time.sleep(0.001)
        time.sleep(seconds)

    return Moment(f"first start, {seconds:g} s", (), reach, is_first=True)


def after(says: str, words: tuple[str, ...], *steps: str) -> Moment:
    """Leave soon after the last of some steps: what is shown first, and a key."""

    def reach(coach: PtyCoach) -> None:
        before = 0
        for k, step in enumerate(steps):
            if k % 2:
                before = coach.press(step)
            else:
                coach.wait_for(step, before)
        time.sleep(SOON_S)

    return Moment(says, words, reach)


MOMENTS = (
    *map(starting, STARTS_S),
    after("the shelf", (), "10 etudes"),
    after("a phrase opens", (), "10 etudes", " "),
    after("gear opens", (), "10 etudes", "g"),
    after("a run opens", (), "10 etudes", " ", "full breath", " "),
    after("a plan is made", (), "10 etudes", " ", "full breath", "b"),
    after("a run sounds", REHEARSE, "starts the count-in", " ", "next breath"),
)


def main() -> None:
    """Leave so often at each moment, and print how long each took."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    way = WAYS[sys.argv[2] if len(sys.argv) > 2 else "ctrl+q"]
    with tempfile.TemporaryDirectory() as folder:
        os.environ["COACH_HOME"] = folder
        known = Path(folder)
        (known / "player.toml").write_text(PLAYER, encoding="utf-8")
        for etude in list_etudes():
            list_parts(etude)
            read_part(etude)
        for moment in MOMENTS:
            took = sorted(leave(moment, known, way) for _ in range(times))
            words = " ".join(f"{seconds:.3f}" for seconds in took)
            print(
                f"{moment.says}: {words} s; load {os.getloadavg()[0]:.1f}", flush=True
            )


def leave(moment: Moment, known: Path, way: Callable[[PtyCoach], object]) -> float:
    """Start a coach, leave it at a moment, and tell how long that took."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        home = Path(folder)
        if not moment.is_first:
            shutil.copytree(known, home, dirs_exist_ok=True)
        coach = PtyCoach(home, *moment.words)
        moment.reach(coach)
        began = time.monotonic()
        way(coach)
        coach.wait_for_end()
        seconds = time.monotonic() - began
        coach.close_window()
        return seconds


if __name__ == "__main__":
    main()
