"""A tune as it is being typed: what can be played of it, and what is wrong."""

from __future__ import annotations

from dataclasses import dataclass

from coach.score.abc.abc_faults import AbcFault, say_others
from coach.score.phrase import Part


@dataclass(frozen=True, slots=True)
class TypedTune:
    """What was made of a text."""

    part: Part | None
    """The part; None while something is wrong or no note is there."""

    faults: tuple[AbcFault, ...]
    """What cannot be read, in order of place."""

    doubts: tuple[AbcFault, ...]
    """What is read and looks like a slip, in order of place."""

    told: str
    """Why there is no part, where it is none of the faults; else empty."""

    @property
    def slip(self) -> AbcFault | None:
        """The first thing to look at: a fault, else a doubt."""
        return next(iter((*self.faults, *self.doubts)), None)

    @property
    def says(self) -> str:
        """Say what to look at, in a sentence or two; empty where all is well."""
        slip = self.slip
        if slip is None:
            return self.told
        where = slip.where[:1].upper() + slip.where[1:]
        others = say_others(self.faults or self.doubts)
        return f"{where}: {slip.what}{others}. {slip.hint}".strip()
