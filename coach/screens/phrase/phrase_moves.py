"""Where the cursor can go: starts of bars and phrases, places of breaths."""

from __future__ import annotations

from collections.abc import Sequence

from coach.planning.plan import Plan
from coach.score.phrase import Part

LIKELY = 0.5
"""A gap in which a phrase ends at least this likely starts a new one."""


def bar_starts(part: Part) -> list[int]:
    """List the first note of each bar."""
    bars = [note.bar for note in part.notes]
    return [k for k, bar in enumerate(bars) if k == 0 or bar != bars[k - 1]]


def breath_places(plan: Plan) -> list[int]:
    """List the notes before breaths."""
    return [breath.after_note for breath in plan.breaths.breaths]


def phrase_starts(plan: Plan) -> list[int]:
    """List the first note of each phrase, as a musician hears them."""
    return [0, *(k + 1 for k, ends in enumerate(plan.phrase_ends) if ends >= LIKELY)]


def next_of(notes: Sequence[int], here: int, steps: int) -> int:
    """Give the next of some notes, or the one before; where there is none, stay."""
    if steps > 0:
        return next((note for note in notes if note > here), here)
    return next((note for note in reversed(notes) if note < here), here)
