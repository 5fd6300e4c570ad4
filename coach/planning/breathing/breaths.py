"""Choose where to breathe in a part.

A breath is taken on a rest, or out of the note before; the note after it is always
in time.  The plan is the one found that disturbs the music and the player least;
`coach.planning.breathing.sure_breaths` proves how near the best it is.

Long, since the values of a plan stand beside what makes them.

Conventions
-----------
Times are in seconds of run time.  Air is a fraction of the player's capacity.  A
place to breathe is named by the index of the note before it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from functools import partial
from typing import Literal

from coach.planning.breathing.breath_places import Places, lay_places
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import Breather, Passage
from coach.planning.breathing.search.breath_walk import Walk
from coach.planning.breathing.search.dry_notes import (
    dry_note,
    dry_places,
    short_l,
)
from coach.planning.breathing.settle_breaths import SettledBreaths, settle_breaths
from coach.planning.breathing.ways.breath_ways import ROUNDING
from coach.planning.breathing.words.breath_words import notices_of, say_low, why_here
from coach.score.phrase import Place
from coach.score.tempo import Seconds

LIKE_OTHERS = "at the same beat as in the other bars like this one"
"""Why a breath stands where by itself it would not."""


@dataclass(frozen=True, slots=True)
class Breath:
    """One planned breath."""

    after_note: int
    """Index of the note before it."""

    start: Seconds
    """When the note before it stops, in run time."""

    next_note: Seconds
    """When the note after it starts: always its written time."""

    taken: Seconds
    """How much is taken from the note before; 0 on a rest."""

    is_on_rest: bool
    """The written rest alone is time enough."""

    kind: Literal["full", "catch"]
    """A full breath that has its time, or a short one."""

    air_before: float
    """Air when it starts, as a fraction of capacity."""

    air_after: float
    """Air when it ends, as a fraction of capacity."""

    is_marked: bool
    """Stands on the page."""

    is_locked: bool
    """The player asked for it."""

    say_why: Callable[[], str] = field(compare=False, repr=False)
    """Says `why`; asked only of plans that are shown: most are but weighed."""

    is_gasp: bool = False
    """Drawn as fast as the player can."""

    left_out: tuple[int, ...] = ()
    """Notes after it that are left out to make room for it."""

    is_sure: bool = True
    """It stands, too, at a little other tempo and air."""

    is_optional: bool = False
    """It is not sure, and the air lasts without it and all others that are so."""

    is_extra: bool = False
    """Taken at this slow tempo only: in the page's tempo one plays through."""

    fills: bool = True
    """Nothing much is lacking after it to full lungs."""

    @property
    def why(self) -> str:
        """Say why here and not at the neighbour, in the player's words."""
        return self.say_why()

    @property
    def depth(self) -> Literal["full", "deep", "catch"]:
        """How deep it is: ``deep`` has the time of a full one, and does not fill."""
        return "deep" if self.kind == "full" and not self.fills else self.kind

    @property
    def following(self) -> int:
        """Index of the next note that is played."""
        return self.after_note + len(self.left_out) + 1

    @property
    def gap(self) -> Seconds:
        """Time there is to breathe."""
        return Seconds(self.next_note - self.start)


