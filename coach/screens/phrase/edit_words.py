"""What a change of the player's edits comes to, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from collections.abc import Set as AbstractSet

from coach.planning.breath_place import place_after
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.planning.naming import say_place
from coach.score.phrase import Part

MOST_SAID = 2
"""Of more changes at once only so many are named."""


def say_change(before: Edits, after: Edits, part: Part) -> str:
    """Say what was changed from one state to another, as ``a breath after bar 7``."""
    changes = list(_changes(before, after, part))
    if after == Edits() and len(changes) > 1:
        return "everything left to the plan"
    said = "; ".join(changes[:MOST_SAID])
    left = len(changes) - MOST_SAID
    return f"{said}; and {left} more" if left > 0 else said


def _changes(before: Edits, after: Edits, part: Part) -> Iterator[str]:
    """Name each change: breaths, notes left out, positions, all of it.

    Where a wish gives way to its contrary, that alone is named.
    """

    def place(note: int) -> str:
        return say_place(part.notes[note].bar, float(part.notes[note].beat))

    def end(note: int) -> str:
        return str(place_after(part, note))

    def named(note: int) -> str:
        return f"{part.notes[note].written} in {place(note)}"

    old, new = before.locks, after.locks
    yield from _moved(
        old.must - new.must_not,
        new.must,
        lambda note: f"a breath {end(note)}",
        lambda note: f"no longer a breath of yours {end(note)}",
    )
    yield from _moved(
        old.must_not - new.must,
        new.must_not,
        lambda note: f"no breath {end(note)}",
        lambda note: f"a breath {end(note)} allowed again",
    )
    yield from _moved(
        old.left_out - new.kept,
        new.left_out,
        lambda note: f"{named(note)} left out",
        lambda note: f"{named(note)} no longer left out by you",
    )
    yield from _moved(
        old.kept - new.left_out,
        new.kept,
        lambda note: f"{named(note)} always played",
        lambda note: f"{named(note)} may be left out again",
    )
    if old.may_leave_out != new.may_leave_out:
        yield "notes may be left out" if new.may_leave_out else _every_note(new)
    yield from _positions(dict(before.positions), dict(after.positions), place)
    if before.dial != after.dial:
        yield _alternates(after.dial)
    if before.dynamic_shift != after.dynamic_shift:
        is_louder = after.dynamic_shift > before.dynamic_shift
        yield "all of it louder" if is_louder else "all of it softer"


def _alternates(share: float | None) -> str:
    """Say how far the plan goes with alternate positions."""
    return "alternates left to the plan" if share is None else f"alternates {share:.2g}"


def _every_note(locks: Locks) -> str:
    """Say that the plan leaves out nothing by itself."""
    return f"every {'other ' if locks.left_out else ''}note is played"


def _moved(
    old: AbstractSet[int],
    new: AbstractSet[int],
    say_added: Callable[[int], str],
    say_taken: Callable[[int], str],
) -> Iterator[str]:
    """Say which notes have come and gone."""
    yield from map(say_added, sorted(new - old))
    yield from map(say_taken, sorted(old - new))


def _positions(
    old: dict[int, str], new: dict[int, str], place: Callable[[int], str]
) -> Iterator[str]:
    """Say which positions were chosen, or left to the plan."""
    for note in sorted({*old, *new}):
        if old.get(note) != new.get(note):
            label = new.get(note)
            yield (
                f"position {label} in {place(note)}"
                if label
                else f"the position in {place(note)} left to the plan"
            )
