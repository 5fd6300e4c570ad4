"""Instruments and settings for the tests of arm and tongue."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from coach.config import read_settings, read_shipped
from coach.planning.instrument.instrument import Instrument, build_instrument
from coach.planning.instrument.placement import Articulation
from coach.planning.slide.slide import SlidePlan, plan_slide
from coach.planning.slide.slide_settings import SlideSettings
from coach.score.phrase import Part
from tests.hand_made import part_of

LETTERS = {
    Articulation.TONGUED: "T",
    Articulation.NATURAL_SLUR: "n",
    Articulation.LIP_SLUR: "l",
    Articulation.VALVE_SLUR: "v",
    Articulation.LEGATO_TONGUED: "d",
    Articulation.GLISSANDO: "g",
}


@cache
def instrument(name: str = "tenor-trombone") -> Instrument:
    return build_instrument(name, read_shipped(f"instruments/{name}"))


@cache
def settings() -> SlideSettings:
    return read_settings(SlideSettings, "slide")


def gliding(words: str, *starts: int) -> Part:
    """Make a part by hand with glissandi from some of its notes to the next."""
    part = part_of(words)
    sign = frozenset({"glissando"})
    notes = [
        replace(note, articulations=sign if k in starts else note.articulations)
        for k, note in enumerate(part.notes)
    ]
    return replace(part, notes=tuple(notes))


def graced(part: Part, *small: int) -> Part:
    """Make some notes of a part grace notes, each before the note that follows it."""
    notes = list(part.notes)
    for k in sorted(small, reverse=True):
        main = notes[k + 1]
        notes[k] = replace(notes[k], is_grace=True, bar=main.bar, beat=main.beat)
    return replace(part, notes=tuple(notes))


def planned(
    part: Part,
    *,
    dial: float | None = None,
    on: str = "tenor-trombone",
    breaths_after: frozenset[int] = frozenset(),
    left_out: frozenset[int] = frozenset(),
    locked: dict[int, str] | None = None,
) -> SlidePlan:
    """Plan a part at its own tempo."""
    return plan_slide(
        part,
        part.tempo_map,
        instrument(on),
        settings(),
        dial=settings().dial_share if dial is None else dial,
        breaths_after=breaths_after,
        left_out=left_out,
        locked=locked or {},
    )


def positions(plan: SlidePlan) -> str:
    """Write the positions without their signs."""
    return " ".join(place.plain for place in plan.placements)


def begun(plan: SlidePlan) -> str:
    """Write how each note is begun, a letter a note."""
    return "".join(LETTERS[articulation] for articulation in plan.articulations)
