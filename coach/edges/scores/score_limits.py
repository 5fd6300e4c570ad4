"""How large, long and deep a score may be, and what is said of one that is not."""

from __future__ import annotations

from dataclasses import dataclass

from coach.config import read_settings
from coach.errors import ScoreError
from coach.score.plain_text import plain_words


@dataclass(frozen=True, slots=True)
class ScoreLimits:
    """The bounds of what is read; the keys of ``[limits]`` in scores.toml."""

    file_bytes: int
    """A file, or the score inside a compressed file."""

    elements_count: int
    """XML elements."""

    depth_count: int
    """XML elements inside each other."""

    notes_count: int
    """Notes in one part."""

    score_notes_count: int
    """Notes in all parts, where they must be read together."""

    bars_count: int
    """Bars on the page."""

    parts_count: int
    """Parts of one score."""

    length_quarters: int
    """From the first bar to the last."""

    bar_quarters: int
    """One bar."""

    repeats_count: int
    """Times that one stretch is played."""

    played_bars: int
    """Bars with all repeats."""

    played_notes: int
    """Notes with all repeats."""

    slowest_qpm: float
    """Quarter notes a minute."""

    fastest_qpm: float
    """Quarter notes a minute."""

    lowest_midi: int
    """Key number of the lowest note."""

    highest_midi: int
    """Key number of the highest note."""

    memory_bytes: int
    """Memory of the reading process."""

    cpu_s: int
    """Computing time of the reading process."""

    wall_s: float
    """Time that a player waits at most: much longer on a machine that is busy."""


def read_score_limits() -> ScoreLimits:
    """Read the bounds from the settings."""
    return read_settings(ScoreLimits, "scores", "limits")


def unreadable(name: str, why: str, hint: str = "") -> ScoreError:
    """Say what is wrong with a file, in one sentence that starts with its name."""
    return ScoreError(f"“{plain_words(name)}” {why}.", hint)


SHORTER = "Choose a shorter score, or one part of it."


def check_count(count: int, most: int, what: str, name: str) -> None:
    """Refuse more of something than is read."""
    if count > most:
        raise unreadable(name, f"has more than {most} {what}", SHORTER)
