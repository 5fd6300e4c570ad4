"""What a key of the phrase screen does to the player's edits: values in, values out."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.edits import Edits

MOST_STEPS = 3.0
"""The page is never played more than this much louder or softer."""


def breathe_after(edits: Edits, note: int) -> Edits:
    """Insist on a breath after a note, or no longer."""
    locks = edits.locks
    if note in locks.must:
        return replace(edits, locks=replace(locks, must=locks.must - {note}))
    return _locked(edits, locks.must | {note}, locks.must_not - {note})


def never_after(edits: Edits, note: int) -> Edits:
    """Refuse a breath after a note, or no longer."""
    locks = edits.locks
    if note in locks.must_not:
        return replace(edits, locks=replace(locks, must_not=locks.must_not - {note}))
    return _locked(edits, locks.must - {note}, locks.must_not | {note})


def move_breath(edits: Edits, old: int, new: int) -> Edits:
    """Take a breath from after one note to after another."""
    if old == new:
        return edits
    locks = edits.locks
    return _locked(
        edits, (locks.must - {old}) | {new}, (locks.must_not | {old}) - {new}
    )


def leave_out(edits: Edits, note: int) -> Edits:
    """Leave a note out to breathe, or no longer.

    The breath lies before it, and before those left out with it: so there it is no
    longer refused, and none is asked for after a note that is not played.
    """
    locks = edits.locks
    left_out = locks.left_out ^ {note}
    must, must_not = locks.must, locks.must_not
    if note in left_out:
        first = note
        while first - 1 in left_out:
            first -= 1
        must, must_not = must - left_out, must_not - {first - 1}
    locks = replace(
        locks,
        must=must,
        must_not=must_not,
        left_out=left_out,
        kept=locks.kept - {note},
    )
    return replace(edits, locks=locks)


def keep(edits: Edits, note: int) -> Edits:
    """Never leave a note out, or leave that to the plan again."""
    locks = edits.locks
    locks = replace(locks, kept=locks.kept ^ {note}, left_out=locks.left_out - {note})
    return replace(edits, locks=locks)


def every_note(edits: Edits) -> Edits:
    """Let the plan leave out no note by itself, or let it again."""
    locks = replace(edits.locks, may_leave_out=not edits.locks.may_leave_out)
    return replace(edits, locks=locks)


def _locked(edits: Edits, must: frozenset[int], must_not: frozenset[int]) -> Edits:
    """Insist on these breaths, and refuse those.

    Who breathes after a note plays it, and where a breath is refused no notes are left
    out for it.
    """
    left_out = set(edits.locks.left_out - must)
    for gap in must_not:
        note = gap + 1
        while note in left_out:
            left_out.remove(note)
            note += 1
    return replace(
        edits,
        locks=replace(
            edits.locks, must=must, must_not=must_not, left_out=frozenset(left_out)
        ),
    )


def choose_position(edits: Edits, note: int, label: str) -> Edits:
    """Play a note in a position of one's own; an empty label leaves it to the plan."""
    others = [(k, chosen) for k, chosen in edits.positions if k != note]
    if label:
        others.append((note, label))
    return replace(edits, positions=tuple(sorted(others)))


def leave_to_plan(edits: Edits, note: int) -> Edits:
    """Insist on nothing at a note any more."""
    locks = edits.locks
    locks = replace(
        locks,
        must=locks.must - {note},
        must_not=locks.must_not - {note},
        left_out=locks.left_out - {note},
        kept=locks.kept - {note},
    )
    return choose_position(replace(edits, locks=locks), note, "")


def louder(edits: Edits, steps: float) -> Edits:
    """Play all of it louder or softer than the page."""
    shift = max(-MOST_STEPS, min(MOST_STEPS, edits.dynamic_shift + steps))
    return replace(edits, dynamic_shift=shift)


def turn_dial(edits: Edits, usual: float, by: float) -> Edits:
    """Turn the dial of alternates, from 0 (none) to 1 (as many as help)."""
    now = usual if edits.dial is None else edits.dial
    return replace(edits, dial=max(0.0, min(1.0, now + by)))
