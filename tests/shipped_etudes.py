"""The etudes that lie in `etudes/`, in which order they are hard, and their marks.

A file is held to what every page must keep as soon as it lies there.  What is asked of
it besides, its place among the others and what a teacher would mark, is asked once it
is named: one test says which is not yet, and where to write it.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
ETUDES = ROOT / "etudes"
FOUND = sorted(path.stem for path in ETUDES.glob("*.musicxml"))

GRADED = (
    "morning-air",
    "evening-field",
    "stepping-stones",
    "tide",
    "mill-wheel",
    "two-by-two",
    "goat-path",
    "above-the-trees",
    "long-river",
    "round-the-valley",
)
"""Easiest first."""

MARKS: dict[str, Any] = tomllib.loads(
    (ROOT / "tests/golden/marks.toml").read_text(encoding="utf-8")
)
"""A teacher's marks; common practice, no published source."""

MARKED = sorted(name for name in MARKS if isinstance(MARKS[name], dict))


def path_of(name: str) -> Path:
    """Give an etude's file."""
    return ETUDES / f"{name}.musicxml"
