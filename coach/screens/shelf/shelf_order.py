"""In which order etudes stand on the shelf, and which of them are shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.screens.shelf.shelf_needs import Etude


@dataclass(frozen=True, slots=True)
class Order:
    """One way to put etudes in order."""

    says: str
    """In a few words; empty for the order in which they come."""

    rank: Callable[[Etude], float] = lambda _: 0.0
    """What is lower stands first; equals stay as they are."""


@dataclass(frozen=True, slots=True)
class ShelfChoice:
    """Some of the etudes."""

    says: str
    """In a few words; empty for all of them."""

    holds: Callable[[Etude], bool] = lambda _: True
    """Tells whether an etude is one of them."""


def _reached(etude: Etude) -> float:
    """Give the share of its tempo at which an etude was clean."""
    if etude.best_clean_bpm is None or not etude.goal_bpm:
        return 0.0
    return etude.best_clean_bpm / etude.goal_bpm


def _last_run(etude: Etude) -> float:
    """Tell when it was rehearsed last; never is longest ago."""
    return etude.last_run.timestamp() if etude.last_run else float("-inf")


ORDERS = (
    Order(""),
    Order("longest not rehearsed first", _last_run),
    Order("hardest first", lambda etude: -etude.notes_per_s),
    Order("easiest first", lambda etude: etude.notes_per_s),
    Order("nearest to its tempo first", lambda etude: -_reached(etude)),
    Order("furthest from its tempo first", _reached),
)
"""The first is how etudes come: rehearsed last, then easiest."""

CHOICES = (
    ShelfChoice(""),
    ShelfChoice("your own", lambda etude: not etude.is_shipped),
    ShelfChoice("never rehearsed", lambda etude: etude.last_run is None),
    ShelfChoice("not at its tempo yet", lambda etude: _reached(etude) < 1.0),
)


def arrange(
    etudes: Sequence[Etude], order: Order, choice: ShelfChoice, query: str
) -> list[Etude]:
    """Give the etudes that are asked for, in order.

    A query asks for all its words, in the title, the key or the name of the file.
    """
    words = query.casefold().split()
    found = [
        etude
        for etude in etudes
        if choice.holds(etude) and all(word in _named(etude) for word in words)
    ]
    return sorted(found, key=order.rank)


def _named(etude: Etude) -> str:
    """Give all that a player may look for an etude by."""
    return f"{etude.title} {etude.key} {PurePath(etude.path).stem}".casefold()
