"""What was read of a page, as lines to hold beside the paper."""

from __future__ import annotations

from collections.abc import Sequence

from coach.score.phrase import Part

LABEL_WIDTH = 10


def check_lines(part: Part, words: Sequence[tuple[str, str]]) -> list[str]:
    """Write what was read, a line each, under the title."""
    return [
        part.heading,
        *(f"{label:<{LABEL_WIDTH}}{text}" for label, text in words),
    ]
