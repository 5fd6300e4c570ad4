"""Say in a player's words why a breath stands where it does, and what goes wrong."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from coach.last_answers import remembered
from coach.planning.breath_place import (
    BreathPlace,
    name_place,
    place_after,
    say_after,
)
from coach.planning.breathing.breath_costs import LIKELY
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.search.breath_walk import Walk
from coach.planning.breathing.search.dry_notes import dry_note, say_dry
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way
from coach.planning.breathing.words.breath_reasons import say_reason
from coach.planning.breathing.words.left_out_words import say_left_out, say_without_time
from coach.score.note import lengths_of
from coach.score.tempo import Seconds

PERCENT = 100

EARLIER_BY = 0.05
"""So much air, as a share of capacity, is felt: with no more than this over that of the
breath a place is not called too early; our own choice."""


def where(places: Places, k: int, way: Way) -> BreathPlace:
    """Name where a breath begins that is taken in a way."""
    passage = places.passage
    start = passage.times[k].end
    if not way.is_on_rest:
        following = passage.times[k + way.left_out + 1].start
        start = Seconds(following - way.gap_s)
    return name_place(passage.part, passage.tempo_map, k, start)


def why_here(
    places: Places,
    ways: Sequence[tuple[Way, ...]],
    walk: Walk,
    number: int,
    locks: Locks,
) -> str:
    """Say in a short phrase why a breath stands here and not at the neighbour.

    Parameters
    ----------
    ways : sequence of tuple of Way
        For each gap, how one may breathe there.
    """
    k, way = walk.breaths[number]
    if k in locks.must or k + 1 in locks.left_out:
        return "you ask for it"
    if way.left_out:
        return say_left_out(places.passage.part, range(k + 1, k + 1 + way.left_out))
    if k in places.marked:
        return "the page has a breath mark"
    if k + 1 in places.marked - locks.must_not and not ways[k + 1]:
        return "the page has a breath mark a note later"
    reason = say_reason(places, k, way)
    if k in (places.passage.goal_breaths or ()):
        return f"{reason}; as at {places.passage.part.tempo.bpm:g}"
    neighbour = _neighbour(places, ways, walk, number)
    if neighbour is None:
        return reason
    beside = _comparison(places, ways, walk, number, neighbour)
    return f"{reason}; {beside}" if beside else reason


def _neighbour(
    places: Places, ways: Sequence[tuple[Way, ...]], walk: Walk, number: int
) -> int | None:
    """Find the best other place between the breath before and the one after.

    Of equals, the next one counts: to wait for it is what a player would think of.
    So soon after the breath before that nobody breathes again, there is no place.
    """
    breaths, first = walk.breaths, 0
    k = breaths[number][0]
    if number:
        before, way = breaths[number - 1]
        first = before + way.left_out + 1
    last = breaths[number + 1][0] if number + 1 < len(breaths) else len(ways)
    others = [
        j
        for j in range(first, last)
        if j != k and _invites(places, ways[j], walk.air_before[first], first, j)
    ]
    return min(others, key=lambda j: (_least(ways[j]), j < k, abs(j - k)), default=None)


def _invites(
    places: Places, ways: Sequence[Way], air: float, first: int, k: int
) -> bool:
    """Tell whether a player would think of a gap with so much air at the first note."""
    if not ways or first > places.ripe_from[k]:
        return False
    used = places.used_before[k + 1] - places.used_before[first]
    depth = places.lungs.half - (air - used)
    return depth >= min([way.worth_depth for way in ways])


def _least(ways: Sequence[Way]) -> float:
    """Give the least that a breath in a gap costs the music."""
    return min([way.cost for way in ways])


def _comparison(
    places: Places,
    ways: Sequence[tuple[Way, ...]],
    walk: Walk,
    number: int,
    there: int,
) -> str:
    """Say what speaks against another place; empty where nothing plain does."""
    here, _ = walk.breaths[number]
    name = say_after(places.passage.part, there, here)
    notes, half = places.passage.part.notes, places.lungs.half
    if notes[there + 1].is_slurred and not notes[here + 1].is_slurred:
        return f"{name} it would break the slur"
    is_better = _least(ways[there]) < _least(ways[here])
    there_is, here_is = walk.air_after[there], walk.air_after[here]
    lowest, fullest = _extremes(walk)
    is_early = there < here and there_is >= max(half, here_is + EARLIER_BY, fullest)
    if there > here:
        used = places.used_before[there + 1] - places.used_before[here]
        left = walk.air_before[here] - used
        if left < min(half, lowest + EARLIER_BY):
            return f"{name} only {_percent(left)} would be left"
        if left < half:
            return f"{name} you would be below half, at {_percent(left)}"
    if is_early and (is_better or not _flaw(places, here, there)):
        return f"{name} is too early, with {_percent(there_is)} left"
    if is_better:
        return "" if there > here else _lasting(places, ways, walk, number, there)
    flaw = _flaw(places, here, there)
    return f"{name} {flaw}" if flaw else ""


def _lasting(
    places: Places,
    ways: Sequence[tuple[Way, ...]],
    walk: Walk,
    number: int,
    there: int,
) -> str:
    """Say how much less a breath at an earlier place would leave, if it is felt."""
    most, planned, when = _most_left(places, ways[there], walk, number, there)
    if most > planned - EARLIER_BY:
        return ""
    name = say_after(places.passage.part, there, walk.breaths[number][0])
    return f"breathing {name} you would come to {when} with {_percent(most)}"


@remembered
def _extremes(walk: Walk) -> tuple[float, float]:
    """Give the least air of all, and the most that a breath on no rest begins with."""
    airs = [walk.air_after[k] for k, way in walk.breaths if not way.is_on_rest]
    return min(walk.air_after), max(airs, default=0.0)


def _flaw(places: Places, here: int, there: int) -> str:
    """Say what the music has against a place; empty where it is nothing in itself."""
    other, chosen = places.gaps[there], places.gaps[here]
    if there + 1 < len(places.gaps):
        ending = places.gaps[there + 1].phrase_end
        if ending >= LIKELY > other.phrase_end and other.rest_s <= ROUNDING:
            return "it would part the last two notes"
    if other.phrase_end < min(LIKELY, chosen.phrase_end):
        return "it would cut into the phrase"
    if other.rest_s < chosen.rest_s - ROUNDING:
        return "the rest is shorter" if other.rest_s > ROUNDING else "there is no rest"
    lengths = lengths_of(places.passage.part.notes)
    return "the note is shorter" if lengths[there] < lengths[here] else ""


def _most_left(
    places: Places, ways: Sequence[Way], walk: Walk, number: int, there: int
) -> tuple[float, float, str]:
    """Tell what is left before the next breath after the fullest one elsewhere.

    Returns
    -------
    (float, float, str)
        After the fullest breath at an earlier place, and in the plan, as fractions of
        capacity; and up to when.
    """
    half, used = places.lungs.half, places.used_before
    is_last = number + 1 == len(walk.breaths)
    last = len(walk.air_after) - 1 if is_last else walk.breaths[number + 1][0]
    last_used = places.notes[last].used if is_last else walk.breaths[number + 1][1].used
    most = max(
        half
        - places.lungs.breathe(
            half - walk.air_before[there] + way.used, way.still_empty
        )
        + used[there + 1 + way.left_out]
        for way in ways
    )
    when = "the end" if is_last else "the next breath"
    return most - used[last] - last_used, walk.air_after[last], when


def _percent(air: float) -> str:
    """Air as a player thinks of it."""
    return f"{max(0.0, air) * PERCENT:.0f}%"


def notices_of(
    places: Places,
    walk: Walk,
    asked: AbstractSet[int],
    impossible: Sequence[int],
) -> tuple[str, ...]:
    """Say what goes wrong.

    Parameters
    ----------
    asked : set of int
        Gaps where the player asks for a breath.
    impossible : sequence of int
        Gaps where a breath is asked for, by the player or the page, and cannot be.

    Returns
    -------
    tuple of str
        A sentence for each breath that cannot be had, that gives nothing, or that
        breaks a slur unasked; and one for where the air runs out.
    """
    part = places.passage.part
    marks = [k for k in impossible if _has_no_time(places, k, asked)]
    notices = [_impossible(places, k) for k in impossible if k not in marks]
    notices += say_without_time(part, marks, dict(walk.breaths))
    wished = asked | places.marked
    for k, way in walk.breaths:
        flaws = []
        if walk.air_before[k + 1] <= walk.air_after[k]:
            flaws.append("is too short to give any air.")
        joined = part.notes[k + 1 : k + way.left_out + 2]
        if k not in wished and all(note.is_slurred for note in joined):
            flaws.append("breaks a slur: elsewhere it would disturb more.")
        notices += [f"The breath {where(places, k, way)} {flaw}" for flaw in flaws]
    dry = say_dry(places, walk)
    return tuple(notices if dry is None else [*notices, dry])


def say_low(
    places: Places, walk: Walk, below_half_s: float, played_s: float
) -> tuple[str, ...]:
    """Say so where the air lasts, but most of the playing is done below half."""
    share = below_half_s / played_s
    is_dry = dry_note(places, walk) is not None
    if is_dry or share < places.breather.costs.low_told_share:
        return ()
    return (
        f"{PERCENT * share:.0f} % of it is played below half: the air stays higher "
        "with room at each breath, or softer.",
    )


def _has_no_time(places: Places, k: int, asked: AbstractSet[int]) -> bool:
    """Tell of a breath that cannot be had whether it is the page's, and too short."""
    return k not in asked and not places.gaps[k].is_glissando


def _impossible(places: Places, k: int) -> str:
    """Say why a breath that is asked for cannot be had."""
    if not 0 <= k < len(places.gaps):
        return "No note follows the place where you ask for a breath; there is none."
    name = place_after(places.passage.part, k)
    if places.gaps[k].is_glissando:
        return f"A breath {name} would tear a glissando; there is none."
    if not places.ways[k]:
        return f"The breath that you ask for {name} finds no time at this tempo."
    return f"You both ask for a breath {name} and forbid it; there is none."
