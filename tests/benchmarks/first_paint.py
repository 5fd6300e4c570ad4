"""Measure how soon the first picture stands, against an app that says hello.

Run it by hand: ``python -m tests.benchmarks.first_paint [STARTS]``.
Each start is a process of its own in a terminal of its own; the time runs from its
start to the first words on the screen, and the processor's time to its end.  They take
turns, so that all meet the same machine.  Byte code is compiled first, and
``PYTHONDONTWRITEBYTECODE`` unset.
"""

from __future__ import annotations

import compileall
import resource
import statistics
import sys
import tempfile
import time
from pathlib import Path

from tests.benchmarks.terminal import ROOT, run_in_terminal

SIZE = (120, 40)

KNOWN_PLAYER = """
[player]
instrument = "tenor-trombone"
[screens]
is_set_up = true
has_seen_cautions = true
"""
"""One who is led straight to the shelf."""

HELLO = """
from textual.app import App
from textual.widgets import Static
class Hello(App):
    def compose(self):
        yield Static("hello there")
    def on_ready(self):
        self.call_after_refresh(self.exit)
Hello().run()
"""

SCREENS = """
from coach.screens.app import CoachApp
from coach.screens.remembered import ScreenFacts
class Empty:
    def read_memory(self):
        return ScreenFacts(
            is_set_up=True,
            theme="",
            has_seen_cautions=True,
            has_seen_legend=True,
            engraved="auto",
        )
    def listen(self, tell):
        pass
    def list_etudes(self):
        return ()
    def says(self):
        return ""
    def tell_files(self):
        return ""
class Once(CoachApp):
    def on_ready(self):
        self.call_after_refresh(self.exit)
Once(Empty()).run()
"""

COACH = """
from coach.screens import app
class Once(app.CoachApp):
    def on_ready(self):
        self.call_after_refresh(self.exit)
app.CoachApp = Once
from coach.cli import main
raise SystemExit(main([]))
"""

PROGRAMS = {"hello": HELLO, "screens alone": SCREENS, "coach": COACH}
FIRST_WORDS = (b"hello there", b"import")
"""What tells that a picture stands; the second is in the shelf's row of keys."""


def main() -> None:
    """Start each in turn and print medians and ratios."""
    starts = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    compileall.compile_dir(ROOT / "coach", quiet=1)
    taken: dict[str, list[float]] = {name: [] for name in PROGRAMS}
    busy: dict[str, list[float]] = {name: [] for name in PROGRAMS}
    with tempfile.TemporaryDirectory() as home:
        (Path(home) / "player.toml").write_text(KNOWN_PLAYER)
        for program in PROGRAMS.values():
            first_picture(program, home)
        for _ in range(starts):
            for name, program in PROGRAMS.items():
                before = children_s()
                taken[name].append(first_picture(program, home))
                busy[name].append(children_s() - before)
    hello = statistics.median(taken["hello"])
    hello_busy = statistics.median(busy["hello"])
    for name, times in taken.items():
        middle, spent = statistics.median(times), statistics.median(busy[name])
        print(
            f"{name}: median {middle:.3f} s (best {min(times):.3f}, worst "
            f"{max(times):.3f}) of {starts}, {middle / hello:.2f} x hello; "
            f"processor {spent:.3f} s, {spent / hello_busy:.2f} x hello"
        )


def children_s() -> float:
    """Tell how long the processor has worked for programs that have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def first_picture(program: str, home: str) -> float:
    """Start a program and give the time until its first words are on the screen."""
    began = time.perf_counter()
    drawn: list[float] = []
    written = b""

    def look(data: bytes) -> None:
        nonlocal written
        written += data
        if not drawn and any(words in data for words in FIRST_WORDS):
            drawn.append(time.perf_counter() - began)

    run_in_terminal(["-c", program], SIZE, home, look)
    if not drawn:
        sys.exit(f"No picture came; this did:\n{written.decode(errors='replace')}")
    return drawn[0]


if __name__ == "__main__":
    main()
