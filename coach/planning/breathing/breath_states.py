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

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_ways import ROUNDING, Way

Chain = tuple[int, Way, "Chain | None"]
"""A breath taken, by gap and way, and the ones before it."""

State = tuple[float, float, "Chain | None"]
"""Depth less all air used so far, cost less all going on so far, breaths so far."""

Group = tuple[int, list[State]]
"""The note after a breath, and the states that took it."""

INFINITE = float("inf")


@dataclass(frozen=True, slots=True)
class Manner:
    """How a search goes about it."""

    most_states: int
    """States kept at each place."""

    is_loose: bool = False
    """Who is too full for a breath may let go what is too much."""

    slack: float = 0.0
    """A state is dropped where it costs so much more than one with more air."""


class Reached:
    """What it costs at least to have each whole step of air, in the top half.

    Air is counted with all air used so far, so that what is known of a place holds at
    every later one: in the top half playing costs nothing.
    """

    def __init__(self, places: Places) -> None:
        """Begin with nothing reached."""
        lungs, used = places.lungs, places.used_before
        self._used, self._steps = used, lungs.steps_count
        self._half_steps = math.ceil(lungs.half * lungs.steps_count)
        most = int((used[-1] + 2.0) * lungs.steps_count)
        self._costs = [INFINITE] * (most + 1)

    def least(self, note: int) -> list[float]:
        """Give for each whole step before a note the cost of having more than that."""
        first = math.ceil(self._used[note] * self._steps) + self._half_steps
        most = first + self._steps - self._half_steps + 1
        return [INFINITE] * self._half_steps + self._costs[first:most]

    def add(self, note: int, level: int, cost: float) -> None:
        """Note down a whole step that is reached before a note at a cost."""
        first = int(self._used[note] * self._steps)
        costs = self._costs
        for k in range(first + level, first + self._half_steps - 1, -1):
            if costs[k] <= cost:
                break
            costs[k] = cost


def wait(places: Places, group: Group, k: int, slack: float) -> list[State]:
    """Play the notes from a group's breath up to another note.

    Who is in the top half at the end was so all along, and has paid nothing.
    """
    following, states = group
    in_top_half = bisect_left(states, (-places.used_before[k],))
    below = states[in_top_half:]
    if below:
        first_paid = bisect_left(places.used_before, -below[-1][0], following + 1)
        for note in range(first_paid - 1, k):
            below = _play(places, below, note, slack)
        states = states[:in_top_half] + below
    first = bisect_left(places.ends, following)
    for end in places.ends[first : bisect_left(places.ends, k, first)]:
        states = _pass(places, states, end, slack)
    return states


def go_on(places: Places, states: list[State], k: int, slack: float) -> list[State]:
    """Play a whole note with no breath after it; keep the states worth keeping."""
    played = _play(places, states, k, slack)
    if k < len(places.gaps) and places.gaps[k].going_on_cost:
        return _pass(places, played, k, slack)
    return played


def _pass(places: Places, states: list[State], k: int, slack: float) -> list[State]:
    """Let those who are too full to breathe after a note go on for nothing."""
    free = bisect_left(states, (places.too_full_depth[k] - places.used_before[k],))
    if not free:
        return states
    spared = places.gaps[k].going_on_cost
    passed: list[State] = [(at, cost - spared, how) for at, cost, how in states[:free]]
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
    for at, cost, chain in states[in_top_half:]:
        before, after = at + start, at + end
        if after > low:
            more = costs.of_note(before, after, seconds, high)
        elif before > 0.0:
            more = half * (before + after) + high * before
        else:
            more = half * after
        if cost + more < least + slack:
            kept.append((at, cost + more, chain))
            least = min(least, cost + more)
    return kept


