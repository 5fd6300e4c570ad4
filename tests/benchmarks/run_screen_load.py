"""Measure what the screens cost: CPU, gaps between pictures, key to mark, an edit.

Run it by hand: ``python -m tests.benchmarks.run_screen_load [SECONDS]``.
Each figure comes from a process of its own in a terminal of its own, on the system's
clock, with the real planner and a run log on disk.  An app that is woken at the same
rate and does nothing else is measured in the same way: what both take is the machine's.
"""

from __future__ import annotations

import asyncio
import json
import os
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Mapping, Sequence
from itertools import cycle, islice, pairwise
from pathlib import Path
from typing import Any, cast

from textual.app import App, ComposeResult
from textual.events import Key
from textual.pilot import Pilot
from textual.widgets import Static

from coach.edges.log.run_log import RunLogFile
from coach.edges.scores.score_files import read_part
from coach.edges.system_clock import SystemClock
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.rehearsal.run.mark_kinds import KINDS, KindOfMark
from coach.rehearsal.run.run_states import State
from coach.screens.app import CoachApp
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.run.run_screen import RunScreen
from coach.screens.settings import run_look
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.terminal.collecting import collect_from_here, collect_later
from coach.wiring.terminal.thread_turns import take_turns
from tests.benchmarks.terminal import ROOT, run_in_terminal
from tests.screens.paper_studio import LINES, PaperStudio, make_part

SIZES = ((80, 24), (120, 40), (200, 60))
MIDDLE = (120, 40)
KEYS, EDITS = 40, 20
MARKS, MARK_EVERY_S = "odrm", 0.2
"""Each kind comes in every beat at most once: a second one there changes nothing."""

ANSWER_S = 2.0
"""A key that is not answered so long is none."""

MS = 1000
LOOK_S = 0.001
"""A thread that plans is not to wait for one that looks whether it has done so."""

Figures = dict[str, float]


def main() -> None:
    """Measure everything and print; or, in a child, measure one thing."""
    if len(sys.argv) > 2 and sys.argv[1] == "--child":
        what, seconds, out = sys.argv[2], float(sys.argv[3]), Path(sys.argv[4])
        out.write_text(json.dumps(CHILDREN[what](seconds, out.parent)))
        return
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 8.0
    for size in SIZES:
        empty = in_terminal("empty", seconds, size)
        run = in_terminal("run", seconds, size)
        print(
            f"{size[0]}x{size[1]}: a run {run['cpu']:.1%} of a core, an empty app "
            f"woken as often {empty['cpu']:.1%}; {say_gaps(run)}; "
            f"of the empty app {say_gaps(empty)}"
        )
    busy = in_terminal("import", seconds, MIDDLE)
    print(f"while {busy['imports']:.0f} etudes are imported: {say_gaps(busy)}")
    idle = in_terminal("idle", seconds, MIDDLE)
    still = in_terminal("still", seconds, MIDDLE)
    print(
        f"idle on the run screen: {idle['cpu']:.2%} of a core, an empty app that is "
        f"never woken {still['cpu']:.2%}"
    )
    keys = figures_of(type_in_terminal("keys", MARKS))
    bare = figures_of(type_in_terminal("bare keys", MARKS))
    print(
        f"key to mark kept, its word written: median {keys['median_ms']:.1f} ms, "
        f"worst {keys['worst_ms']:.1f} of {KEYS}; key to a word written by an empty "
        f"app woken as often: median {bare['median_ms']:.1f}, "
        f"worst {bare['worst_ms']:.1f}"
    )
    edits = in_terminal("edits", seconds, MIDDLE)
    print(
        f"edit of {edits['notes']:.0f} notes: its sign drawn after median "
        f"{edits['sign_median_ms']:.1f} ms, worst {edits['sign_worst_ms']:.1f} of "
        f"{EDITS}; its plan after median {edits['median_ms']:.1f}, worst "
        f"{edits['worst_ms']:.1f}; processor {edits['busy_ms']:.1f}, worst "
        f"{edits['busy_worst_ms']:.1f}, of which the planner {edits['planner_ms']:.1f}"
    )


