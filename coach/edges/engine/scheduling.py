"""Put the engine before other programs, as far as the system allows."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from coach.edges.engine.engine_settings import EngineSettings

TIMER_SLACK = Path("/proc/self/timerslack_ns")
SHORTEST_SLACK_NS = "1"
SWITCH_S = 0.0005
"""How long another thread of the engine may keep a click waiting."""

IN_HASTE = "in-haste"
"""Told to an engine that takes the place of another."""


def load_soon(settings: EngineSettings) -> None:
    """Come before ordinary programs while the engine loads what it needs.

    It may follow one that died, whose notes sound until this one ends them.
    """
    _be_realtime(min(1, settings.realtime_priority_steps))


def hurry(settings: EngineSettings) -> str:
    """Ask for the best place there is; say which was given."""
    gc.collect()
    gc.freeze()
    gc.disable()
    sys.setswitchinterval(SWITCH_S)
    return come_first(settings.realtime_priority_steps, settings.raised_priority_steps)


def come_first(realtime_steps: int, raised_steps: int) -> str:
    """Come before other programs, by real time or else by ordinary priority."""
    with suppress(OSError):
        TIMER_SLACK.write_text(SHORTEST_SLACK_NS)
    if _be_realtime(realtime_steps):
        return "real-time priority"
    if sys.platform == "win32":
        return "high priority"
    if raised_steps > 0:
        with suppress(OSError):
            os.nice(-raised_steps)
            return "raised priority"
    return "ordinary priority"


def stand_back() -> None:
    """Let this thread of a real-time engine give way to clicks, ours and others'.

    It stays before ordinary programs: while it holds the interpreter, clicks wait.
    """
    if sys.platform == "linux" and os.sched_getscheduler(0) == os.SCHED_FIFO:
        lowest = os.sched_get_priority_min(os.SCHED_FIFO)
        with suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(lowest))


@contextmanager
def giving_way() -> Iterator[None]:
    """Let this thread load a library as any other program would.

    A large one takes a while, in which the screens want to draw their first picture.
    """
    if sys.platform != "linux" or os.sched_getscheduler(0) != os.SCHED_FIFO:
        yield
        return
    place = os.sched_getparam(0)
    os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))
    try:
        yield
    finally:
        with suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_FIFO, place)


def be_ordinary() -> None:
    """Let a child process of the engine be as any other program."""
    if sys.platform == "linux":
        with suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))


def _be_realtime(steps: int) -> bool:
    """Try for a place among real-time programs; tell whether it was given."""
    if sys.platform == "linux" and steps > 0:
        wanted = os.sched_get_priority_min(os.SCHED_FIFO) + steps - 1
        with suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(wanted))
            return True
    return False
