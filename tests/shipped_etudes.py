"""The etudes that lie in `etudes/`, in which order they are hard, and their marks.

A file is held to what every page must keep as soon as it lies there, and its place
among the others is the difficulty that it states.  What a teacher would mark in it is
asked once it is named: one test says which is not yet, and where to write it.
"""

from __future__ import annotations

import tomllib
import xml.etree.ElementTree as ET
from math import nan
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
ETUDES = ROOT / "etudes"
FOUND = sorted(path.stem for path in ETUDES.glob("*.musicxml"))


def path_of(name: str) -> Path:
    """Give an etude's file."""
    return ETUDES / f"{name}.musicxml"


def difficulty_of(name: str) -> float:
    """Give the difficulty that a page states; no number where it states none."""
    root = ET.parse(path_of(name)).getroot()
    field = ".//miscellaneous-field[@name='difficulty']"
    return float(root.findtext(field) or nan)


GRADED = tuple(sorted(FOUND, key=difficulty_of))
"""Easiest first."""

MARKS: dict[str, Any] = tomllib.loads(
    (ROOT / "tests/golden/marks.toml").read_text(encoding="utf-8")
)
"""A teacher's marks; common practice, no published source."""

MARKED = sorted(name for name in MARKS if isinstance(MARKS[name], dict))
