"""Breathing and coming to the next note: the cheapest state for each whole level.

Most of the search's time is spent here.  So costs and levels are written out as in
`AirCosts.of_note` and `Filling.breathe`, conditions stand in place of min and max, and
who cannot be cheaper than those who came by earlier is not weighed at all.

Conventions
-----------
As in `breath_states`.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_states import (
    INFINITE,
    Chain,
    Group,
    SearchRound,
    State,
    lose,
)
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way

Departure = tuple[int, list[State], tuple[Way, ...], float, bool]
"""A note, the states that may breathe after it, the ways that leave out the same
notes, what a breath there costs besides, and whether it is asked for."""


def land(  # noqa: C901 (one loop: most of the search's time is spent in it)
    places: Places,
    note: int,
    departures: Sequence[Departure],
    ahead: list[float],
    manner: SearchRound,
) -> Group:
    """Have all breathe who come to one note by a breath.

    Unless a breath is asked for, a state with too much air for a way does not take it,
    or stands in for one that was dropped for it.

    Parameters
    ----------
    note : int
        The note after the breath, and after those left out.
    departures : sequence of Departure
        From where they come.
    ahead : list of float
        What it costs those who breathed before to come there with each of the highest
        levels of air, or more; who comes now for less is noted there.

    Returns
    -------
    Group
        The states worth keeping.
    """
    lungs, costs = places.lungs, places.costs
    room, steps, full = 1.0 - lungs.half, lungs.steps_count, lungs.full_steps
    empty, low, half_weight = lungs.empty_depth, costs.low_depth, costs.half_weight / 2
    twice, is_proof = 2.0 * manner.slack, manner.is_proof
    least = [INFINITE] * (full + 1 - len(ahead))
    least += [cost + manner.slack for cost in ahead] if manner.slack else ahead
    lost_at = [INFINITE] * (full + 1) if is_proof else []
    lost, lost_level, spared = INFINITE, full, -INFINITE
    taken: dict[int, Chain] = {}
    for k, states, ways, price_here, is_free in departures:
        start, high = places.used_before[k], places.notes[k].high
        passed = places.going_on_before[k] - places.going_on_before[note]
        besides = price_here + passed
        above_half = bisect_left(states, (-places.used_before[k + 1],))
        # The cheapest state of each level first: the deepest.
        top, below = states[:above_half][::-1], states[above_half:][::-1]
        fullest = states[0][0]
        for way in ways:
            _, _, price, used, sounding_s, keeps, worth_depth, _, _, _ = way
            used += start
            price += besides
            spared = -INFINITE if is_free else worth_depth - used - ROUNDING
            half = half_weight * sounding_s
            # Of the empty room a breath leaves `keeps`; it is `room` at half and grows
            # with the depth: the level in whole steps is `most - each * depth`.
            most, each = (1.0 - room * keeps) * steps + ROUNDING, keeps * steps
            # The most air that it can give; who has paid more for that is of no use,
            # and who is fuller has paid no less.
            after = (spared if spared > fullest else fullest) + used
            level = int(most - each * (after if after < empty else empty))
            limit = least[level if level < full else full] + twice - price
            is_beyond = False
            for at, cost, chain, dropped in below:
                if cost >= limit:
                    is_beyond = True
                    break
                after = at + used
                total = cost + price
                if after > low:
                    total += costs.of_note(at + start, after, sounding_s, high)
                elif after > 0.0:
                    before = at + start
                    total += half * after
                    if before > 0.0:
                        total += (half + high) * before
                if at < spared:
                    after = worth_depth
                    total += dropped
                level = int(most - each * (after if after < empty else empty))
                if level > full:
                    level = full
                if total < least[level]:
                    least[level] = total
                    taken[level] = k, way, chain
                elif total < lost and level not in taken:
                    lost = total
                    if level < lost_level:
                        lost_level = level
                if is_proof:
                    cheapest = total if at < spared else total + dropped
                    if cheapest < lost_at[level]:
                        lost_at[level] = cheapest
                if at < spared:
                    break
            else:
                most -= each * used
                for at, cost, chain, dropped in top:
                    if cost >= limit:
                        is_beyond, used = True, 0.0
                        break
                    total = cost + price
                    if at < spared:
                        total += dropped
                        level = int(most - each * spared)
                        if level > full:
                            level = full
                    else:
                        level = int(most - each * at)
                        if level >= full:
                            level = full
                            if cost + twice < limit:
                                limit = cost + twice
                    if total < least[level]:
                        least[level] = total
                        taken[level] = k, way, chain
                    elif total < lost and level not in taken:
                        lost = total
                        if level < lost_level:
                            lost_level = level
                    if is_proof:
                        cheapest = total if at < spared else total + dropped
                        if cheapest < lost_at[level]:
                            lost_at[level] = cheapest
                    if at < spared:
                        break
            if is_beyond:
                # Nobody from here on is weighed; all have paid as much, or more.
                after = (spared if spared > at else at) + used
                level = int(most - each * (after if after < empty else empty))
                if level < lost_level:
                    lost_level = level
                if cost + price < lost:
                    lost = cost + price
    reached = _Reached(least, taken, lost, lost_level, lost_at)
    kept = _worth_keeping(places, note, reached, ahead, manner.slack)
    return note, kept, lost if ahead else INFINITE


class _Reached(NamedTuple):
    """What is known of each whole level of air at a note."""

    least: Sequence[float]
    """What it costs to come there with it."""

    taken: Mapping[int, Chain]
    """For each level that is reached, by which breaths."""

    lost: float
    """What the cheapest costs that is not weighed, or dropped for who came before."""

    lost_level: int
    """The lowest level that any such one would reach."""

    lost_at: Sequence[float]
    """For a proof, what those cost that came to each level in the place of others."""


def _worth_keeping(
    places: Places, note: int, reached: _Reached, ahead: list[float], slack: float
) -> list[State]:
    """Give the states worth keeping, the fullest first, and note what they cost."""
    least, taken, lost = reached.least, reached.taken, reached.lost
    lost_level, lost_at = reached.lost_level, reached.lost_at
    steps, depth = places.lungs.steps_count, places.lungs.half
    depth -= places.used_before[note]
    lowest = len(least) - len(ahead)
    kept: list[State] = []
    cheapest = INFINITE
    for level in sorted(taken, reverse=True):
        cost = least[level]
        more = lost_at[level] - cost if lost_at else INFINITE
        if lost >= cost:
            if level > lost_level and lost - cost < more:
                more = lost - cost
            lost = INFINITE
        # As in `keep`, which would be handed states only to drop them.
        if cost < cheapest + slack:
            if cost < cheapest:
                cheapest = cost
            kept.append((depth - level / steps, cost, taken[level], more))
            if level >= lowest:
                end = level - lowest + 1
                dearer = bisect_right(ahead, cost, 0, end)
                ahead[dearer:end] = [cost] * (end - dearer)
        else:
            lose(kept, cost)
    return kept