def say_gaps(figures: Figures) -> str:
    """Say the gaps between pictures."""
    return (
        f"gap between pictures median {figures['median_ms']:.1f} ms, "
        f"p99 {figures['p99_ms']:.1f}, worst {figures['worst_ms']:.1f}"
    )


def in_terminal(what: str, seconds: float, size: tuple[int, int]) -> Figures:
    """Let a child measure one thing in a terminal of its own."""
    with tempfile.TemporaryDirectory() as home:
        out = Path(home) / "figures.json"
        module = ["-m", "tests.benchmarks.run_screen_load"]
        run_in_terminal([*module, "--child", what, str(seconds), str(out)], size, home)
        return cast(Figures, json.loads(out.read_text()))


class Typist:
    """Types keys on a terminal and times how soon each is answered there."""

    def __init__(self, begins: Path, answers: Mapping[str, bytes]) -> None:
        self._begins = begins
        self._answers = answers
        self._waits_for = b""
        self._shown = b""
        self._has_come = threading.Event()
        self._at = 0.0
        self.taken: list[float] = []

    def see(self, data: bytes) -> None:
        """Take what was written to the terminal."""
        at = time.perf_counter()
        self._shown = self._shown[-len(self._waits_for) :] + data
        if self._waits_for and self._waits_for in self._shown:
            self._at, self._waits_for = at, b""
            self._has_come.set()

    def begin(self, terminal: int) -> None:
        """Type in a thread, since what is written is read all the time."""
        threading.Thread(target=self._type, args=(terminal,), daemon=True).start()

    def _type(self, terminal: int) -> None:
        while not self._begins.exists():
            time.sleep(LOOK_S)
        for key in islice(cycle(self._answers), KEYS):
            time.sleep(MARK_EVERY_S)
            self._has_come.clear()
            self._shown, self._waits_for = b"", self._answers[key]
            began = time.perf_counter()
            os.write(terminal, key.encode())
            if not self._has_come.wait(ANSWER_S):
                break
            self.taken.append(self._at - began)
        self._begins.unlink()


def said_of(kind: KindOfMark) -> str:
    """Give the words that answer its key."""
    return kind.words.capitalize()


def type_in_terminal(what: str, keys: str) -> Sequence[float]:
    """Let a child be typed to; give the seconds from each key to its word there."""
    words = {kind.key: said_of(kind).encode() for kind in KINDS.values()}
    with tempfile.TemporaryDirectory() as home:
        begins = Path(home) / "begins"
        typist = Typist(begins, {key: words[key] for key in keys})
        module = ["-m", "tests.benchmarks.run_screen_load"]
        run_in_terminal(
            [*module, "--child", what, "0", str(Path(home) / "figures.json")],
            MIDDLE,
            home,
            typist.see,
            typist.begin,
        )
        if len(typist.taken) < KEYS:
            raise SystemExit(f"only {len(typist.taken)} of {KEYS} keys were answered")
        return typist.taken


def figures_of(seconds: Sequence[float]) -> Figures:
    """Give median, 99th percentile and worst, in milliseconds."""
    ordered = sorted(seconds)
    return {
        "median_ms": statistics.median(ordered) * MS,
        "p99_ms": ordered[min(len(ordered) - 1, int(len(ordered) * 0.99))] * MS,
        "worst_ms": ordered[-1] * MS,
    }


class EmptyApp(App[None]):
    """Woken as often as the run, or never, and draws nothing."""

    def __init__(self, seconds: float, *, is_woken: bool) -> None:
        super().__init__()
        self._seconds = seconds
        self._is_woken = is_woken
        self.cpu = 0.0
        self.begun: list[float] = []

    def on_mount(self) -> None:
        if self._is_woken:
            self.set_interval(run_look().frame_s, self.wake)
        self.run_worker(self.measure())

    def wake(self) -> None:
        self.begun.append(time.perf_counter())

    async def measure(self) -> None:
        await asyncio.sleep(1.0)
        before = time.process_time()
        await asyncio.sleep(self._seconds)
        self.cpu = (time.process_time() - before) / self._seconds
        self.exit()


