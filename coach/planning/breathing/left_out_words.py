"""Name the notes that are left out for a breath, as a player reads them."""

from __future__ import annotations

from collections.abc import Sequence

from coach.score.phrase import Part

MOST_NAMED = 3
"""More notes than the plan leaves out by itself are only counted."""


def say_left_out(part: Part, left_out: Sequence[int]) -> str:
    """Name notes that are left out: ``leaving out [C4 D4] in bar 3``."""
    bar = part.notes[left_out[0]].bar
    return f"leaving out {name_left_out(part, left_out)} in bar {bar}"


def name_left_out(part: Part, left_out: Sequence[int]) -> str:
    """Name notes that are left out, in brackets: ``[C4 D4]``; count more than three."""
    if len(left_out) > MOST_NAMED:
        return f"[{len(left_out)} notes]"
    return f"[{' '.join(str(part.notes[k].written) for k in left_out)}]"
