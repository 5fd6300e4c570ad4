"""The states of the search for breaths: what each step makes of them.

A state is a level of air, what it has cost to get there, and the breaths that did it.
Lists of states stand in order, the fullest first.

Conventions
-----------
Air is counted as *depth*: how far below half it is, as a fraction of capacity;
negative in the top half.  States are kept with the depth less all air used since the
start of the part, and with the cost less all that going on without a breath has cost
since: so a note in the top half with no breath after it leaves them as they are.

A breath is counted down to a whole step of air, one percent as shipped: nobody knows
the own lungs better.  States that have just breathed therefore lie on few levels, and
the number of states stays small however long the part and however slow the tempo.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way

Chain = tuple[int, Way, "Chain | None"]
"""A breath taken, by gap and way, and the ones before it."""

State = tuple[float, float, "Chain | None", float]
"""Depth less all air used so far, cost less all going on so far, breaths so far; and
by how much each state with less air that was dropped for it costs more at least."""

Group = tuple[int, list[State]]
"""The note after a breath, and the states that took it."""

Departure = tuple[int, list[State], tuple[Way, ...], float, bool]
"""A note, the states that may breathe after it, the ways that leave out the same
notes, what a breath there costs besides, and whether it is asked for."""

INFINITE = float("inf")


@dataclass(frozen=True, slots=True)
class SearchRound:
    """How closely one search looks."""

    most_states: int
    """States kept at each place."""

    slack: float = 0.0
    """A state is dropped where it costs this much more than one with more air."""

    is_proof: bool = False
    """Whether states stand in, after a breath of their own, for all that would have
    followed from those they stood in for: never too dear, but seldom as close."""


def wait(places: Places, group: Group, k: int, slack: float) -> list[State]:
    """Play the notes from a group's breath up to another note.

    Who is in the top half at the end was so all along, and has paid nothing.
    """
    following, states = group
    in_top_half = bisect_left(states, (-places.used_before[k],))
    below = states[in_top_half:]
    if below:
        cost_of = places.sums.of_stretch
        paid: list[State] = [
            (at, cost + cost_of(at, following, k), chain, lost)
            for at, cost, chain, lost in below
        ]
        states = keep(states[:in_top_half] + paid, slack)
    first = bisect_left(places.sparing, following)
    for gap in places.sparing[first : bisect_left(places.sparing, k, first)]:
        states = _pass(places, states, gap, slack)
    return states


def go_on(places: Places, states: list[State], k: int, slack: float) -> list[State]:
    """Play a whole note with no breath after it; keep the states worth keeping."""
    played = _play(places, states, k, slack)
    is_spared = k < len(places.gaps) and (
        places.too_full_cost[k] < places.gaps[k].going_on_cost
    )
    return _pass(places, played, k, slack) if is_spared else played


def _pass(places: Places, states: list[State], k: int, slack: float) -> list[State]:
    """Let those who are too full to breathe after a note go on for less."""
    free = bisect_left(states, (places.too_full_depth[k] - places.used_before[k],))
    if not free:
        return states
    spared = places.gaps[k].going_on_cost - places.too_full_cost[k]
    passed: list[State] = [
        (at, cost - spared, chain, more) for at, cost, chain, more in states[:free]
    ]
    return keep(passed + states[free:], slack)


def _play(places: Places, states: list[State], k: int, slack: float) -> list[State]:
    """Play a whole note; keep the states worth keeping."""
    note, costs = places.notes[k], places.costs
    start, end = places.used_before[k], places.used_before[k + 1]
    # Who ends the note in the top half pays nothing; states stand in order of depth.
    in_top_half = bisect_left(states, (-end,))
    if in_top_half == len(states):
        return states
    seconds, high, low = note.sounding_s, note.high, costs.low_depth
    # Written out as in AirCosts.of_note: most of the search's time is spent here.
    # The mean of both depths, weighed over the seconds: a trapezium.
    half = costs.half_weight * seconds / 2
    kept = states[:in_top_half]
    least = (
        (kept[-1][1] if not slack else min(s[1] for s in kept)) if kept else INFINITE
    )
    for at, cost, chain, lost in states[in_top_half:]:
        before, after = at + start, at + end
        if after > low:
            total = cost + costs.of_note(before, after, seconds, high)
        elif before > 0.0:
            total = cost + half * (before + after) + high * before
        else:
            total = cost + half * after
        if total < least + slack:
            kept.append((at, total, chain, lost))
            if total < least:
                least = total
        else:
            _lose(kept, total)
    return kept


def _lose(kept: list[State], cost: float) -> None:
    """Note down what a state costs that is dropped for the last one kept."""
    at, kept_cost, chain, lost = kept[-1]
    if cost - kept_cost < lost:
        kept[-1] = at, kept_cost, chain, cost - kept_cost


def breathe(  # noqa: C901 (one loop: most of the search's time is spent in it)
    places: Places, departure: Departure, manner: SearchRound
) -> list[State]:
    """Play a note and breathe after it: the cheapest state for each whole level.

    Unless a breath is asked for, a state with too much air for a way does not take it,
    or stands in for one that was dropped for it.
    """
    k, states, ways, besides, is_free = departure
    if not states:
        return []
    lungs, costs, high = places.lungs, places.costs, places.notes[k].high
    start, arriving = places.used_before[k], k + 1 + ways[0].left_out
    besides += places.going_on_before[k] - places.going_on_before[arriving]
    room, steps, full = 1.0 - lungs.half, lungs.steps_count, lungs.full_steps
    empty, low, half_weight = lungs.empty_depth, costs.low_depth, costs.half_weight / 2
    twice = 2.0 * manner.slack
    above_half = bisect_left(states, (-places.used_before[k + 1],))
    # The cheapest state of each level first: the deepest.
    top, below = states[:above_half][::-1], states[above_half:][::-1]
    fullest, limit = states[0][0], INFINITE
    least, lost, lost_level = [INFINITE] * (full + 1), INFINITE, full
    lost_at, is_proof = [INFINITE] * (full + 1), manner.is_proof
    taken: dict[int, Chain] = {}
    for way in ways:
        _, _, price, used, sounding_s, keeps, worth_depth, _, _, _ = way
        used += start
        price += besides
        spared = -INFINITE if is_free else worth_depth - used - ROUNDING
        half = half_weight * sounding_s
        # Of the empty room a breath leaves `keeps`; it is `room` at half and grows with
        # the depth, so the level in whole steps is `most - each * depth`.
        most, each = (1.0 - room * keeps) * steps + ROUNDING, keeps * steps
        # The most air that it can give; who has paid more for that is of no use, and
        # who is fuller has paid no less.
        best = int(most - each * min(max(spared, fullest) + used, empty))
        limit = least[min(best, full)] + twice - price
        # Written out as in AirCosts.of_note and Filling.breathe: most of the search's
        # time is spent here.
        for at, cost, chain, dropped in below:
            if cost >= limit:
                lost = min(lost, cost + price)
                after = min(max(at, spared) + used, empty)
                lost_level = min(lost_level, int(most - each * after))
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
            if is_proof:
                cheapest = total if at < spared else total + dropped
                lost_at[level] = min(lost_at[level], cheapest)
            if at < spared:
                break
        else:
            most -= each * used
            for at, cost, chain, dropped in top:
                if cost >= limit:
                    lost = min(lost, cost + price)
                    after = max(at, spared)
                    lost_level = min(lost_level, int(most - each * after))
                    break
                total = cost + price
                if at < spared:
                    total += dropped
                    level = min(full, int(most - each * spared))
                else:
                    level = int(most - each * at)
                    if level >= full:
                        level = full
                        limit = min(limit, cost + twice)
                if total < least[level]:
                    least[level] = total
                    taken[level] = k, way, chain
                if is_proof:
                    cheapest = total if at < spared else total + dropped
                    lost_at[level] = min(lost_at[level], cheapest)
                if at < spared:
                    break
    dropped_for = lost, lost_level, lost_at
    return _levelled(places, arriving, least, taken, (manner.slack, *dropped_for))


def _levelled(
    places: Places,
    arriving: int,
    least: Sequence[float],
    taken: Mapping[int, Chain],
    dropped: tuple[float, float, int, Sequence[float]],
) -> list[State]:
    """Give the states after a breath that are worth keeping, the fullest first.

    `least` says what it costs to reach each whole level of air, `taken` how those that
    are reached are; `dropped` the slack, what the cheapest costs that is not weighed,
    the lowest level any such one would reach, and what those cost that came to each
    level or below it in the place of others.
    """
    lungs = places.lungs
    depth, steps = lungs.half - places.used_before[arriving], lungs.steps_count
    slack, lost, lost_level, lost_at = dropped
    kept: list[State] = []
    cheapest = INFINITE
    for level in sorted(taken, reverse=True):
        cost = least[level]
        more = lost_at[level] - cost
        if lost >= cost:
            if level > lost_level and lost - cost < more:
                more = lost - cost
            lost = INFINITE
        # As in `keep`, which would be handed states only to drop them.
        if cost < cheapest + slack:
            if cost < cheapest:
                cheapest = cost
            kept.append((depth - level / steps, cost, taken[level], more))
        else:
            _lose(kept, cost)
    return kept


def keep(states: list[State], slack: float = 0.0) -> list[State]:
    """Drop every state that has no more air and costs no less than another.

    With some slack only those that cost so much more.  The fuller ones come first.
    """
    kept: list[State] = []
    least = cheapest_lost = INFINITE
    for state in states:
        at, cost, chain, lost = state
        if cost < least + slack:
            if cost < least:
                least = cost
            more = cheapest_lost - cost
            if lost <= more:
                cheapest_lost = cost + lost
                kept.append(state)
            else:
                kept.append((at, cost, chain, more))
        elif cost < cheapest_lost:
            cheapest_lost = cost
            at, kept_cost, chain, _ = kept[-1]
            kept[-1] = at, kept_cost, chain, cost - kept_cost
    return kept
