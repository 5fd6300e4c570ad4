"""How late each message of the engine is, beside the real run screen.

Run as ``python -m tests.benchmarks.click_lateness``; see ``--help``.  Sixteenths at 120
and a MIDI timing clock go to a real JACK port for a minute, while the run screen draws
in the same process as the engine's link and scores are imported one after another.  In
the same process and at the same time, another library plays the same music from a
standard file in a thread: what the engine is held against.

Lateness is the time of the real send less the due time.  ``others`` is what programs
that are not ours used meanwhile, in percent of one core: a figure with much of it says
little.
"""

from __future__ import annotations

import argparse
import json
import os
import pty
import resource
import statistics
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import tomli_w

from tests.jack_stand import ROOT, Gear, Heard, JackServer

MS = 1000.0
CLOCKS_PER_SIXTEENTH = 6
SIXTEENTH_S = 0.125
LAST_DRAWN_BYTES = 4000
SHARES = (0.5, 0.95, 0.99, 0.999, 1.0)


@dataclass(frozen=True)
class Ask:
    """What is to be measured."""

    seconds: float
    period: int
    is_real_time: bool
    burners: int
    has_screen: bool


def main() -> None:
    """Measure as asked, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--period", type=int, default=128, help="of the JACK server")
    parser.add_argument("--ordinary", action="store_true", help="no real-time priority")
    parser.add_argument("--burners", type=int, default=0, help="busy loops beside it")
    parser.add_argument("--no-screen", action="store_true", help="the engine alone")
    given = parser.parse_args()
    ask = Ask(
        given.seconds,
        given.period,
        not given.ordinary,
        given.burners,
        not given.no_screen,
    )
    print(ask)
    with tempfile.TemporaryDirectory() as folder:
        measure(ask, Path(folder))


def measure(ask: Ask, folder: Path) -> None:
    """Play beside the screen, and print what was late."""
    server = JackServer(ask.period)
    os.environ.update(server.environment, COACH_HOME=str(folder))
    engine_rank = {} if ask.is_real_time else {"realtime_priority_steps": 0}
    if not ask.is_real_time:
        engine_rank["raised_priority_steps"] = 0
    (folder / "player.toml").write_text(
        tomli_w.dumps(
            {
                "click": {
                    "gear": {
                        "midi_out": "synth:in",
                        "midi_in": "synth-pedal:out",
                        "sound": "off",
                    },
                    "engine": engine_rank,
                }
            }
        ),
        encoding="utf-8",
    )
    synth, other = Gear(server, "synth"), Gear(server, "other")
    burners = [
        subprocess.Popen([sys.executable, "-c", "while True: pass"])
        for _ in range(ask.burners)
    ]
    machine, own, stolen = busy_s(), own_s(), stolen_s()
    try:
        result = play_beside(ask, folder / "result.json")
    finally:
        for burner in burners:
            burner.kill()
            burner.wait()
        heard = list(synth.heard)
        synth.close()
        other.close()
        server.stop()
    others = (busy_s() - machine) - (own_s() - own)
    show(ask, result, heard, (others, stolen_s() - stolen), server.unfinished)


def play_beside(ask: Ask, path: Path) -> dict[str, object]:
    """Run the screens on a terminal of their own; give what they measured."""
    master, slave = pty.openpty()
    command = [sys.executable, "-m", "tests.benchmarks.beside_screen", str(path)]
    command += [str(ask.seconds), str(int(ask.has_screen))]
    with subprocess.Popen(
        command,
        cwd=ROOT,
        stdin=slave,
        stdout=slave,
        stderr=slave,
        env={**os.environ, "TERM": "xterm-256color", "COLUMNS": "120", "LINES": "40"},
    ) as screens:
        os.close(slave)
        drawn = bytearray()
        threading.Thread(target=drain, args=(master, drawn), daemon=True).start()
        screens.wait(ask.seconds * 2 + 60.0)
    if not path.exists():
        raise SystemExit(f"The screens failed: {drawn.decode(errors='replace')}")
    told: dict[str, object] = json.loads(path.read_text(encoding="utf-8"))
    return told


def drain(terminal: int, drawn: bytearray) -> None:
    """Read what the screens draw, as a terminal does; keep the last of it."""
    with suppress(OSError):
        while read := os.read(terminal, 65536):
            drawn += read
            del drawn[:-LAST_DRAWN_BYTES]


def show(
    ask: Ask,
    result: dict[str, object],
    heard: Sequence[Heard],
    taken: tuple[float, float],
    unfinished: int,
) -> None:
    """Print the figures, and what others and the host took meanwhile."""
    took_s = float(str(result["took_s"]))
    others, stolen = (spent / took_s for spent in taken)
    print(
        f"scheduling: {result['scheduling']}; others: {others:.0%} of a core; "
        f"taken by the host: {stolen:.1%}"
    )
    print(f"pictures a second: {result['fps']}; scores imported: {result['imported']}")
    ours = numbers(result["ours"])
    theirs = numbers(result["theirs"])
    print(row("engine", ours))
    if theirs:
        print(row("file playback in a thread", theirs))
        ratio = quantile(theirs, 0.99) / quantile(ours, 0.99)
        print(f"at p99 the thread is {ratio:.0f} times as late as the engine")
    worst = sorted(range(len(ours)), key=lambda k: -ours[k])[:5]
    print(
        "latest: "
        + ", ".join(
            f"{ours[k] * MS:.1f} ms at {k / len(ours):.0%}" for k in sorted(worst)
        )
    )
    edge = max(1, len(ours) // 50)
    drift = statistics.median(ours[-edge:]) - statistics.median(ours[:edge])
    print(f"drift over the run: {drift * MS:+.3f} ms")
    show_arrivals(ask, result, heard, unfinished)


def show_arrivals(
    ask: Ask, result: dict[str, object], heard: Sequence[Heard], unfinished: int
) -> None:
    """Print what reached the receiver, in which order, and how much later."""
    expected = [str(message) for message in result["expected"]]  # type: ignore[attr-defined]
    sent = numbers(result["sent"])
    asked_for = set(expected)
    arrived = [h for h in heard if h.message.hex() in asked_for]
    are_equal = [h.message.hex() for h in arrived] == expected
    print(
        f"at the receiver: {len(arrived)} of {len(expected)}, in order: {are_equal}; "
        f"the server had {unfinished} cycles that a client was not done with"
    )
    if not are_equal:
        found = [h.message.hex() for h in arrived]
        pairs = zip(found, expected, strict=False)
        differs = [k for k, (one, other) in enumerate(pairs) if one != other]
        first = differs[0] if differs else len(found)
        print(f"{len(differs)} differ, the first at {first}:")
        around = slice(max(0, first - 2), first + 4)
        print(f"  expected {expected[around]}")
        print(f"  arrived  {found[around]}")
        print(f"  arrived at ms {[round(h.at * MS, 2) for h in arrived[around]]}")
    if are_equal:
        way = [h.at - time for h, time in zip(arrived, sent, strict=True)]
        period_s = ask.period / 48_000
        within = sum(step <= period_s + 0.0005 for step in way) / len(way)
        print(row("on the way", way))
        print(f"within a period of {period_s * MS:.2f} ms and 0.5 ms: {within:.1%}")
        steps = [b.at - a.at for a, b in pairwise(arrived)]
        print(f"longest silence between two messages: {max(steps) * MS:.1f} ms")


def numbers(values: object) -> list[float]:
    """Take a list of numbers from JSON."""
    assert isinstance(values, list)
    return [float(value) for value in values]


def quantile(values: Sequence[float], share: float) -> float:
    """Give the value that a share of all values does not exceed."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def row(name: str, values: Sequence[float]) -> str:
    """Write a line of figures in milliseconds."""
    figures = "  ".join(
        f"p{share * 100:g} {quantile(values, share) * MS:.3f}" for share in SHARES
    )
    return f"{name} (n {len(values)}), ms: {figures}"


def busy_s() -> float:
    """Tell how long all cores together have been busy, in seconds."""
    words = Path("/proc/stat").read_text(encoding="ascii").split("\n", 1)[0].split()
    user, nice, system, _, _, irq, soft, *_ = map(int, words[1:])
    return (user + nice + system + irq + soft) / os.sysconf("SC_CLK_TCK")


def stolen_s() -> float:
    """Tell how long the host gave our cores to others, in seconds."""
    words = Path("/proc/stat").read_text(encoding="ascii").split("\n", 1)[0].split()
    return int(words[8]) / os.sysconf("SC_CLK_TCK")


def own_s() -> float:
    """Tell how long we and all children that are gone have been busy, in seconds."""
    spent = (
        resource.getrusage(who)
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return sum(usage.ru_utime + usage.ru_stime for usage in spent)


if __name__ == "__main__":
    main()
