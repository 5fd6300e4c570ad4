"""What is wrong in a tune, and where: the line, the column, the bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the text."""

    line: int
    """Line of the file, from 1."""

    column: int
    """Sign of the line, from 1."""


@dataclass(frozen=True, slots=True)
class AbcFault:
    """One thing that cannot be read, or that is read and looks like a slip."""

    spot: Spot
    """Where it stands."""

    bar: int | None
    """Bar that it stands in, from 1, before a pickup is told; None in the header."""

    what: str
    """What is wrong, without a full stop."""

    hint: str
    """What to do about it, a sentence; may be empty."""

    @property
    def where(self) -> str:
        """Name the place in words."""
        bar = "" if self.bar is None else f" (bar {self.bar})"
        return f"line {self.spot.line}, column {self.spot.column}{bar}"


def say_others(slips: Sequence[AbcFault]) -> str:
    """Say how many there are beside the first, as `` (and 2 more)``."""
    others = len(slips) - 1
    return f" (and {others} more)" if others > 0 else ""


def line_and_column(fault: AbcFault) -> tuple[int, int]:
    """Give line and column, to sort by."""
    return fault.spot.line, fault.spot.column


class WrongWords(Exception):  # noqa: N818 - it never leaves the reader
    """A field that makes no sense; whoever reads it knows where it stands."""

    def __init__(self, what: str, hint: str) -> None:
        super().__init__(what)
        self.what = what
        self.hint = hint


@dataclass(slots=True)
class Notebook:
    """What the reader notes down on its way through a tune."""

    faults: list[AbcFault] = field(default_factory=list)
    """What cannot be read."""

    doubts: list[AbcFault] = field(default_factory=list)
    """What is read, and looks like a slip."""

    left_out: dict[str, int] = field(default_factory=dict)
    """Signs that the coach has no use for, and the first line of each."""
