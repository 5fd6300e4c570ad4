"""Limits and sizes of engraving, from ``config/engraving.toml``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from coach.config import read_settings


@dataclass(frozen=True, slots=True)
class EngravingLimits:
    """How much the engraving process may use, and how long anyone waits."""

    memory_bytes: int
    """Memory of the process."""

    start_s: float
    """Time for the start of the process."""

    line_s: float
    """Time for each line besides; the process is ended when it takes longer."""

    answer_s: float
    """Time in which a terminal must have said what it can."""


@dataclass(frozen=True, slots=True)
class EngravingSize:
    """How large a staff is."""

    space_share: float
    """The most from one staff line to the next, in rows of cells."""

    least_space_share: float
    """The least of it that is worth a picture, in rows of cells."""

    least_pixels_count: int
    """The same in pixels."""

    widest_pixels_count: int
    """One sixel picture is no wider; what is wider is sent as several."""


@cache
def read_engraving_limits() -> EngravingLimits:
    """Give the limits."""
    return read_settings(EngravingLimits, "engraving", "limits")


@cache
def read_size() -> EngravingSize:
    """Give the sizes."""
    return read_settings(EngravingSize, "engraving", "size")
