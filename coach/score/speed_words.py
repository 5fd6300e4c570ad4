"""Tempo marks as they are printed, and what their words say of how it goes on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from coach.score.tempo import Beats

SLOWER = re.compile(
    r"\b(rit\b|riten|ritard|rall|allarg|slarg|slent|calando|cédez|ralent|zurückhalt|"
    r"slowing|broadening)",
    re.I,
)
FASTER = re.compile(r"\b(accel|string|affrett|stretto|pressez)", re.I)
AS_BEFORE = re.compile(r"\b(a|in|im) tempo\b|^tempo\W*$|\bau mouv|\bin time\b", re.I)
AS_FIRST = re.compile(
    r"\btempo\s+(primo|i(?![a-z])|1)|\b(1\.|primo|erstes)\s+tempo\b|"
    r"\b(1er|premier) mouv",
    re.I,
)
UNMEASURED = re.compile(
    r"\b(meno|pi[uù])\s+(mosso|moto|vivo|vivace|allegro|presto|lento|adagio|largo|"
    r"animato|tranquillo)\b|\bpoco\s+(meno|pi[uù])\b(?!\s+(f|p|forte|piano)\b)|"
    r"\b(schneller|langsamer|bewegter|ruhiger|breiter|faster|slower)\b|"
    r"\b(plus|moins)\s+(vite|lent|vif|animé)\b|\b(half|double|cut)[- ]time\b",
    re.I,
)
SAME = re.compile(
    r"\b(istesso|lo stesso|dasselbe|the same)\s+(tempo|movimento)\b", re.I
)
TWICE = re.compile(
    r"\bdoppio\s+movimento\b|\b(doppelt|twice) (so schnell|as fast)\b", re.I
)
FREE = re.compile(
    r"\brubato\b|\ba piacere\b|\bsenza (tempo|misura)\b|\bcolla (parte|voce)\b|"
    r"\bcol canto\b|\bsuivez\b|\bad\s*lib|\bfreely\b|\bfrei\b|\bliber(o|amente)\b|"
    r"\blibre(ment)?\b|\b(ca|ka)denz|\brecit(at|\b)|\brezitat|\ba capriccio\b",
    re.I,
)


@dataclass(frozen=True, slots=True)
class SpeedMark:
    """A tempo mark of any kind, as printed."""

    at: Beats
    """Where it stands."""

    quarters_per_minute: float | None = None
    """The speed that it gives; None when it gives none."""

    beat: Beats | None = None
    """The note value that is counted; None when no note value is printed."""

    words: str = ""
    """What it says in words."""

    equal: tuple[Beats, Beats] | None = None
    """Note values before and after it that last equally long."""


def words_at(here: Sequence[SpeedMark]) -> str:
    """Give all the words at one place."""
    return " ".join(mark.words for mark in here if mark.words)


def words_on_the_way(here: Sequence[SpeedMark]) -> str:
    """Give the words beside a speed that say how it goes on from there.

    A number that is not printed may be another program's way to play just these
    words, and a mark's own number is where its own words lead.
    """
    numbers = [mark for mark in here if mark.quarters_per_minute is not None]
    if numbers and all(mark.beat is None for mark in numbers):
        return ""
    return words_at([mark for mark in here if mark.quarters_per_minute is None])