def breathe(  # noqa: C901 (one loop: most of the search's time is spent in it)
    places: Places,
    states: list[State],
    k: int,
    ways: Sequence[Way],
    manner: Manner,
    reached: Reached,
    *,
    is_free: bool,
) -> list[State]:
    """Play a note and breathe after it: the cheapest state for each whole level.

    All ways leave out the same number of notes; unless `is_free`, a state with too
    much air for a way does not take it, or lets the air go first.
    """
    lungs, costs, high = places.lungs, places.costs, places.notes[k].high
    start, arriving = places.used_before[k], k + 1 + ways[0].left_out
    gone_on = places.going_on_before[k] - places.going_on_before[arriving]
    room, steps, full = 1.0 - lungs.half, lungs.steps_count, lungs.full_steps
    empty, low, half_weight = lungs.empty_depth, costs.low_depth, costs.half_weight / 2
    slack, is_strict = manner.slack, not manner.is_loose
    above_half = bisect_left(states, (-places.used_before[k + 1],))
    # The cheapest state of each level first: the deepest.
    top, below = states[:above_half][::-1], states[above_half:][::-1]
    least = reached.least(arriving)
    if slack:
        least = [cost + slack for cost in least]
    taken: dict[int, tuple[Way, Chain | None]] = {}
    for way in ways:
        _, _, price, used, sounding_s, keeps, worth_depth, _, _, _ = way
        price += gone_on
        used += start
        spared = -INFINITE if is_free else worth_depth - used - ROUNDING
        half = half_weight * sounding_s
        # Of the empty room a breath leaves `keeps`; it is `room` at half and grows with
        # the depth, so the level in whole steps is `most - each * depth`.
        most, each = (1.0 - room * keeps) * steps + ROUNDING, keeps * steps
        # Written out as in AirCosts.of_note and Filling.breathe: most of the search's
        # time is spent here.
        for at, cost, chain in below:
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
                if is_strict:
                    break
                after = worth_depth
            level = int(most - each * (after if after < empty else empty))
            if level > full:
                level = full
            if total < least[level]:
                least[level] = total
                taken[level] = way, chain
        most -= each * used
        # In the top half who is fuller has paid more: no use once full was cheaper.
        limit = INFINITE if slack else least[full]
        for at, cost, chain in top:
            total = cost + price
            if total >= limit or (is_strict and at < spared):
                break
            level = int(most - each * (at if at > spared else spared))
            if level >= full:
                level, limit = full, total
            if total < least[level]:
                least[level] = total
                taken[level] = way, chain
            if at < spared:
                break
    return _levelled(places, k, arriving, least, taken, manner, reached)


def _levelled(
    places: Places,
    k: int,
    arriving: int,
    least: list[float],
    taken: dict[int, tuple[Way, Chain | None]],
    manner: Manner,
    reached: Reached,
) -> list[State]:
    """Give the states after a breath that are worth keeping, the fullest first.

    `least` says for each whole level of air what it costs to reach it, and `taken` how,
    where it was not reached as cheaply before.
    """
    lungs = places.lungs
    depth, cheapest = lungs.half - places.used_before[arriving], INFINITE
    kept: list[State] = []
    for level in sorted(taken, reverse=True):
        cost = least[level]
        if cost < cheapest + manner.slack:
            kept.append((depth - level / lungs.steps_count, cost, (k, *taken[level])))
            cheapest = min(cheapest, cost)
            reached.add(arriving, level, cost)
    return kept


def keep(states: list[State], slack: float = 0.0) -> list[State]:
    """Drop every state that has no more air and costs no less than another.

    With some slack only those that cost so much more.  The fuller ones come first.
    """
    kept: list[State] = []
    least = INFINITE
    for state in states:
        if state[1] < least + slack:
            least = min(least, state[1])
            kept.append(state)
    return kept


def merge(states: list[State], most_states: int) -> list[State]:
    """Merge the neighbours that differ least, in the player's favour."""
    # Of neighbours the first has more air, the second costs less; they are alike as
    # soon as one of the two hardly differs.
    differences = [min(b[0] - a[0], a[1] - b[1]) for a, b in pairwise(states)]
    limit = sorted(differences)[len(states) - most_states - 1]
    merged = [states[0]]
    for state, difference in zip(states[1:], differences, strict=True):
        if difference <= limit:
            # The air of the first of a row of neighbours, the cost of the last: nobody
            # has both, so what follows from it costs no more than any true plan.
            merged[-1] = (merged[-1][0], state[1], state[2])
        else:
            merged.append(state)
    return merged
