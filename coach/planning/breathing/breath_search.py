"""Find the cheapest breaths, and prove how good they are.

The search walks through the notes once and keeps, after each gap, the states worth
keeping: a level of air, and what it has cost to get there.  More air is never worse,
so a state with less air and no less cost is dropped.

A breath is counted down to a whole step of air, one percent as shipped: nobody knows
the own lungs better.  States that have just breathed therefore lie on few levels, and
the number of states stays small however long the part and however slow the tempo.

From one breath to the next something is played: states that breathed not long ago wait
before they may breathe again, and are weighed against the others only then.  A breath
for which notes are left out arrives at the note after them.

Should there still be more than `most_states`, the neighbours that differ least are
merged *in the player's favour*: the merged state has the air of the one and the cost
of the other.  The cost found is then a lower bound for every plan.  Its breaths are
played through with true air, which gives the plan's own cost; what lies between the
two is the proved gap.  Without a merge the plan is the best there is.

Long, since the search is one walk and carries its own proof.

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
from collections import defaultdict, deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from operator import attrgetter, itemgetter

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_ways import ROUNDING, Way
from coach.planning.breathing.choose_ways import Allowed

Chain = tuple[int, Way, "Chain | None"]
"""A breath taken, by gap and way, and the ones before it."""

State = tuple[float, float, "Chain | None"]
"""Depth less all air used so far, cost so far, breaths so far."""

Group = tuple[int, list[State]]
"""The note after a breath, and the states that took it."""

MORE_STATES = 4
"""Times as many states are kept in a further round."""

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


def find_breaths(places: Places, allowed: Allowed) -> tuple[Walk, float]:
    """Find the cheapest breaths.

    Returns
    -------
    walk : Walk
        The best plan found: none of its breaths off a rest is for nothing.
    gap : float
        No plan is cheaper than ``walk.cost * (1 - gap)``.
    """
    costs = places.breather.costs
    most_states = costs.most_states_count
    bound, chain = _search(places, allowed, most_states)
    best = walk(places, _unchain(chain))
    for _ in range(costs.most_rounds_count - 1):
        if share_above(best.cost, bound) <= costs.most_gap_share:
            break
        most_states *= MORE_STATES
        closer, chain = _search(places, allowed, most_states)
        bound = max(bound, closer)
        best = min(best, walk(places, _unchain(chain)), key=lambda plan: plan.cost)
    if _is_for_nothing(places, allowed, best):
        _, chain = _search(places, allowed, most_states, is_each_worth=True)
        best = walk(places, _unchain(chain))
    return best, share_above(best.cost, bound)


def _is_for_nothing(places: Places, allowed: Allowed, plan: Walk) -> bool:
    """Tell whether a breath off a rest that nobody asks for gives next to nothing."""
    return any(
        not allowed.forced[k]
        and places.lungs.half - plan.air_after[k] < way.worth_depth - ROUNDING
        for k, way in plan.breaths
    )


def share_above(cost: float, bound: float) -> float:
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
    places: Places, allowed: Allowed, most_states: int, *, is_each_worth: bool = False
) -> tuple[float, Chain | None]:
    """Walk through the notes once; give a lower bound and the breaths behind it.

    `ripe` states have played long enough to breathe again.  Those that breathed not
    long ago wait, group by group; those that leave out notes arrive later.
    """
    ripe: list[State] = []
    waiting: deque[Group] = deque([(0, [(places.start_depth, 0.0, None)])])
    arriving: dict[int, list[Group]] = defaultdict(list)
    for k in range(len(places.notes)):
        ways = allowed.ways[k] if k < len(allowed.ways) else ()
        if ways:
            ripe = _ripened(ripe, waiting, places.ripe_from[k])
        is_forced = bool(ways) and allowed.forced[k]
        if ways:
            ready = _all(ripe, waiting) if is_forced else ripe
            is_free = is_forced or not is_each_worth
            for count, same in groupby(ways, key=attrgetter("left_out")):
                group = _breathe(places, ready, k, tuple(same), is_free=is_free)
                if group:
                    arriving[k + count].append((k + count + 1, group))
        if is_forced:
            ripe = []
            waiting.clear()
        else:
            ripe = _kept(_go_on(places, ripe, k))
            _let_wait(places, waiting, k)
        waiting.extend(arriving.pop(k, ()))
        if len(ripe) > most_states:
            ripe = _merged(ripe, most_states)
    cheapest = min(_all(ripe, waiting), key=itemgetter(1))
    return cheapest[1], cheapest[2]


def _let_wait(places: Places, waiting: deque[Group], k: int) -> None:
    """Play a whole note in every group that waits; in the top half it costs nothing."""
    depth = places.used_before[k + 1]
    is_unused_rest = k < len(places.gaps) and places.gaps[k].going_on_cost > 0.0
    for i, (following, group) in enumerate(waiting):
        if is_unused_rest or group[-1][0] + depth > 0.0:
            waiting[i] = following, _go_on(places, group, k)


def _ripened(ripe: list[State], waiting: deque[Group], last_note: int) -> list[State]:
    """Let the groups join that breathed before a note or earlier."""
    joined = list(ripe)
    while waiting and waiting[0][0] <= last_note:
        joined += waiting.popleft()[1]
    if len(joined) == len(ripe):
        return ripe
    joined.sort(key=itemgetter(0))
    return _kept(joined)


def _all(ripe: list[State], waiting: deque[Group]) -> list[State]:
    """Give the states worth keeping of all, however long ago they breathed."""
    states = [*ripe, *(state for _, group in waiting for state in group)]
    states.sort(key=itemgetter(0))
    return _kept(states)


def _go_on(places: Places, states: list[State], k: int) -> list[State]:
    """Play a whole note and take no breath after it."""
    note, costs = places.notes[k], places.costs
    start, end = places.used_before[k], places.used_before[k + 1]
    seconds, high, low = note.sounding_s, note.high, costs.low_depth
    # Written out as in AirCosts.of_note: most of the search's time is spent here.
    # The mean of both depths, weighed over the seconds: a trapezium.
    half = costs.half_weight * seconds / 2
    # Who ends the note in the top half pays nothing; states stand in order of depth.
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
    places: Places,
    states: list[State],
    k: int,
    ways: Sequence[Way],
    *,
    is_free: bool,
) -> list[State]:
    """Play a note and breathe after it: the cheapest state for each whole level.

    All ways leave out the same number of notes; unless `is_free`, a state with too
    much air for a way does not take it.
    """
    lungs, costs, high = places.lungs, places.costs, places.notes[k].high
    start = places.used_before[k]
    arrives = places.used_before[k + ways[0].left_out + 1]
    room, steps, full = 1.0 - lungs.half, lungs.steps_count, lungs.full_steps
    empty, low = lungs.empty_depth, costs.low_depth
    least = [INFINITE] * (full + 1)
    chains: list[Chain | None] = [None] * (full + 1)
    for way in ways:
        price, keeps, used = way.cost, way.still_empty, start + way.used
        half = costs.half_weight * way.sounding_s / 2
        # Of the empty room a breath leaves `keeps`; it is `room` at half and grows with
        # the depth, so the level in whole steps is `most - each * depth`.
        most, each = (1.0 - room * keeps) * steps + ROUNDING, keeps * steps
        shallowest = 0 if is_free else bisect_left(states, (way.worth_depth - used,))
        # Written out as in AirCosts.of_note and Filling.breathe: most of the
        # search's time is spent here.
        for at, cost, chain in states[shallowest:] if shallowest else states:
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
    # From full to empty, so that the depths rise as in every list of states.
    return _kept(
        [
            (lungs.half - level / steps - arrives, least[level], chains[level])
            for level in range(full, -1, -1)
            if least[level] < INFINITE
        ]
    )


def _kept(fresh: list[State]) -> list[State]:
    """Drop every state that has no more air and no less cost than another.

    The fuller ones come first, so a state is kept only if it is the cheapest so far.
    """
    kept: list[State] = []
    least = INFINITE
    for state in fresh:
        if state[1] < least:
            least = state[1]
            kept.append(state)
    return kept


def _merged(states: list[State], most_states: int) -> list[State]:
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


def walk(places: Places, breaths: Sequence[tuple[int, Way]]) -> Walk:
    """Play breaths through with true air.

    Parameters
    ----------
    breaths : sequence of (int, Way)
        Gap and way of each breath, in order.
    """
    taken = dict(breaths)
    half = places.lungs.half
    depth, cost = places.start_depth, 0.0
    before, after = [], []
    k = 0
    while k < len(places.notes):
        note, way = places.notes[k], taken.get(k)
        used = note.used if way is None else way.used
        seconds = note.sounding_s if way is None else way.sounding_s
        end = depth + used
        cost += places.costs.of_note(depth, end, seconds, note.high)
        before.append(half - depth)
        after.append(half - end)
        depth = end
        k += 1
        if way is not None:
            depth = places.lungs.breathe(end, way.still_empty)
            cost += way.cost
            before += [half - depth] * way.left_out
            after += [half - depth] * way.left_out
            k += way.left_out
        elif k <= len(places.gaps):
            cost += places.gaps[k - 1].going_on_cost
    return Walk(tuple(breaths), tuple(before), tuple(after), cost)
