"""Every plan there is, weighed one by one: what the search must come up with.

Nothing of the search is used: levels are counted up from empty, and breaths fill by
`coach.planning.air.air.refill`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from coach.config import read_settings
from coach.planning.air.air import refill
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player, measured
from coach.planning.air.winds import WindAir, air_of_wind
from coach.planning.breathing.breath_costs import SAME_DEPTH
from coach.planning.breathing.breath_places import Places, lay_places
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.passage import Breather, set_passage
from coach.planning.breathing.ways.breath_draws import shortest_breath_s
from coach.planning.breathing.ways.breath_ways import Way
from coach.planning.breathing.ways.choose_ways import Allowed
from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part
from coach.score.tempo import Beats, Tempo, TempoMap, TempoMark, beats

AIR = read_settings(AirSettings, "air")
COSTS = read_settings(BreathSettings, "breaths")
MILD = replace(
    COSTS,
    least_heard_longer_s=0.1,
    below_half_weight=3.0,
    pass_weight=1.5,
    alike_weight=0.6,
    as_long_weight=0.2,
)
"""Settings by which likeness and air are about of a price, whatever is shipped: to try
what tips the scale."""
WINDS = ("flute", "oboe", "clarinet")
"""Three that are no brass: little air, stale air, and something in between."""

PROVED = replace(COSTS, most_gap_share=1e-6)
"""Searched until next to nothing is unproved, to be held against every plan."""

COMMON_TIME = Metre(4, 4)
LENGTHS = tuple(Fraction(length) for length in ("1/4", "1/2", "3/4", "1", "2", "4"))
RESTS = tuple(Fraction(length) for length in ("0", "0", "0", "1/4", "1/2", "1"))
PITCHES = tuple(
    Pitch(octave, step) for octave in (2, 3, 4) for step in ("C", "E", "F", "A")
)


def note_cost(
    places: Places, k: int, before: float, after: float, seconds: float
) -> float:
    """Weigh one note by its levels, straight from the meaning of the weights."""
    costs, air = places.breather.costs, places.breather.air
    lacking = max(0.0, air.empty_share - after)
    dry_s = seconds * min(1.0, lacking / (before - after))
    before, after = max(before, air.empty_share), max(after, air.empty_share)
    below_at_start = max(0.0, air.half_share - before)
    below_at_end = max(0.0, air.half_share - after)
    mean = (below_at_start + below_at_end) / 2
    cost = costs.below_half_weight * seconds * mean
    if places.passage.part.notes[k].sounding.midi >= costs.high_from_midi:
        cost += costs.high_below_half_weight * below_at_start
    cost += costs.below_low_weight * seconds * max(0.0, costs.low_share - after)
    if lacking > SAME_DEPTH:
        cost += costs.dry_note_weight + costs.dry_weight * dry_s
    return cost


def after_breath(places: Places, level: float, way: Way) -> float:
    """Fill the lungs, counted down to a whole step."""
    steps = places.breather.costs.air_steps_count
    air = places.breather.air
    filled = refill(level, way.gap_s, air, is_gasp=way.is_gasp)
    return math.floor(filled * steps + 1e-9) / steps


def may_breathe(places: Places, k: int, last: int, *, in_need: bool = False) -> bool:
    """Tell whether enough was played since a breath before note `last`."""
    costs, times = places.breather.costs, places.passage.times
    lengths = [time.end - time.start for time in times]
    shortest = shortest_breath_s(places.breather)
    usual = costs.soonest_in_need_s if in_need else costs.soonest_s
    on_rest = 0.0 if in_need else costs.soonest_on_rest_s
    is_open = False
    for j in range(last, k + 1):
        rest = times[j + 1].start - times[j].end
        whole = sum(lengths[last : j + 1])
        taken = min(lengths[j] * costs.most_taken_share, costs.longest_taken_s)
        rested = whole if rest >= costs.enough_rest_s else whole - taken
        is_open |= rest >= shortest and rested >= on_rest - 1e-9
        least = min(taken, max(0.0, shortest - rest))
        soonest = usual
        if ends_slow_line(places, j):
            soonest = min(soonest, costs.soonest_at_end_s)
        is_ripe = whole - least >= soonest - 1e-9
        is_open |= is_ripe and whole - taken >= costs.soonest_in_need_s - 1e-9
    return is_open


def ends_slow_line(places: Places, k: int) -> bool:
    """Tell whether a phrase surely ends after a note, and goes slowly up to it."""
    costs, times = places.breather.costs, places.passage.times
    few = times[max(0, k - 15) : k + 1]
    pace = (few[-1].end - few[0].start) / len(few)
    slow = (pace - costs.fast_pace_s) / (costs.slow_pace_s - costs.fast_pace_s)
    from_share = costs.unused_from_share
    surely = (places.passage.ends[k] - from_share) / (1.0 - from_share)
    return surely > 0.0 and surely * min(1.0, max(0.0, slow)) >= 0.5


def is_worth(places: Places, k: int, level: float, way: Way) -> bool:
    """Tell whether a breath gives enough, or stands on a rest that sets notes apart.

    At the end of a slow line one that would give enough is taken with less room.
    """
    air, costs = places.breather.air, places.breather.costs
    level = max(level, air.empty_share)
    filled = refill(level, way.gap_s, air, is_gasp=way.is_gasp)
    large = replace(air, full_share=1.0)
    endless = refill(level, way.gap_s, large, is_gasp=way.is_gasp)
    least = places.gaps[k].timing.worth_share
    is_enough = endless - level >= costs.worth_share - 1e-9
    is_rested = way.is_on_rest and places.gaps[k].rest_s >= costs.enough_rest_s
    return is_rested or (is_enough and filled - level >= least - 1e-9)


def going_on_cost(places: Places, k: int, level: float) -> float:
    """Weigh going on after a note without a breath, by the level before that note.

    Who is too full for each way of breathing there pays no more than the cheapest of
    them, but not after a hold.
    """
    gap, ways = places.gaps[k], places.ways[k]
    is_held = places.passage.part.notes[k].has_fermata
    is_too_full = (
        bool(ways)
        and not is_held
        and not any(is_worth(places, k, level - way.used, way) for way in ways)
    )
    least = min((way.cost for way in ways), default=gap.going_on_cost)
    return min(gap.going_on_cost, least) if is_too_full else gap.going_on_cost


def every_cost(places: Places, allowed: Allowed) -> Iterator[float]:
    """Weigh every choice of breaths with none for nothing."""
    count = len(places.notes)

    def from_note(k: int, level: float, cost: float, last: int) -> Iterator[float]:
        note = places.notes[k]
        after = level - note.used
        here = cost + note_cost(places, k, level, after, note.sounding_s)
        if k == count - 1:
            yield here
            return
        forced = allowed.forced[k]
        if not forced:
            going_on = here + going_on_cost(places, k, level)
            yield from from_note(k + 1, after, going_on, last)
        if forced or may_breathe(places, k, last):
            for way in allowed.ways[k]:
                end = level - way.used
                if not (forced or is_worth(places, k, end, way)):
                    continue
                here = cost + way.cost + allowed.price(k)
                here += note_cost(places, k, level, end, way.sounding_s)
                following = k + 1 + way.left_out
                filled = after_breath(places, end, way)
                yield from from_note(following, filled, here, following)

    yield from from_note(0, places.breather.air.full_share, 0.0, 0)


def least_worth(places: Places, allowed: Allowed, *, in_need: bool = False) -> float:
    """Weigh every choice of breaths with none for nothing, in long phrases too.

    In need they may follow each other sooner, at a price.  Of two ways to play up to a
    note one is dropped only where both breathed before the same note and have the very
    same air: nothing is said of more air and less.
    """
    count = len(places.notes)
    arriving: list[dict[tuple[int, float], float]] = [{} for _ in range(count)]
    arriving[0][0, places.breather.air.full_share] = 0.0
    states: dict[tuple[int, float], float] = {}
    for k, note in enumerate(places.notes):
        for key, cost in arriving[k].items():
            _note_down(states, key, cost)
        is_last = k == count - 1
        is_forced = not is_last and allowed.forced[k]
        later: dict[tuple[int, float], float] = {}
        for (last, level), cost in states.items():
            if not is_forced:
                after = level - note.used
                here = cost + note_cost(places, k, level, after, note.sounding_s)
                here += 0.0 if is_last else going_on_cost(places, k, level)
                _note_down(later, (last, after), here)
            if is_last or not (
                is_forced or may_breathe(places, k, last, in_need=in_need)
            ):
                continue
            besides = allowed.price(k)
            if in_need and not may_breathe(places, k, last):
                besides += places.breather.costs.snatched_weight
            for way in allowed.ways[k]:
                end, following = level - way.used, k + 1 + way.left_out
                if is_forced or is_worth(places, k, end, way):
                    here = cost + way.cost + besides
                    here += note_cost(places, k, level, end, way.sounding_s)
                    key = following, after_breath(places, end, way)
                    _note_down(arriving[following], key, here)
        states = later
    return min(states.values())


def _note_down(
    states: dict[tuple[int, float], float], key: tuple[int, float], cost: float
) -> None:
    states[key] = min(cost, states.get(key, math.inf))


@st.composite
def parts(draw: st.DrawFn, most_notes: int = 6) -> Part:
    """Draw a short part: lengths, rests, slurs, hairpins and signs of all kinds."""
    place, notes = Fraction(0), []
    for k in range(draw(st.integers(1, most_notes))):
        length = draw(st.sampled_from(LENGTHS))
        rest = draw(st.sampled_from(RESTS))
        pitch = draw(st.sampled_from(PITCHES))
        loud = draw(st.sampled_from((-3.0, -1.0, 0.0, 2.0)))
        notes.append(
            Note(
                onset=Beats(place),
                length=Beats(length),
                written=pitch,
                sounding=pitch,
                bar=int(place // 4) + 1,
                beat=place % 4 + 1,
                loud_start=loud,
                loud_end=loud + draw(st.sampled_from((0.0, 0.0, -2.0, 1.5))),
                is_slurred=k > 0 and draw(st.booleans()) and draw(st.booleans()),
                articulations=draw(
                    st.sampled_from(
                        (
                            frozenset[str](),
                            frozenset({"staccato"}),
                            frozenset({"accent"}),
                        )
                    )
                ),
                is_grace=draw(st.integers(0, 20)) == 20,
            )
        )
        place += length + rest
    return bind(notes)


def bind(notes: Sequence[Note], bpm: float = 60.0) -> Part:
    """Put notes into a part in common time."""
    count = int(-(-notes[-1].end // 4))
    return Part(
        title="By Chance",
        name="Trombone",
        source="",
        notes=tuple(notes),
        bars=tuple(
            Bar(k + 1, beats(4 * k), beats(4), COMMON_TIME) for k in range(count)
        ),
        tempo=Tempo(bpm, beats(1)),
        tempo_map=TempoMap((TempoMark(beats(0), bpm),)),
    )


@st.composite
def problems(draw: st.DrawFn, most_notes: int = 6) -> Places:
    """Draw a part with its phrase ends, tempo and player, laid out for the search.

    Small lungs and few lengths to choose from make choices hard while every plan
    can still be weighed.
    """
    part = draw(parts(most_notes))
    chances = st.sampled_from((0.0, 0.02, 0.3, 0.6, 0.95, 1.0))
    count = len(part.notes) - 1
    places = lay(
        part,
        bpm=draw(st.sampled_from((30.0, 50.0, 72.0, 100.0, 160.0))),
        ends=draw(st.lists(chances, min_size=count, max_size=count)),
        player=measured(draw(st.sampled_from((0.6, 1.0, 1.7, 3.0, 5.0)))),
        costs=replace(PROVED, most_ways_count=2),
    )
    wind = draw(st.sampled_from(("brass", *WINDS)))
    return places if wind == "brass" else blown_by(wind, places)


def who(player: Player, costs: BreathSettings = COSTS) -> Breather:
    """Let somebody breathe by the shipped numbers."""
    return Breather(player, AIR, costs)


def lay(
    part: Part,
    *,
    bpm: float,
    ends: Sequence[float],
    player: Player,
    costs: BreathSettings = COSTS,
) -> Places:
    """Lay a part out for the search at a tempo."""
    return lay_places(set_passage(part, bpm, ends), who(player, costs))


def blown_by(wind: str, places: Places) -> Places:
    """Lay the same problem out for another family of winds, by its own air."""
    passage, breather = places.passage, places.breather
    family = read_settings(WindAir, "winds", wind)
    air = air_of_wind(AIR, family, breather.player.capacity_l)
    return lay_places(passage, replace(breather, air=air))


def again(
    places: Places, *, part: Part | None = None, player: Player | None = None
) -> Places:
    """Lay the same problem out with one thing changed."""
    passage, breather = places.passage, places.breather
    return lay_places(
        replace(passage, part=part or passage.part),
        replace(breather, player=player or breather.player),
    )