class WatchedRun(RunScreen):
    """The run, noting when each picture is begun."""

    def __init__(self, studio: PaperStudio) -> None:
        super().__init__(studio.rehearse(next(iter(studio.parts.values()))))
        self.begun: list[float] = []

    def frame(self) -> None:
        self.begun.append(time.perf_counter())
        super().frame()


class Bench:
    """A long part on the screens, with everything real but the sound."""

    def __init__(self, home: Path) -> None:
        self.part = make_part("Long Day", "\n" + (LINES.strip() + "\n") * 3)
        self.studio = PaperStudio(
            [self.part], SystemClock(), PlayerPlanner("tenor-trombone")
        )
        self.studio.runs = cast(Any, RunLogFile(home / "runs.sqlite3"))
        self.app = CoachApp(self.studio)
        self.figures: Figures = {}

    def run(self, measure: Any) -> Figures:
        """Run the app while something is measured."""

        async def then_leave(pilot: Pilot[Any]) -> None:
            await pilot.pause(0.5)
            await measure(self)
            self.app.exit()

        # As the program itself does.
        collect_later()
        collect_from_here()
        take_turns()
        self.app.run(auto_pilot=then_leave)
        return self.figures

    async def play(self) -> WatchedRun:
        """Push the run and wait until the first beat."""
        screen = WatchedRun(self.studio)
        await self.app.push_screen(screen)
        screen.action_start_stop()
        conductor = self.studio.conductors[-1]
        while conductor.state is not State.PLAYING:  # noqa: ASYNC110 - no event tells
            await asyncio.sleep(0.05)
        screen.begun.clear()
        return screen

    async def drawn(self) -> None:
        """Wait until what has changed is drawn."""
        done = asyncio.Event()
        self.app.screen.call_after_refresh(done.set)
        await done.wait()


def measure_empty(seconds: float, home: Path) -> Figures:
    """Measure an app that is woken and draws nothing."""
    del home
    app = EmptyApp(seconds, is_woken=True)
    app.run()
    gaps = [b - a for a, b in pairwise(app.begun)]
    return {"cpu": app.cpu, **figures_of(gaps)}


class BareKeys(EmptyApp):
    """Shows at each key the word that the run would."""

    def __init__(self, home: Path) -> None:
        super().__init__(0.0, is_woken=True)
        self._home = home
        self._word = Static("")

    def compose(self) -> ComposeResult:
        yield self._word

    def on_key(self, event: Key) -> None:
        kinds = {kind.key: said_of(kind) for kind in KINDS.values()}
        self._word.update(kinds[event.key])

    async def measure(self) -> None:
        await asyncio.sleep(1.0)
        await typed_to(self._home)
        self.exit()


async def typed_to(home: Path) -> None:
    """Say that keys may come, and wait until all have."""
    begins = home / "begins"
    begins.touch()
    while begins.exists():  # noqa: ASYNC110 - the typist is another process
        await asyncio.sleep(MARK_EVERY_S)


def measure_bare_keys(seconds: float, home: Path) -> Figures:
    """Show a word at each key in an app that does nothing else."""
    del seconds
    BareKeys(home).run()
    return {}


def measure_still(seconds: float, home: Path) -> Figures:
    """Measure an app that is never woken: what the library itself takes."""
    del home
    app = EmptyApp(seconds, is_woken=False)
    app.run()
    return {"cpu": app.cpu}


def measure_run(seconds: float, home: Path) -> Figures:
    """Measure CPU and gaps of a run."""

    async def measure(bench: Bench) -> None:
        screen = await bench.play()
        before = time.process_time()
        await asyncio.sleep(seconds)
        bench.figures["cpu"] = (time.process_time() - before) / seconds
        bench.figures.update(figures_of([b - a for a, b in pairwise(screen.begun)]))

    return Bench(home).run(measure)


