"""Whether the terminal can show pictures, and how large its cells are.

Terminals that can are known by variables that they set themselves.  Any other can be
asked: each answers the question for its attributes (DA1, ECMA-48), and what else it
answers comes before that.  Nobody waits longer than a moment, and what the player types
meanwhile is kept.
"""

from __future__ import annotations

import os
import re
import select
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Literal

Graphics = Literal["sixel", "kitty"]

QUESTION = b"\x1b[16t\x1b_Gi=31,U=1,s=1,v=1,a=q,t=d,f=24;AAAA\x1b\\\x1b[c"
"""Size of a cell; whether cells can show a kitty picture; the terminal's attributes."""

CELL = re.compile(rb"\x1b\[6;(\d+);(\d+)t")
KITTY = re.compile(rb"\x1b_Gi=31;([^\x1b]*)\x1b\\")
ATTRIBUTES = re.compile(rb"\x1b\[\?([\d;]*)c")
SIXEL = b"4"
"""Attribute of a terminal that shows sixels."""

BLOCK = 4096

SHOW_KITTY = {
    "TERM": ("xterm-kitty", "xterm-ghostty"),
    "TERM_PROGRAM": ("ghostty",),
}
SHOW_SIXELS = {
    "TERM": ("foot", "foot-extra", "foot-direct", "mlterm", "contour", "yaft-256color"),
    "TERM_PROGRAM": ("WezTerm", "iTerm.app", "rio"),
}
"""Terminals that show pictures, and the words by which they name themselves."""

INSIDE_ANOTHER = ("TMUX", "STY", "ZELLIJ")
"""Set by programs that keep terminals inside a terminal and swallow pictures."""

OTHERS = ("VTE_VERSION", "XTERM_VERSION")
"""Set by terminals that were started from another one and show none of its pictures."""

LEAST_KONSOLE = 220400
"""First version that shows sixels."""


@dataclass(frozen=True, slots=True)
class TerminalAnswer:
    """What a terminal said."""

    graphics: Graphics | None
    """How it shows pictures; None if it does not, or did not say."""

    cell: tuple[int, int] | None
    """Pixels of a cell; None if it did not say."""

    typed: str
    """What the player typed meanwhile."""


def known_graphics(environment: Mapping[str, str]) -> Graphics | None:
    """Tell by its own variables how the terminal shows pictures; None if unknown."""
    if not may_show(environment):
        return None
    if any(environment.get(key) in names for key, names in SHOW_KITTY.items()):
        return "kitty"
    if any(name in environment for name in OTHERS):
        return None
    if any(environment.get(key) in names for key, names in SHOW_SIXELS.items()):
        return "sixel"
    konsole = environment.get("KONSOLE_VERSION", "")
    return "sixel" if konsole.isdigit() and int(konsole) >= LEAST_KONSOLE else None


def may_be_too_old(environment: Mapping[str, str]) -> bool:
    """Tell whether it is a kitty, of which cells show pictures only since 0.28."""
    return environment.get("TERM") == "xterm-kitty"


def may_show(environment: Mapping[str, str]) -> bool:
    """Tell whether pictures can come through, and colours are wanted at all."""
    return not (
        environment.get("NO_COLOR")
        or any(name in environment for name in INSIDE_ANOTHER)
        or environment.get("TERM", "").startswith(("screen", "tmux", "dumb", "linux"))
    )


def measure_cell() -> tuple[int, int] | None:
    """Give the pixels of a cell as the system knows them; None if it does not."""
    with suppress(ImportError, OSError, ValueError):
        import fcntl
        import struct
        import termios

        told = fcntl.ioctl(_terminal(), termios.TIOCGWINSZ, bytes(8))
        rows, columns, width, height = struct.unpack("HHHH", told)
        if rows and columns and width >= columns and height >= rows:
            return width // columns, height // rows
    return None


def _terminal() -> int:
    """Give the terminal that pictures go to."""
    stream = sys.__stdout__
    if stream is None:
        raise ValueError
    return stream.fileno()


def ask_terminal() -> TerminalAnswer:
    """Ask the terminal what it can show; wait no longer than a moment."""
    # Here, since the first picture waits for this file, and few terminals are asked.
    from coach.edges.engraving.engraving_settings import read_engraving_limits

    if sys.__stdin__ is None:
        return TerminalAnswer(None, None, "")
    with suppress(ImportError, OSError, ValueError), _unechoed(sys.__stdin__.fileno()):
        os.write(_terminal(), QUESTION)
        return read_answer(
            _heard(sys.__stdin__.fileno(), read_engraving_limits().answer_s)
        )
    return TerminalAnswer(None, None, "")


@contextmanager
def _unechoed(terminal: int) -> Iterator[None]:
    """Take what comes at once and show none of it; throw nothing away."""
    import termios
    import tty

    before = termios.tcgetattr(terminal)
    tty.setcbreak(terminal, termios.TCSANOW)
    now = termios.tcgetattr(terminal)
    now[0] &= ~termios.ICRNL  # Enter comes as the screens will have it.
    termios.tcsetattr(terminal, termios.TCSANOW, now)
    try:
        yield
    finally:
        termios.tcsetattr(terminal, termios.TCSANOW, before)


def _heard(terminal: int, limit: float) -> bytes:
    """Give all that comes until the terminal has told its attributes, or time is up."""
    until = time.monotonic() + limit
    heard = b""
    while ATTRIBUTES.search(heard) is None:
        left = until - time.monotonic()
        if left <= 0 or not select.select([terminal], [], [], left)[0]:
            break
        more = os.read(terminal, BLOCK)
        if not more:
            break
        heard += more
    return heard


def read_answer(heard: bytes) -> TerminalAnswer:
    """Sort the terminal's answers from what was typed."""
    attributes = ATTRIBUTES.search(heard)
    kitty, cell = KITTY.search(heard), CELL.search(heard)
    graphics: Graphics | None = None
    if kitty is not None and kitty[1] == b"OK":
        graphics = "kitty"
    elif attributes is not None and SIXEL in attributes[1].split(b";"):
        graphics = "sixel"
    typed = heard
    for answer in (ATTRIBUTES, KITTY, CELL):
        typed = answer.sub(b"", typed)
    return TerminalAnswer(
        graphics,
        (int(cell[2]), int(cell[1])) if cell is not None else None,
        typed.decode("utf-8", errors="ignore"),
    )
