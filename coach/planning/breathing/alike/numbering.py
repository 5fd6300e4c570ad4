"""Number what is alike, so that it is known again at once: fractions compare slowly."""

from __future__ import annotations

from collections.abc import Hashable, Iterable


def number_alike(things: Iterable[Hashable]) -> tuple[int, ...]:
    """Give each thing a number; those that are equal have the same.

    Examples
    --------
    >>> number_alike("abba")
    (0, 1, 1, 0)
    """
    known: dict[Hashable, int] = {}
    return tuple(known.setdefault(thing, len(known)) for thing in things)