@dataclass(frozen=True, slots=True)
class BreathPlan:
    """Where the player breathes, and where the air goes."""

    breaths: tuple[Breath, ...]
    """In order."""

    ends: tuple[Seconds, ...]
    """When each note stops sounding: shortened where a breath takes from it."""

    air_before: tuple[float, ...]
    """Air at the start of each note, as a fraction of capacity."""

    air_after: tuple[float, ...]
    """Air at the end of each note: empty where the player is dry."""

    flow_lps: tuple[float, ...]
    """Mean flow of each note, in litres per second."""

    lowest_air: float
    """Least air anywhere, as a fraction of capacity."""

    below_half: Seconds
    """Time spent playing below half."""

    high_notes_below_half: int
    """Notes counted as high that begin below half."""

    runs_out: int | None
    """First note at whose end the air is gone; None if it never is."""

    cost: float
    """How much the plan disturbs the music and the player; lower is better."""

    notices: tuple[str, ...] = ()
    """Warnings in the player's words: locks that cannot be kept, where it runs out."""

    short_l: float = 0.0
    """What is lacking where the air runs out, in litres."""

    dry_places: tuple[Place, ...] = ()
    """Bar and beat where the air is gone, for each of the notes that are dry."""

    @property
    def left_out(self) -> tuple[int, ...]:
        """Notes that are left out to breathe, in order."""
        return tuple(note for breath in self.breaths for note in breath.left_out)

    @property
    def dry(self) -> tuple[int, ...]:
        """Notes at whose end the air is gone, in order; none where it never is."""
        if self.runs_out is None:
            return ()
        return tuple(
            k for k, air in enumerate(self.air_after) if air <= self.lowest_air
        )

    def dry_place(self, k: int) -> Place:
        """Name where in a dry note the air is gone."""
        return self.dry_places[self.dry.index(k)]

    @property
    def places(self) -> frozenset[int]:
        """Notes followed by a breath."""
        return frozenset(breath.after_note for breath in self.breaths)

    @property
    def own_places(self) -> frozenset[int]:
        """Notes followed by a breath that the player did not ask for."""
        return frozenset(b.after_note for b in self.breaths if not b.is_locked)


def plan_breaths(
    passage: Passage,
    breather: Breather,
    locks: Locks = NOTHING_LOCKED,
    before: AbstractSet[int] | None = None,
) -> BreathPlan:
    """Pick the breaths that disturb the music and the player least.

    Parameters
    ----------
    passage : Passage
        What is to be breathed; a full breath is taken before its first note.
    locks : Locks
        What the player insists on; goes before marks on the page.
    before : set of int, optional
        Gaps breathed in so far: left only for what is clearly better.

    Returns
    -------
    BreathPlan
        The cheapest plan that was found.

    Notes
    -----
    Time grows with the number of notes; see its `breath_search`.
    """
    return choose_breaths(lay_places(passage, breather), locks, before)


def choose_breaths(
    places: Places,
    locks: Locks = NOTHING_LOCKED,
    before: AbstractSet[int] | None = None,
) -> BreathPlan:
    """Pick the breaths in a part that is laid out already, as after an edit.

    Parameters
    ----------
    locks : Locks
        What the player insists on; goes before marks on the page.
    before : set of int, optional
        Gaps breathed in so far: left only for what is clearly better.

    Returns
    -------
    BreathPlan
        The cheapest plan that was found.
    """
    return _told(settle_breaths(places, locks, before), locks)


def _told(settled: SettledBreaths, locks: Locks) -> BreathPlan:
    """Put a walk into a player's terms."""
    places, walk = settled.places, settled.walk
    stops = _stops(places, walk)
    empty = places.breather.air.empty_share
    below_half, played = _below_half(places, walk)
    before, after = (
        levels if min(levels) >= empty else tuple(max(empty, air) for air in levels)
        for levels in (walk.air_before, walk.air_after)
    )
    return BreathPlan(
        breaths=tuple(
            _breath(settled, number, stops, locks)
            for number in range(len(walk.breaths))
        ),
        ends=stops,
        air_before=before,
        air_after=after,
        flow_lps=_flows(places, walk, stops),
        lowest_air=min(after),
        below_half=below_half,
        high_notes_below_half=sum(
            note.high > 0.0 and level < places.lungs.half - ROUNDING
            for note, level in zip(places.notes, walk.air_before, strict=True)
        ),
        runs_out=dry_note(places, walk),
        cost=walk.cost,
        notices=notices_of(places, walk, locks.must, settled.allowed.impossible)
        + say_low(places, walk, below_half, played),
        short_l=short_l(places, walk),
        dry_places=dry_places(places, walk),
    )


