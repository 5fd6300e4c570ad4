"""Two hundred abrupt ends: does a note hang, is the death noticed, is the port back?

Run as ``python -m tests.benchmarks.abrupt_ends``; see ``--help``.  A held note sounds
at a synth in another process when the engine or the screens' process is killed, the
engine is told to end or hangs, the synth is unplugged, or the JACK server is killed.
Then: how long until the note ended, until the other side noticed, and until the port
was back.
"""

from __future__ import annotations

import argparse
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import IO, cast

from coach.edges.engine.engine_link import EngineLink
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.gear.gear import Fact, GearLost
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.rehearsal.gear.pedals import PedalKeys
from coach.score.tempo import Seconds
from tests.edges.conftest import engine_of
from tests.jack_stand import ROOT, Gear, JackServer, wait_until

MS = 1000.0
FOREVER = Seconds(600.0)
HELD = bytes((0x90, 46, 64))
HELD_END = bytes((0x80, 46, 0))
NO_PEDALS = PedalKeys("", "", "", "")
TRACK = ClickTrack(
    (Click(Seconds(0.0), FOREVER, SoundKind.GUIDE, 0, 46, 64),), Seconds(0.0), FOREVER
)


@dataclass
class Tally:
    """What one kind of end did."""

    name: str
    note_ended: list[float] = field(default_factory=list)
    noticed: list[float] = field(default_factory=list)
    back: list[float] = field(default_factory=list)
    hanging: int = 0

    def __str__(self) -> str:
        """Write it in a line."""
        parts = [
            f"{what} {statistics.median(times) * MS:.0f} ms, "
            f"at most {max(times) * MS:.0f} ms"
            for what, times in (
                ("noticed in", self.noticed),
                ("note ended in", self.note_ended),
                ("port back in", self.back),
            )
            if times
        ]
        count = max(map(len, (self.note_ended, self.noticed, self.back)))
        return f"{self.name} × {count}: {self.hanging} hanging; {'; '.join(parts)}"


class Stand:
    """A server, a synth and an engine that holds a note."""

    def __init__(self) -> None:
        self.server = JackServer()
        os.environ.update(self.server.environment)
        self.synth = Gear(self.server, "synth")
        choice = GearChoice(self.synth.port, "", "off", "", "", 0.0)
        self.link = EngineLink(choice, NO_PEDALS)
        self.facts: list[tuple[float, Fact]] = []
        self.link.listen(lambda fact: self.facts.append((time.monotonic(), fact)))
        assert self.link.wait_until_ready(30.0)

    def hold(self) -> None:
        """Let the note sound."""
        self.synth.forget()
        self.facts.clear()
        self.link.play(TRACK)
        self.synth.wait_for(HELD)

    def lost(self, *, is_back: bool) -> bool:
        """Tell whether gear was told to be lost, or back."""
        return self.when(is_back=is_back) is not None

    def when(self, *, is_back: bool) -> float | None:
        """Tell when gear was told to be lost, or back."""
        found = [
            at
            for at, fact in list(self.facts)
            if isinstance(fact, GearLost) and fact.is_back is is_back
        ]
        return found[0] if found else None

    def close(self) -> None:
        """Take all down."""
        self.link.close()
        self.synth.close()
        self.server.stop()


def end_engine(stand: Stand, tally: Tally, number: int) -> None:
    """Kill the engine, or tell it to end."""
    stand.hold()
    ended = time.monotonic()
    os.kill(engine_of(stand.link), number)
    wait_until(lambda: stand.lost(is_back=False))
    heard = stand.synth.wait_for(HELD_END)
    wait_until(lambda: stand.lost(is_back=True))
    tally.noticed.append((stand.when(is_back=False) or 0.0) - ended)
    tally.note_ended.append(first_end(heard) - ended)
    tally.back.append((stand.when(is_back=True) or 0.0) - ended)
    tally.hanging += len(stand.synth.hanging())


def first_end(heard: Sequence[object]) -> float:
    """Tell when the held note was ended first."""
    from tests.jack_stand import Heard

    return next(h.at for h in heard if isinstance(h, Heard) and h.message == HELD_END)