def measure_import(seconds: float, home: Path) -> Figures:
    """Measure gaps of a run while etudes are imported one after the other."""
    done: list[str] = []

    def import_all(until: float) -> None:
        for path in sorted((ROOT / "etudes").glob("*.musicxml")):
            if time.perf_counter() < until:
                read_part(path)
                done.append(path.name)

    async def measure(bench: Bench) -> None:
        screen = await bench.play()
        until = time.perf_counter() + seconds
        reader = threading.Thread(target=import_all, args=(until,))
        reader.start()
        while reader.is_alive():  # noqa: ASYNC110 - a thread has no event
            await asyncio.sleep(0.05)
        bench.figures.update(figures_of([b - a for a, b in pairwise(screen.begun)]))
        bench.figures["imports"] = len(done)

    return Bench(home).run(measure)


def measure_idle(seconds: float, home: Path) -> Figures:
    """Measure CPU while the run screen waits for the first key."""

    async def measure(bench: Bench) -> None:
        await bench.app.push_screen(WatchedRun(bench.studio))
        await asyncio.sleep(1.0)
        before = time.process_time()
        await asyncio.sleep(seconds)
        bench.figures["cpu"] = (time.process_time() - before) / seconds

    return Bench(home).run(measure)


def measure_keys(seconds: float, home: Path) -> Figures:
    """Play a run in which marks are made."""
    del seconds

    async def measure(bench: Bench) -> None:
        await bench.play()
        await typed_to(home)
        conductor = bench.studio.conductors[-1]
        if len(conductor.marks) != KEYS:
            raise SystemExit(f"{len(conductor.marks)} marks of {KEYS}")

    return Bench(home).run(measure)


def measure_edits(seconds: float, home: Path) -> Figures:
    """Measure from a key that changes the plan to its sign, and to the plan, drawn.

    Half of the edits come at once after the plan before, half so late that it is
    being looked at again.
    """
    del seconds

    async def measure(bench: Bench) -> None:
        part = bench.part
        screen = PhraseScreen(part.title, title=part.title)
        await bench.app.push_screen(screen)
        await asyncio.sleep(1.0)
        signs, plans, spent, alone = [], [], [], []
        for k in range(EDITS):
            before, note = screen.plan, screen._cursor
            began, busy = time.perf_counter(), time.process_time()
            bench.app.post_message(Key("b", "b"))
            while note not in bench.studio.conductors[-1].edits.locks.must:  # noqa: ASYNC110
                await asyncio.sleep(0)
            await bench.drawn()
            signs.append(time.perf_counter() - began)
            while screen.plan is before:  # noqa: ASYNC110 - no event tells
                await asyncio.sleep(LOOK_S)
            await bench.drawn()
            plans.append(time.perf_counter() - began)
            spent.append(time.process_time() - busy)
            edits = Edits(locks=Locks(must=frozenset({note + 1})))
            began = time.process_time()
            bench.studio.maker.plan(part, part.tempo.bpm, edits, screen.plan)
            alone.append(time.process_time() - began)
            screen.action_note(7)
            await asyncio.sleep(0.05 if k % 2 else 0.4)
        bench.figures.update(figures_of(plans))
        bench.figures.update(
            {f"sign_{name}": value for name, value in figures_of(signs).items()}
        )
        bench.figures["busy_ms"] = statistics.median(spent) * MS
        bench.figures["busy_worst_ms"] = max(spent) * MS
        bench.figures["notes"] = len(part.notes)
        bench.figures["planner_ms"] = statistics.median(alone) * MS

    return Bench(home).run(measure)


CHILDREN = {
    "empty": measure_empty,
    "run": measure_run,
    "import": measure_import,
    "idle": measure_idle,
    "still": measure_still,
    "keys": measure_keys,
    "bare keys": measure_bare_keys,
    "edits": measure_edits,
}

if __name__ == "__main__":
    main()
