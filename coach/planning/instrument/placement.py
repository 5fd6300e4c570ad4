"""One way to play one pitch, and how its note is begun."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Articulation(StrEnum):
    """How a note is begun."""

    TONGUED = "tongued"
    NATURAL_SLUR = "natural-slur"
    LIP_SLUR = "lip-slur"
    VALVE_SLUR = "valve-slur"
    LEGATO_TONGUED = "legato-tongued"
    GLISSANDO = "glissando"
    LEFT_OUT = "left-out"

    @property
    def is_stroke(self) -> bool:
        """The tongue moves, hard or soft."""
        return self in (Articulation.TONGUED, Articulation.LEGATO_TONGUED)

    @property
    def is_slur(self) -> bool:
        """A change of partial or valve begins it, with no tongue."""
        return self in SLURS


SLURS = frozenset(
    {Articulation.NATURAL_SLUR, Articulation.LIP_SLUR, Articulation.VALVE_SLUR}
)
"""What begins a note cleanly with no tongue."""


@dataclass(frozen=True, slots=True)
class Placement:
    """One way to play one pitch."""

    label: str
    """As a player writes it: ``4``, ``T2``, ``b4``; a valve pattern; or empty."""

    cm: float | None
    """Slide out from first position, in centimetres; None without a slide."""

    partial: int | None
    """Harmonic; None where it has no meaning."""

    valves: str = ""
    """Valves pressed, as ``12``, or the trigger; empty when open."""

    cents: float = 0.0
    """How far out of tune it stays; positive is sharp."""

    is_alternate: bool = False
    """Not the usual choice for the pitch."""

    number: int = 0
    """Nearest whole position, from 1; 0 without a slide."""

    @property
    def plain(self) -> str:
        """The label with no sign for raised or lowered."""
        return plain_label(self.label)


NO_PLACE = Placement("", None, None)
"""What stands for a pitch that needs no place, or has none."""


PRINTED = str.maketrans({"♭": "b", "♯": "#", "+": "#"} | dict.fromkeys(" ()[].,-–"))
"""Signs of a printed label that mean the same, and those that mean nothing."""


def plain_label(text: str) -> str:
    """Read a position or fingering as a player writes it, with no sign before it.

    Examples
    --------
    >>> plain_label("(♭4)"), plain_label("1-2"), plain_label("#T2")
    ('4', '12', 'T2')
    """
    return text.translate(PRINTED).lstrip("b#")


def find_place(places: Sequence[Placement], asked: str) -> Placement | None:
    """Find the place that a player asks for, with its sign or without.

    Parameters
    ----------
    asked : str
        As written: ``4``, ``b4``, ``1-2``.

    Returns
    -------
    Placement or None
        The one with the very label if there is one, else the one with the same
        position; None if the pitch has no such place.
    """
    for place in places:
        if place.label == asked:
            return place
    plain = plain_label(asked)
    return next((place for place in places if place.plain == plain), None)
