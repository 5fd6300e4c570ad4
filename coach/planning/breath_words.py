"""Say in a player's words why a breath stands where it does, and what goes wrong."""

from __future__ import annotations

from collections.abc import Sequence

from coach.planning.breath_places import Places
from coach.planning.breath_search import Walk
from coach.score.phrase import Part


def where(part: Part, k: int) -> str:
    """Name a note by bar and beat: ``bar 7, beat 2.5``."""
    note = part.notes[k]
    return f"bar {note.bar}, beat {float(note.beat):.4g}"


def why_here(places: Places, walk: Walk, number: int) -> str:
    """Say why a breath stands here and not at the neighbour."""
    way = walk.breaths[number][1]
    return "on the rest" if way.taken_s == 0.0 else "out of the note before"


def notices_of(
    places: Places,
    walk: Walk,
    locks: object,
    impossible: Sequence[int],
    dry: int | None,
) -> tuple[str, ...]:
    """Say what goes wrong: locks that cannot be kept, where the air runs out."""
    part = places.part
    notices = [
        f"No breath is possible after the note at {where(part, k)}." for k in impossible
    ]
    if dry is not None:
        notices.append(f"The air runs out on the note at {where(part, dry)}.")
    return tuple(notices)
