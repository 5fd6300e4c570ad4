"""Where the air runs out on the way through a plan, and how much is lacking."""

from __future__ import annotations

from itertools import pairwise

from coach.planning.breath_place import place_within
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_walk import Walk
from coach.planning.breathing.ways.breath_ways import ROUNDING
from coach.planning.naming import say_place, say_short
from coach.score.bar_numbers import name_bars
from coach.score.phrase import Place
from coach.score.tempo import Seconds


def say_dry(places: Places, walk: Walk) -> str | None:
    """Say where the air runs out, first and later; None if it lasts."""
    dry = dry_note(places, walk)
    if dry is None:
        return None
    place = _dry_place(places, walk, dry)
    return (
        f"The air runs out in {say_place(place.bar, place.beat)}, "
        f"{say_short(short_l(places, walk))}{_say_again(places, walk, dry)}."
    )


def dry_note(places: Places, walk: Walk) -> int | None:
    """Find the first note at whose end the air is gone; None if there is none."""
    empty = places.breather.air.empty_share - ROUNDING
    return next((k for k, air in enumerate(walk.air_after) if air < empty), None)


def dry_places(places: Places, walk: Walk) -> tuple[Place, ...]:
    """Name where the air is gone, for each note at whose end it is."""
    if dry_note(places, walk) is None:
        return ()
    empty = places.breather.air.empty_share
    return tuple(
        _dry_place(places, walk, k)
        for k, level in enumerate(walk.air_after)
        if level <= empty
    )


def _say_again(places: Places, walk: Walk, dry: int) -> str:
    """Say in which bars it runs out once more, after a breath."""
    empty = places.breather.air.empty_share - ROUNDING
    edges = [k + 1 for k, _ in walk.breaths if k >= dry] + [len(walk.air_after)]
    again = {
        _dry_place(places, walk, found).bar: None
        for first, end in pairwise(edges)
        for found in range(first, end)
        if walk.air_after[found] < empty
    }
    return f", and again in {name_bars(again)}" if again else ""


def _dry_place(places: Places, walk: Walk, k: int) -> Place:
    """Name the beat in which a note's air is gone."""
    passage, empty = places.passage, places.breather.air.empty_share
    time = passage.times[k]
    before, after = walk.air_before[k], walk.air_after[k]
    lasts_s = (time.end - time.start) * max(0.0, before - empty) / (before - after)
    moment = Seconds(time.start + lasts_s)
    return place_within(passage.part, passage.tempo_map, k, moment)


def short_l(places: Places, walk: Walk) -> float:
    """Tell how much air is lacking where it first runs out, in litres; 0 if nowhere."""
    dry = dry_note(places, walk)
    if dry is None:
        return 0.0
    last = next((k for k, _ in walk.breaths if k >= dry), len(walk.air_after) - 1)
    lacking = places.breather.air.empty_share - min(walk.air_after[dry : last + 1])
    return lacking * places.breather.player.capacity_l
