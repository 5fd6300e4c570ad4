"""Choose positions and articulation for a part.

The plan is the cheapest walk through the part: which of its positions each note
takes and how it is begun, weighing the way of the arm, its hurry and its turns, the
strokes of the tongue, the tuning, and what departs from the page and from habit.

Conventions
-----------
Notes are counted from 0.  Places are in centimetres out from first position.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from coach.planning.begins import Begin, find_breaks, find_strong, read_begins
from coach.planning.instrument import Instrument
from coach.planning.partials import CM_IN_M
from coach.planning.placement import NO_PLACE, Articulation, Placement
from coach.planning.slide_costs import (
    Moment,
    SlideSettings,
    Way,
    articulate,
    lay_stages,
    travel_cm,
)
from coach.planning.slide_walk import find_walk, walk_cost
from coach.score.phrase import Part
from coach.score.tempo import TempoMap

__all__ = [
    "Articulation",
    "Placement",
    "SlidePlan",
    "SlideSettings",
    "plan_slide",
    "plan_tongued",
]

NO_LOCKS: Mapping[int, str] = {}


@dataclass(frozen=True, slots=True)
class SlidePlan:
    """Positions and articulation for every note."""

    placements: tuple[Placement, ...]
    """One for each note."""

    articulations: tuple[Articulation, ...]
    """One for each note: how it is begun."""

    travel_cm: float
    """How far the arm goes in all."""

    tongue_strokes: int
    """Notes begun with the tongue."""

    natural_slurs: int
    """Notes begun by a change of partial or valve, with no tongue."""

    worst_speed_mps: float
    """Fastest mean arm speed that any move asks for, in metres per second."""

    cost: float
    """Lower is better."""

    notices: tuple[str, ...] = ()
    """Warnings in the player's words."""

    travel_by_note_cm: tuple[float, ...] = ()
    """How far the arm goes to reach each note; 0 for the first."""


def plan_slide(
    part: Part,
    tempo_map: TempoMap,
    instrument: Instrument,
    settings: SlideSettings,
    *,
    dial: float,
    breaths_after: frozenset[int] = frozenset(),
    locked: Mapping[int, str] = NO_LOCKS,
    usual_only: bool = False,
) -> SlidePlan:
    """Choose positions and articulation for every note.

    Parameters
    ----------
    part : Part
        What is played.
    tempo_map : TempoMap
        Its speeds.
    instrument : Instrument
        On what.
    settings : SlideSettings
        What is weighed.
    dial : float
        From 0, usual positions and the page's own slurs, to 1, as many natural
        slurs as the music allows.
    breaths_after : frozenset of int
        Notes that a breath follows.
    locked : mapping
        Places that the player insists on, by the index of the note.
    usual_only : bool
        Use no alternate, wherever the dial stands.

    Returns
    -------
    SlidePlan
        The cheapest plan.
    """
    page = _Page.read(part, tempo_map, breaths_after)
    moments = page.moments(instrument, settings, dial, locked, usual_only=usual_only)
    stages = lay_stages(moments, settings, dial)
    walk = find_walk(stages)
    ways = [moment.ways[choice] for moment, choice in zip(moments, walk, strict=True)]
    return _describe(moments, ways, walk_cost(stages, walk))


def plan_tongued(
    part: Part,
    tempo_map: TempoMap,
    instrument: Instrument,
    settings: SlideSettings,
    breaths_after: frozenset[int] = frozenset(),
) -> SlidePlan:
    """Give the plan to compare with: all tongued, in usual positions.

    Parameters
    ----------
    part : Part
        What is played.
    tempo_map : TempoMap
        Its speeds.
    instrument : Instrument
        On what.
    settings : SlideSettings
        What is weighed.
    breaths_after : frozenset of int
        Notes that a breath follows.

    Returns
    -------
    SlidePlan
        Every note struck, slurs of the page or not.
    """
    page = _Page.read(part, tempo_map, breaths_after)
    page = _Page(
        page.midis,
        page.onsets_s,
        page.ends_s,
        page.breaks,
        (Begin.TONGUE,) * len(page.midis),
        page.strong,
    )
    moments = page.moments(instrument, settings, 0.0, NO_LOCKS, usual_only=True)
    stages = lay_stages(moments, settings, 0.0)
    walk = find_walk(stages)
    ways = [moment.ways[choice] for moment, choice in zip(moments, walk, strict=True)]
    return _describe(moments, ways, walk_cost(stages, walk))