def kill_engine(stand: Stand, tally: Tally) -> None:
    """Kill the engine without a word."""
    end_engine(stand, tally, signal.SIGKILL)


def ask_engine(stand: Stand, tally: Tally) -> None:
    """Tell the engine to end."""
    end_engine(stand, tally, signal.SIGTERM)


def stop_engine(stand: Stand, tally: Tally) -> None:
    """Let the engine hang: it is there, and does nothing."""
    end_engine(stand, tally, signal.SIGSTOP)


def kill_screens(stand: Stand, tally: Tally) -> None:
    """Kill a screens' process of its own."""
    stand.synth.forget()
    command = [sys.executable, "-m", "tests.benchmarks.abrupt_ends", "--play"]
    with subprocess.Popen(
        [*command, stand.synth.port], cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as screens:
        engine = int(cast(IO[str], screens.stdout).readline())
        stand.synth.wait_for(HELD)
        ended = time.monotonic()
        screens.kill()
        heard = stand.synth.wait_for(HELD_END)
    tally.note_ended.append(first_end(heard) - ended)
    wait_until(lambda: not is_running(engine))
    tally.noticed.append(tally.note_ended[-1])
    tally.hanging += len(stand.synth.hanging())


def unplug(stand: Stand, tally: Tally) -> None:
    """Take the synth away and bring it back."""
    stand.hold()
    ended = time.monotonic()
    stand.synth.unplug()
    wait_until(lambda: stand.lost(is_back=False))
    tally.noticed.append((stand.when(is_back=False) or 0.0) - ended)
    stand.link.stop()
    stand.synth.forget()
    back = time.monotonic()
    stand.synth.plug()
    wait_until(lambda: stand.lost(is_back=True))
    tally.back.append((stand.when(is_back=True) or 0.0) - back)
    stand.synth.wait_for(bytes((0xBF, 123, 0)))
    tally.hanging += len(stand.synth.hanging())


def kill_server(stand: Stand, tally: Tally) -> None:
    """Kill the JACK server and start it again."""
    stand.hold()
    ended = time.monotonic()
    stand.server.kill()
    wait_until(lambda: stand.lost(is_back=False))
    tally.noticed.append((stand.when(is_back=False) or 0.0) - ended)
    stand.link.stop()
    stand.synth.kill()
    stand.server.start()
    stand.synth = Gear(stand.server, "synth")
    back = time.monotonic()
    wait_until(lambda: stand.lost(is_back=True))
    tally.back.append(max(0.0, (stand.when(is_back=True) or 0.0) - back))
    stand.synth.wait_for(bytes((0xBF, 123, 0)))
    tally.hanging += len(stand.synth.hanging())


def is_running(process: int) -> bool:
    """Tell whether a process is there."""
    try:
        os.kill(process, 0)
    except OSError:
        return False
    return True


def play_and_wait(port: str) -> None:
    """Be a screens' process that holds the note until it is killed."""
    link = EngineLink(GearChoice(port, "", "off", "", "", 0.0), NO_PEDALS)
    assert link.wait_until_ready(30.0)
    link.play(TRACK)
    print(engine_of(link), flush=True)
    time.sleep(FOREVER)


def main() -> None:
    """Come to as many ends as asked for, and print what they did."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=40, help="ends of each kind")
    parser.add_argument("--play", default="", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.play:
        play_and_wait(given.play)
        return
    ends: Sequence[tuple[str, Callable[[Stand, Tally], None]]] = (
        ("engine killed", kill_engine),
        ("engine told to end", ask_engine),
        ("engine hangs", stop_engine),
        ("screens killed", kill_screens),
        ("synth unplugged", unplug),
        ("server killed", kill_server),
    )
    with tempfile.TemporaryDirectory() as folder:
        os.environ["COACH_HOME"] = folder
        for name, end in ends:
            tally = Tally(name)
            stand = Stand()
            for _ in range(given.each):
                end(stand, tally)
            stand.close()
            print(tally, flush=True)


if __name__ == "__main__":
    main()