def _stops(places: Places, walk: Walk) -> tuple[Seconds, ...]:
    """Tell when each note stops."""
    stops = [time.end for time in places.passage.times]
    for k, way in walk.breaths:
        if not way.is_on_rest:
            following = places.passage.times[k + way.left_out + 1].start
            stops[k] = Seconds(following - way.gap_s)
        for note in range(k + 1, k + way.left_out + 1):
            stops[note] = places.passage.times[note].start
    return tuple(stops)


def _flows(places: Places, walk: Walk, stops: Sequence[Seconds]) -> tuple[float, ...]:
    """Tell the mean flow of each note, in litres per second."""
    used = [note.used for note in places.notes]
    for k, way in walk.breaths:
        used[k] = way.used
        used[k + 1 : k + way.left_out + 1] = [0.0] * way.left_out
    return tuple(
        share * places.breather.player.capacity_l / (stop - time.start)
        if share
        else 0.0
        for share, stop, time in zip(used, stops, places.passage.times, strict=True)
    )


def _below_half(places: Places, walk: Walk) -> tuple[Seconds, Seconds]:
    """Add up the time that is played below half, and all that is played."""
    half, total = places.lungs.half, 0.0
    sounding = [note.sounding_s for note in places.notes]
    for k, way in walk.breaths:
        sounding[k] = way.sounding_s
        sounding[k + 1 : k + way.left_out + 1] = [0.0] * way.left_out
    for before, after, seconds in zip(
        walk.air_before, walk.air_after, sounding, strict=True
    ):
        if after < min(half, before):
            below = half - after
            total += seconds * min(1.0, below / (before - after))
    return Seconds(total), Seconds(sum(sounding))


def _breath(
    settled: SettledBreaths, number: int, stops: Sequence[Seconds], locks: Locks
) -> Breath:
    """Put one breath into a player's terms."""
    places, walk = settled.places, settled.walk
    k, way = walk.breaths[number]
    air, costs = places.breather.air, places.breather.costs
    after = max(walk.air_before[k + 1], air.empty_share)
    is_full = way.gap_s >= costs.full_from_s - ROUNDING
    is_marked = not places.marked.isdisjoint(range(k, k + way.left_out + 1))
    is_locked = k in locks.must or k + 1 in locks.left_out
    goal = places.passage.goal_breaths
    return Breath(
        after_note=k,
        start=stops[k],
        next_note=places.passage.times[k + way.left_out + 1].start,
        taken=Seconds(way.taken_s),
        is_on_rest=way.is_on_rest,
        kind="full" if is_full else "catch",
        air_before=max(walk.air_after[k], air.empty_share),
        air_after=after,
        is_marked=is_marked,
        is_locked=is_locked,
        say_why=partial(_why, settled, number, locks),
        is_gasp=way.is_gasp,
        left_out=tuple(range(k + 1, k + way.left_out + 1)),
        is_extra=not (goal is None or k in goal or is_marked or is_locked),
        fills=after >= air.full_share - costs.about_full_share - ROUNDING,
    )


def _why(settled: SettledBreaths, number: int, locks: Locks) -> str:
    """Say why a breath stands where it does."""
    k, way = settled.walk.breaths[number]
    if k in settled.moved and not way.left_out:
        return LIKE_OTHERS
    return why_here(settled.places, settled.whole.ways, settled.walk, number, locks)


def breath_to_breath(
    breaths: Sequence[Breath], note_count: int
) -> tuple[tuple[int, int], ...]:
    """Divide the notes of a part at its breaths.

    Returns
    -------
    tuple of (int, int)
        First and last note of each stretch played on one breath, in order.
    """
    lasts = [*(breath.after_note for breath in breaths), note_count - 1]
    firsts = [0, *(breath.following for breath in breaths)]
    return tuple(zip(firsts, lasts, strict=True))
