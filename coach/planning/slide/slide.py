"""Choose positions and articulation for a part.

The plan is the cheapest walk through the part: which of its positions each note
takes and how it is begun, weighing the way of the arm, its hurry and its turns, the
strokes of the tongue, the tuning, and what departs from the page and from habit.

Conventions
-----------
Notes are counted from 0.  Places are in centimetres out from first position.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from coach.planning.instrument.instrument import Instrument
from coach.planning.instrument.placement import Articulation, Placement
from coach.planning.slide.alike import walk_alike
from coach.planning.slide.arm import is_in_reach, move_cm
from coach.planning.slide.figures import find_figures, find_sequences
from coach.planning.slide.moment import Moment, NoteWay, articulate
from coach.planning.slide.note_moments import (
    Freedom,
    PageNotes,
    lay_moments,
    read_page_notes,
)
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.patterns import PatternStretch, find_patterns
from coach.planning.slide.slide_costs import lay_stages
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.slide_walk import SlideWalk, Stage, find_walk
from coach.planning.slide.words.slide_words import slide_notices
from coach.score.phrase import Part
from coach.score.tempo import TempoMap

__all__ = ["Articulation", "Placement", "SlidePlan", "plan_slide", "plan_tongued"]

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

    cost: float
    """Lower is better."""

    notices: tuple[str, ...] = ()
    """Warnings in the player's words."""

    moves_cm: tuple[float, ...] = ()
    """How the arm goes to reach each note: out is positive, in negative; 0 for the
    first."""

    patterns: tuple[PatternStretch, ...] = ()
    """In which manner which notes are begun, and where they depart from it."""

    @property
    def travel_by_note_cm(self) -> tuple[float, ...]:
        """Tell how far the arm goes to reach each note."""
        return tuple(abs(move) for move in self.moves_cm)


def plan_slide(
    part: Part,
    tempo_map: TempoMap,
    instrument: Instrument,
    settings: SlideSettings,
    *,
    dial: float,
    goal_map: TempoMap | None = None,
    breaths_after: frozenset[int] = frozenset(),
    left_out: frozenset[int] = frozenset(),
    locked: Mapping[int, str] = NO_LOCKS,
) -> SlidePlan:
    """Choose positions and articulation for every note.

    Only a slide is given alternates and slurs that the page does not write: valves
    keep their usual fingerings, and slur what the page slurs.

    Parameters
    ----------
    dial : float
        From 0, usual positions and the page's own slurs, to 1, as many natural
        slurs as the music allows; beyond the ends it stands at the end.
    goal_map : TempoMap, optional
        The speeds that it is practised for: positions and articulation are chosen for
        these, and held against the others; the same if left out.
    breaths_after : frozenset of int
        Notes that a breath follows, those left out before the next too.
    left_out : frozenset of int
        Notes that are not played: the arm goes past them.
    locked : mapping
        Places that the player insists on, by the index of the note.

    Returns
    -------
    SlidePlan
        The cheapest of the plans that play alike what comes again.
    """
    dial = min(1.0, max(0.0, dial))
    page = read_page_notes(part, goal_map or tempo_map, breaths_after, left_out)
    is_free = dial > 0 and instrument.kind == "slide"
    freedom = Freedom(
        may_use_alternates=is_free,
        may_add_slurs=is_free,
        locked=_with_marked(part, instrument, locked),
    )
    moments = lay_moments(page, instrument, settings, freedom)
    stages = lay_stages(moments, settings, dial)
    walk, soft = _walk_with_figures(part, page, moments, stages, settings)
    plan = _describe(moments, walk, soft, settings, left_out)
    if goal_map not in (None, tempo_map):
        page = read_page_notes(part, tempo_map, breaths_after, left_out)
        moments = lay_moments(page, instrument, settings, freedom)
    notices = slide_notices(part, instrument, settings, moments, plan, locked)
    return replace(plan, notices=notices)


