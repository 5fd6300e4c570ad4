"""A part as the walk sees it: for each note when it comes and how it can be played.

Equal notes in equal places are one and the same `Moment`, so that what is worked out
for one holds for all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from coach.planning.instrument.instrument import Instrument
from coach.planning.instrument.placement import NO_PLACE, Placement, find_place
from coach.planning.slide.metre_places import find_metre_places
from coach.planning.slide.moment import Moment, NoteWay
from coach.planning.slide.page_articulation import (
    Begin,
    find_breaks,
    find_free,
    find_turns,
    find_unslurred,
    read_begins,
)
from coach.planning.slide.slide_settings import SlideSettings
from coach.score.phrase import Part
from coach.score.tempo import TempoMap

NANOSECOND_DIGITS = 9
STROKES = {
    Begin.TONGUE: (True,),
    Begin.SOFT: (True,),
    Begin.SLUR: (False, True),
    Begin.GRACE: (False, True),
    Begin.GLIDE: (False, True),
    Begin.OPEN: (True, False),
}
"""For each way the page lets a note begin, whether the tongue may or must move."""


@dataclass(frozen=True, slots=True)
class PageNotes:
    """What the walk needs to know of the part, note by note."""

    midis: tuple[int, ...]
    """Sounding keys."""

    since_s: tuple[float, ...]
    """How long before each the last note that sounds started; 0 for the first."""

    breaks: tuple[bool, ...]
    """Before which notes the sound stops."""

    begins: tuple[Begin, ...]
    """How the page lets each begin."""

    strong: tuple[bool, ...]
    """Which stand on a strong place."""

    cells: tuple[int, ...]
    """With which of them a beat or a bar begins."""

    free: tuple[bool, ...]
    """Which stand in a run that the page leaves free."""

    unslurred: tuple[bool, ...]
    """Which stand in a run without a slur."""

    turns: tuple[bool, ...]
    """With which another manner of beginning notes may set in."""


@dataclass(frozen=True, slots=True)
class Freedom:
    """What the player lets the plan choose from."""

    may_use_alternates: bool
    """Other places than the usual one."""

    may_add_slurs: bool
    """Natural slurs where the page writes none."""

    locked: Mapping[int, str]
    """Places that the player insists on, by the index of the note."""


GLIDING = Freedom(may_use_alternates=True, may_add_slurs=False, locked={})
"""At both ends of a glissando every place counts: few lie on one partial."""


def read_page_notes(
    part: Part,
    tempo_map: TempoMap,
    breaths_after: frozenset[int],
    left_out: frozenset[int] = frozenset(),
) -> PageNotes:
    """Read what the walk needs to know of a part.

    Parameters
    ----------
    breaths_after : frozenset of int
        Notes that a breath follows.
    left_out : frozenset of int
        Notes that are not played.
    """
    breaks = find_breaks(part, breaths_after)
    begins = read_begins(part, breaks)
    places = find_metre_places(part)
    return PageNotes(
        tuple(note.sounding.midi for note in part.notes),
        tuple(_since(part, tempo_map, left_out)),
        breaks,
        begins,
        places.strong,
        places.cells,
        find_free(part, breaks, begins),
        find_unslurred(part, breaks),
        find_turns(part, breaks),
    )


def _since(
    part: Part, tempo_map: TempoMap, left_out: frozenset[int]
) -> Iterator[float]:
    """Tell for each note how long before it the last one that sounds started."""
    before: float | None = None
    for k, note in enumerate(part.notes):
        start = tempo_map.seconds_at(note.onset)
        yield 0.0 if before is None else start - before
        if k not in left_out:
            before = start


def lay_moments(
    page: PageNotes, instrument: Instrument, settings: SlideSettings, freedom: Freedom
) -> list[Moment]:
    """Give every note with all the ways to play it."""
    ways: dict[tuple[int, str | None, Begin, bool], tuple[NoteWay, ...]] = {}
    known: dict[tuple[object, ...], Moment] = {}
    moments = []
    read = [_begin(page, k, instrument, freedom) for k in range(len(page.midis))]
    glides = [*(begin is Begin.GLIDE for begin, _ in read), False]
    for k, midi in enumerate(page.midis):
        begin, is_break = read[k]
        ioi_s, move_s = _times(page, k, settings, is_glide=glides[k])
        is_at_glide = glides[k] or glides[k + 1]
        is_slow = not is_break and ioi_s > settings.slowest_free_s
        if is_slow and begin is Begin.OPEN:
            begin = Begin.TONGUE
        is_free = freedom.may_add_slurs and page.free[k] and not is_slow
        is_held = freedom.may_add_slurs and page.unslurred[k] and not is_free
        lock = freedom.locked.get(k)
        times = round(ioi_s, NANOSECOND_DIGITS), round(move_s, NANOSECOND_DIGITS)
        stands = page.strong[k], is_free, is_held, page.turns[k]
        way = midi, lock, begin, is_at_glide
        key = (*way, *times, is_break, *stands)
        if key not in known:
            if way not in ways:
                here = GLIDING if is_at_glide else freedom
                limits = None if is_at_glide else settings
                places = find_places(instrument, midi, lock, here, limits)
                ways[way] = _ways(places, begin)
            known[key] = Moment(
                ways[way],
                midi,
                begin,
                *times,
                is_break,
                *stands,
            )
        moments.append(known[key])
    return moments


def _times(
    page: PageNotes, k: int, settings: SlideSettings, *, is_glide: bool
) -> tuple[float, float]:
    """Tell how long ago the note before began, and what the arm has of that."""
    if k == 0:
        return settings.quick_s, settings.quick_s
    ioi_s = max(settings.soonest_s, page.since_s[k])
    has_all = page.breaks[k] or is_glide
    return ioi_s, ioi_s if has_all else ioi_s * settings.move_share


def _begin(
    page: PageNotes, k: int, instrument: Instrument, freedom: Freedom
) -> tuple[Begin, bool]:
    """Tell how a note may begin on this instrument, and whether the sound stops."""
    around = page.midis[max(0, k - 1) : k + 1]
    if page.breaks[k] or not all(instrument.choices(midi) for midi in around):
        return Begin.TONGUE, True
    begin = page.begins[k]
    if begin is Begin.GLIDE and instrument.kind != "slide":
        begin = Begin.SLUR
    if begin is Begin.OPEN and not freedom.may_add_slurs:
        begin = Begin.TONGUE
    return begin, False


def find_places(
    instrument: Instrument,
    midi: int,
    lock: str | None,
    freedom: Freedom,
    limits: SlideSettings | None,
) -> tuple[Placement, ...]:
    """Give the places that a note may take, the usual one first.

    Parameters
    ----------
    midi : int
        Sounding key.
    lock : str or None
        The place the player insists on, with or without its sign (``#4`` or ``4``);
        one that the pitch does not have changes nothing.
    limits : SlideSettings or None
        How far out and on which partials no alternate is chosen unless it is insisted
        on; None for no limits.
    """
    places = instrument.choices(midi) or (NO_PLACE,)
    asked = None if lock is None else find_place(places, lock)
    if asked is not None:
        return (asked,)
    if not freedom.may_use_alternates:
        return places[:1]
    if limits is None:
        return places
    return (
        places[0],
        *(
            place
            for place in places[1:]
            if (place.cm or 0.0) <= limits.farthest_alternate_cm
            and place.partial not in limits.rare_partials
        ),
    )


def _ways(places: Sequence[Placement], begin: Begin) -> tuple[NoteWay, ...]:
    """Give the ways to play a note: each place, struck or slurred."""
    return tuple(
        NoteWay(place, is_stroke) for place in places for is_stroke in STROKES[begin]
    )
