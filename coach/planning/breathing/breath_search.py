"""Find the cheapest breaths, and prove how good they are.

The search walks through the notes once and keeps, after each gap, the states worth
keeping: a level of air, and what it has cost to get there.  More air is never worse,
so a state with less air and no less cost is dropped.

A breath is counted down to a whole step of air, one percent as shipped: nobody knows
the own lungs better.  States that have just breathed therefore lie on few levels, and
the number of states stays small however long the part and however slow the tempo.

Should there still be more than `most_states`, the neighbours that differ least are
merged *in the player's favour*: the merged state has the air of the one and the cost
of the other.  The cost found is then a lower bound for every plan.  Its breaths are
played through with true air, which gives the plan's own cost; what lies between the
two is the proved gap.  Without a merge the plan is the best there is.

Conventions
-----------
Air is counted as *depth*: how far below half it is, as a fraction of capacity;
negative in the top half.  States are kept with the depth less all air used since
the start of the part, so that a note without a breath leaves them in order.

Notes
-----
Time grows with notes x states x ways.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter

from coach.planning.breathing.breath_places import ROUNDING, Places, Way

Chain = tuple[int, Way, "Chain | None"]
"""A breath taken, by gap and way, and the ones before it."""

State = tuple[float, float, "Chain | None"]
"""Depth less all air used so far, cost so far, breaths so far."""

INFINITE = float("inf")


@dataclass(frozen=True, slots=True)
class Walk:
    """A choice of breaths, played through with true air."""

    breaths: tuple[tuple[int, Way], ...]
    """Gap and way of each breath, in order."""

    air_before: tuple[float, ...]
    """Air at the start of each note."""

    air_after: tuple[float, ...]
    """Air at the end of each note."""

    cost: float
    """What it costs in all."""


def find_breaths(
    places: Places,
    ways: Sequence[tuple[Way, ...]],
    forced: Sequence[bool],
    *,
    most_states: int,
    most_gap: float,
    most_rounds: int,
) -> tuple[Walk, float]:
    """Find the cheapest breaths.

    Parameters
    ----------
    places : Places
        The part, laid out.
    ways : sequence of tuple of Way
        For each gap, how one may breathe there.
    forced : sequence of bool
        For each gap, whether one must.
    most_states : int
        States kept at each gap; four times as many in every further round.
    most_gap : float
        Good enough, as a share of the cost.
    most_rounds : int
        Rounds at most; at least 1.

    Returns
    -------
    walk : Walk
        The best plan found.
    gap : float
        No plan is cheaper than ``walk.cost * (1 - gap)``.
    """
    bound, chain = _search(places, ways, forced, most_states)
    best = walk(places, _unchain(chain))
    for _ in range(most_rounds - 1):
        if _gap(best.cost, bound) <= most_gap:
            break
        most_states *= 4
        closer, chain = _search(places, ways, forced, most_states)
        bound = max(bound, closer)
        best = min(best, walk(places, _unchain(chain)), key=lambda plan: plan.cost)
    return best, _gap(best.cost, bound)


def _gap(cost: float, bound: float) -> float:
    """Tell how much cheaper any plan could be, as a share of the cost."""
    return max(0.0, (cost - bound) / cost) if cost > 0.0 else 0.0


def _unchain(chain: Chain | None) -> list[tuple[int, Way]]:
    """List breaths in order."""
    breaths = []
    while chain is not None:
        k, way, chain = chain
        breaths.append((k, way))
    return breaths[::-1]


def _search(
    places: Places,
    ways: Sequence[tuple[Way, ...]],
    forced: Sequence[bool],
    most_states: int,
) -> tuple[float, Chain | None]:
    """Walk through the notes once; give a lower bound and the breaths behind it."""
    states: list[State] = [(places.start_depth, 0.0, None)]
    for k in range(len(places.notes)):
        going_on = _go_on(places, states, k)
        if k < len(ways) and ways[k]:
            breathing = _breathe(places, states, k, ways[k])
            states = breathing if forced[k] else going_on + breathing
            states.sort(key=itemgetter(0))
        else:
            states = going_on
        states = _kept(states)
        if len(states) > most_states:
            states = _merged(states, most_states)
    cheapest = min(states, key=itemgetter(1))
    return cheapest[1], cheapest[2]


def _go_on(places: Places, states: list[State], k: int) -> list[State]:
    """Play a whole note and take no breath after it."""
    note, costs = places.notes[k], places.costs
    start, end = places.used_before[k], places.used_before[k + 1]
    seconds, high, low = note.sounding_s, note.high, costs.low_depth
    # Written out as in AirCosts.of_note: most of the search's time is spent here.
    half = costs.half_weight * seconds / 2
    in_top_half = bisect_left(states, (-end,))
    fresh = states[:in_top_half]
    for at, cost, chain in states[in_top_half:]:
        before, after = at + start, at + end
        if after > low:
            more = costs.of_note(before, after, seconds, high)
        elif before > 0.0:
            more = half * (before + after) + high * before
        else:
            more = half * after
        fresh.append((at, cost + more, chain))
    unused = places.gaps[k].going_on_cost if k < len(places.gaps) else 0.0
    if unused > 0.0:
        fresh = [(at, cost + unused, chain) for at, cost, chain in fresh]
    return fresh


def _breathe(
    places: Places, states: list[State], k: int, ways: Sequence[Way]
) -> list[State]:
    """Play a note and breathe after it: the cheapest state for each whole level."""
    lungs, costs, high = places.lungs, places.costs, places.notes[k].high
    start, end = places.used_before[k], places.used_before[k + 1]
    room, steps, full = 1.0 - lungs.half, lungs.steps_count, lungs.full_steps
    empty, low = lungs.empty_depth, costs.low_depth
    least = [INFINITE] * (full + 1)
    chains: list[Chain | None] = [None] * (full + 1)
    for way in ways:
        price, keeps, used = way.cost, way.still_empty, start + way.used
        half = costs.half_weight * way.sounding_s / 2
        most, each = (1.0 - room * keeps) * steps + ROUNDING, keeps * steps
        # Written out as in AirCosts.of_note and Filling.breathe: most of the
        # search's time is spent here.
        for at, cost, chain in states:
            after = at + used
            total = cost + price
            if after > low:
                total += costs.of_note(at + start, after, way.sounding_s, high)
            elif after > 0.0:
                before = at + start
                total += half * after
                if before > 0.0:
                    total += (half + high) * before
            level = int(most - each * (after if after < empty else empty))
            if level > full:
                level = full
            if total < least[level]:
                least[level] = total
                chains[level] = (k, way, chain)
    return [
        (lungs.half - level / steps - end, least[level], chains[level])
        for level in range(full, -1, -1)
        if least[level] < INFINITE
    ]


def _kept(fresh: list[State]) -> list[State]:
    """Drop every state that has no more air and no less cost than another."""
    kept: list[State] = []
    least = INFINITE
    for state in fresh:
        if state[1] < least:
            least = state[1]
            kept.append(state)
    return kept


def _merged(states: list[State], most_states: int) -> list[State]:
    """Merge the neighbours that differ least, in the player's favour."""
    differences = [min(b[0] - a[0], a[1] - b[1]) for a, b in pairwise(states)]
    limit = sorted(differences)[len(states) - most_states - 1]
    merged = [states[0]]
    for state, difference in zip(states[1:], differences, strict=True):
        if difference <= limit:
            merged[-1] = (merged[-1][0], state[1], state[2])
        else:
            merged.append(state)
    return merged


def walk(places: Places, breaths: Sequence[tuple[int, Way]]) -> Walk:
    """Play breaths through with true air.

    Parameters
    ----------
    places : Places
        The part, laid out.
    breaths : sequence of (int, Way)
        Gap and way of each breath, in order.

    Returns
    -------
    Walk
        The air at every note, and the cost.
    """
    taken = dict(breaths)
    half = places.lungs.half
    depth, cost = places.start_depth, 0.0
    before, after = [], []
    for k, note in enumerate(places.notes):
        way = taken.get(k)
        start = depth + places.used_before[k]
        end = depth + places.used_before[k + 1] if way is None else start + way.used
        seconds = note.sounding_s if way is None else way.sounding_s
        before.append(half - start)
        after.append(half - end)
        if way is not None:
            depth = places.lungs.breathe(end, way.still_empty)
            depth -= places.used_before[k + 1]
            cost += way.cost
        elif k < len(places.gaps):
            cost += places.gaps[k].going_on_cost
        cost += places.costs.of_note(start, end, seconds, note.high)
    return Walk(tuple(breaths), tuple(before), tuple(after), cost)