def plan_tongued(
    part: Part,
    tempo_map: TempoMap,
    instrument: Instrument,
    settings: SlideSettings,
    breaths_after: frozenset[int] = frozenset(),
    left_out: frozenset[int] = frozenset(),
) -> SlidePlan:
    """Give the plan to compare with: all tongued, in usual positions.

    Parameters
    ----------
    breaths_after : frozenset of int
        Notes that a breath follows, those left out before the next too.
    left_out : frozenset of int
        Notes that are not played.

    Returns
    -------
    SlidePlan
        Every note struck, slurred on the page or not.
    """
    page = read_page_notes(part, tempo_map, breaths_after, left_out)
    page = replace(page, begins=(Begin.TONGUE,) * len(page.begins))
    freedom = Freedom(may_use_alternates=False, may_add_slurs=False, locked=NO_LOCKS)
    moments = lay_moments(page, instrument, settings, freedom)
    walk = find_walk(lay_stages(moments, settings, 0.0))
    return _describe(moments, walk, frozenset(), settings, left_out)


def _with_marked(
    part: Part, instrument: Instrument, locked: Mapping[int, str]
) -> Mapping[int, str]:
    """Add the positions that stand on the page to those the player insists on."""
    marked = {
        k: note.marked_position
        for k, note in enumerate(part.notes)
        if note.marked_position and instrument.kind != "breath-only"
    }
    return {**marked, **locked}


def _walk_with_figures(
    part: Part,
    page: PageNotes,
    moments: Sequence[Moment],
    stages: Sequence[Stage],
    settings: SlideSettings,
) -> tuple[SlideWalk, frozenset[int]]:
    """Find the cheapest walk that plays alike what comes again."""
    longest = settings.longest_figure_notes
    shapes = [(id(m.ways), m.ioi_s, m.move_s, m.is_break) for m in moments]
    labels = {
        id(m.ways): (m.midi, *dict.fromkeys(way.place.label for way in m.ways))
        for m in moments
    }
    places = [labels[id(m.ways)] for m in moments]
    manners = [(m.begin, m.ioi_s, m.is_break) for m in moments]
    steps = [note.written.staff_step for note in part.notes]
    return walk_alike(
        moments,
        stages,
        find_figures(shapes, places, page.cells, longest),
        find_sequences(manners, steps, longest),
    )


def _describe(
    moments: Sequence[Moment],
    walk: SlideWalk,
    soft: frozenset[int],
    settings: SlideSettings,
    left_out: frozenset[int],
) -> SlidePlan:
    """Say what a walk asks of the player."""
    ways: list[NoteWay] = [
        moment.ways[choice]
        for moment, choice in zip(moments, walk.choices, strict=True)
    ]
    steps = list(zip(pairwise(moments), pairwise(ways), strict=True))
    articulations = [
        Articulation.TONGUED,
        *(articulate(before, after, old, new) for (before, after), (old, new) in steps),
    ]
    moves = tuple(_moves([way.place for way in ways], left_out))
    far = {
        k
        for k, (moment, cm) in enumerate(zip(moments, moves, strict=True))
        if not is_in_reach(abs(cm), moment.ioi_s, settings)
    }
    patterns = find_patterns(moments, ways, walk.manners, far)
    for k in soft.union(*(stretch.exceptions for stretch in patterns)) - far:
        articulations[k] = Articulation.LEGATO_TONGUED
    for k in far:
        if moments[k].begin is Begin.GRACE and ways[k].is_stroke:
            articulations[k] = Articulation.TONGUED
    strokes = sum(articulation.is_stroke for articulation in articulations)
    return SlidePlan(
        placements=tuple(way.place for way in ways),
        articulations=tuple(articulations),
        travel_cm=sum(abs(move) for move in moves),
        tongue_strokes=strokes,
        natural_slurs=sum(articulation.is_slur for articulation in articulations),
        cost=walk.cost,
        moves_cm=moves,
        patterns=patterns,
    )


def _moves(places: Sequence[Placement], left_out: frozenset[int]) -> Iterator[float]:
    """Tell how the arm goes to each note from the last one that sounds."""
    before: Placement | None = None
    for k, place in enumerate(places):
        if k in left_out:
            yield 0.0
            continue
        yield 0.0 if before is None else move_cm(before, place)
        before = place