@dataclass(frozen=True, slots=True)
class _Page:
    """What the walk needs to know of the part, note by note."""

    midis: tuple[int, ...]
    onsets_s: tuple[float, ...]
    ends_s: tuple[float, ...]
    breaks: tuple[bool, ...]
    begins: tuple[Begin, ...]
    strong: tuple[bool, ...]

    @classmethod
    def read(
        cls, part: Part, tempo_map: TempoMap, breaths_after: frozenset[int]
    ) -> _Page:
        """Read a part at its speeds."""
        breaks = find_breaks(part, breaths_after)
        return cls(
            tuple(note.sounding.midi for note in part.notes),
            tuple(tempo_map.seconds_at(note.onset) for note in part.notes),
            tuple(tempo_map.seconds_at(note.end) for note in part.notes),
            breaks,
            read_begins(part, breaks),
            find_strong(part),
        )

    def moments(
        self,
        instrument: Instrument,
        settings: SlideSettings,
        dial: float,
        locked: Mapping[int, str],
        *,
        usual_only: bool,
    ) -> list[Moment]:
        """Give every note with all the ways to play it."""
        may_add = instrument.kind == "slide" and dial > 0
        is_usual = usual_only or dial <= 0
        known: dict[tuple[object, ...], Moment] = {}
        moments = []
        for k, midi in enumerate(self.midis):
            ioi_s, move_s = self._times(k, settings.move_share)
            begin = self.begins[k]
            if begin is Begin.OPEN and not may_add:
                begin = Begin.TONGUE
            key = (
                midi,
                locked.get(k),
                begin,
                round(ioi_s, 9),
                round(move_s, 9),
                self.breaks[k],
                self.strong[k],
            )
            if key not in known:
                places = _places(instrument, midi, locked.get(k), is_usual=is_usual)
                known[key] = Moment(
                    _ways(places, begin),
                    midi,
                    begin,
                    ioi_s,
                    move_s,
                    self.breaks[k],
                    self.strong[k],
                )
            moments.append(known[key])
        return moments

    def _times(self, k: int, move_share: float) -> tuple[float, float]:
        """Tell how long ago the note before began, and what the arm has of that."""
        if k == 0:
            return 1.0, 1.0
        ioi_s = self.onsets_s[k] - self.onsets_s[k - 1]
        if self.breaks[k]:
            return ioi_s, ioi_s
        return ioi_s, ioi_s * move_share


def _places(
    instrument: Instrument, midi: int, lock: str | None, *, is_usual: bool
) -> tuple[Placement, ...]:
    """Give the places that a note may take."""
    places = instrument.choices(midi) or (NO_PLACE,)
    if lock is not None:
        asked = tuple(place for place in places if lock in (place.label, place.plain))
        if asked:
            return asked
    return places[:1] if is_usual else places


def _ways(places: Sequence[Placement], begin: Begin) -> tuple[Way, ...]:
    """Give the ways to play a note: each place, slurred or struck."""
    strokes = {
        Begin.TONGUE: (True,),
        Begin.SOFT: (True,),
        Begin.SLUR: (False, True),
        Begin.OPEN: (True, False),
    }[begin]
    usual_cm = places[0].cm or 0.0
    return tuple(
        Way(place, is_stroke, usual_cm) for place in places for is_stroke in strokes
    )


def _describe(moments: Sequence[Moment], ways: Sequence[Way], cost: float) -> SlidePlan:
    """Say what a walk asks of the player."""
    first = Articulation.TONGUED
    articulations = [first] + [
        articulate(before, after, old, new)
        for (before, after), (old, new) in zip(
            pairwise(moments), pairwise(ways), strict=True
        )
    ]
    travels = [0.0] + [travel_cm(a.place, b.place) for a, b in pairwise(ways)]
    speeds = [
        distance / CM_IN_M / moment.move_s
        for distance, moment in zip(travels, moments, strict=True)
    ]
    strokes = sum(articulation.is_stroke for articulation in articulations)
    return SlidePlan(
        tuple(way.place for way in ways),
        tuple(articulations),
        sum(travels),
        strokes,
        len(articulations) - strokes,
        max(speeds),
        cost,
        (),
        tuple(travels),
    )
