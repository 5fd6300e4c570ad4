"""Measure what engraved notes cost: when they stand, bytes, gaps between pictures.

Run it by hand: ``python -m tests.benchmarks.engraved_run [SECONDS]``.
The same run is played with notes in cells and with engraved ones, each in a process and
a terminal of its own, with the real engraver; nothing else differs.
"""

from __future__ import annotations

import asyncio
import json
import sys
import tempfile
import time
from itertools import pairwise
from pathlib import Path

from coach.edges.engraving.engraver import Engraver
from coach.edges.engraving.terminal_graphics import Graphics
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.staff.engraved.engraved_picture import EngravedPicture
from tests.benchmarks.run_screen_load import Bench, Figures, figures_of, say_gaps
from tests.benchmarks.terminal import run_in_terminal

SIZES = ((80, 24), (120, 40))
CELL = (9, 18)


def main() -> None:
    """Measure both in turn and print; or, in a child, measure one."""
    if len(sys.argv) > 2 and sys.argv[1] == "--child":
        graphics, seconds, out = sys.argv[2], float(sys.argv[3]), Path(sys.argv[4])
        out.write_text(json.dumps(measure(graphics, seconds, out.parent)))
        return
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 10.0
    for size in SIZES:
        for graphics in ("cells", "sixel", "kitty"):
            figures = in_terminal(graphics, seconds, size)
            print(
                f"{size[0]}x{size[1]} {graphics}: {say_gaps(figures)}; "
                f"{figures['cpu']:.1%} of a core; "
                f"{figures['bytes'] / 1000:.0f} kB in all; "
                f"first picture after {figures['first_s']:.2f} s, all after "
                f"{figures['all_s']:.2f} s of {figures['lines']:.0f} lines"
            )


def in_terminal(graphics: str, seconds: float, size: tuple[int, int]) -> Figures:
    """Let a child measure one run in a terminal of its own."""
    with tempfile.TemporaryDirectory() as home:
        out = Path(home) / "figures.json"
        module = ["-m", "tests.benchmarks.engraved_run"]
        heard: list[int] = []
        run_in_terminal(
            [*module, "--child", graphics, str(seconds), str(out)],
            size,
            home,
            lambda data: heard.append(len(data)),
        )
        figures: Figures = json.loads(out.read_text())
        figures["bytes"] = sum(heard)
        return figures


def measure(graphics: str, seconds: float, home: Path) -> Figures:
    """Open a phrase until its pictures stand, then play it."""
    bench = Bench(home)
    graphics_of: dict[str, Graphics] = {"sixel": "sixel", "kitty": "kitty"}
    if graphics in graphics_of:
        bench.studio.maker_of_pictures = Engraver(graphics_of[graphics], CELL)

    async def play(bench: Bench) -> None:
        title = bench.part.title
        began = time.perf_counter()
        phrase = PhraseScreen(title, title=title)
        await bench.app.push_screen(phrase)
        while phrase.plan is None:  # noqa: ASYNC110 - no event tells
            await asyncio.sleep(0.01)
        staff = bench.app.screen.query_one(EngravedPicture)
        first = last = 0.0
        lines = 0
        while graphics != "cells" and (not lines or len(staff._came) < lines):
            await asyncio.sleep(0.01)
            lines = len(getattr(staff, "_lines", ()))
            if staff._came and not first:
                first = time.perf_counter() - began
        if graphics != "cells":
            last = time.perf_counter() - began
        screen = await bench.play()
        before = time.process_time()
        await asyncio.sleep(seconds)
        bench.figures["cpu"] = (time.process_time() - before) / seconds
        bench.figures.update(figures_of([b - a for a, b in pairwise(screen.begun)]))
        bench.figures |= {"first_s": first, "all_s": last, "lines": lines}

    figures = bench.run(play)
    if isinstance(bench.studio.maker_of_pictures, Engraver):
        bench.studio.maker_of_pictures.close()
    return figures


if __name__ == "__main__":
    main()
