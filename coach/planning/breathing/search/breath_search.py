"""Find the cheapest breaths, and what none undercut.

The search walks through the notes once and keeps, after each gap, the states worth
keeping: a level of air, and what it has cost to get there
(`breath_states`).  From one breath to the next something is
played: states that breathed not long ago wait before they may breathe again, and are
weighed against the others only then.  A breath for which notes are left out arrives at
the note after them.

Each breath must be worth taking, so who has too much air for it must not take it, and
there more air could be worse.  Therefore a state stands in for those that were dropped
for it: where it is too full for a breath, it lets go what is too much, and pays what
the cheapest of those would have paid more.  So the cost found undercuts every plan.
Where no breath found is for nothing, nobody stood in: mostly so at once.  Else such
breaths are given the next best way, and it is searched again with some slack: a state
is dropped only where it costs so much more than one with more air.  With as much slack
as the plan costs more than what is proved, the best is found.  To find breaths this is
done only some breaths around those that were for nothing; to prove them, everywhere.

Who stood in and breathes would have to stand in after that too, for all that followed
from those who were dropped.  To find breaths that is left out: hardly ever is a plan
cheaper for it.  To prove them it is not, and fewer long phrases are proved to the end.

Should there be more than `most_states`, the neighbours that differ least are merged *in
the player's favour*, and the cost found undercuts every plan all the more.  Where there
are too many with some slack, what it alone keeps is dropped, and nothing is proved.

Conventions
-----------
As in `breath_states`.

Notes
-----
Time grows with notes x states x ways.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from itertools import groupby, pairwise
from operator import attrgetter, itemgetter

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_states import (
    INFINITE,
    Chain,
    SearchRound,
    State,
    go_on,
    keep,
)
from coach.planning.breathing.search.breath_walk import Walk, walk
from coach.planning.breathing.search.landings import Departure
from coach.planning.breathing.search.waiting import Waiting
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way
from coach.planning.breathing.ways.choose_ways import Allowed

FURTHER = 4
"""Times as many states are kept in each further round, and with so much more slack."""

FIRST_SLACK = 0.4
"""Cost to begin with there: about what two ways to breathe at one place differ by."""

BREATHS_AROUND = 3
"""So many on each side of what is to be mended are chosen anew."""


def find_breaths(places: Places, allowed: Allowed) -> Walk:
    """Find the cheapest breaths of which none off a rest is for nothing."""
    return _in_rounds(places, allowed, is_proof=False)[0]


def least_cost(places: Places, allowed: Allowed) -> float:
    """Tell what no choice of breaths undercuts of which each is worth taking."""
    return _in_rounds(places, allowed, is_proof=True)[1]


def share_above(cost: float, bound: float) -> float:
    """Tell how much cheaper any plan could be, as a share of the cost."""
    return max(0.0, (cost - bound) / cost) if cost > 0.0 else 0.0


def _in_rounds(
    places: Places, allowed: Allowed, *, is_proof: bool
) -> tuple[Walk, float]:
    """Search more and more closely while anything much cheaper could be.

    Gives the best plan found, and a lower bound on the cost of all.
    """
    costs = places.breather.costs
    manner = SearchRound(costs.most_states_count, is_proof=is_proof)
    best: Walk | None = None
    least, bound = INFINITE, -INFINITE
    nearby = allowed
    for _ in range(costs.most_rounds_count):
        closer, breaths = _search(places, nearby, manner)
        worth = _each_worth(places, allowed, breaths)
        found = walk(places, worth)
        closer += allowed.besides(())
        cost = found.cost + allowed.besides(k for k, _ in found.breaths)
        if cost < least:
            best, least = found, cost
        bound = max(bound, min(closer, least))
        is_searched_out = closer > -INFINITE and least - bound <= manner.slack
        if is_searched_out or share_above(least, bound) <= costs.most_gap_share:
            break
        mended = [k for k, way in breaths if (k, way) not in worth]
        if mended and not is_proof:
            nearby = _open_near(places, allowed, {k for k, _ in breaths}, mended)
        slack = min(least - bound, FURTHER * manner.slack or FIRST_SLACK)
        manner = replace(
            manner, most_states=FURTHER * manner.most_states, slack=slack + ROUNDING
        )
    return best or walk(places, ()), bound


def _open_near(
    places: Places,
    allowed: Allowed,
    breathed: AbstractSet[int],
    notes: Sequence[int],
) -> Allowed:
    """Open only the gaps breathed at, and all of them some breaths around some notes.

    What is far from what is to be mended is breathed as before, or not at all.
    """
    order = sorted(breathed)
    near = set(breathed)
    for note in notes:
        after = bisect_left(order, note)
        earlier = order[max(0, after - BREATHS_AROUND) : after]
        later = order[after : after + BREATHS_AROUND + 1]
        first = earlier[0] if len(earlier) == BREATHS_AROUND else 0
        last = later[-1] if len(later) > BREATHS_AROUND else len(places.gaps) - 1
        near.update(range(first, last + 1))
    return allowed.only_at(near)


def _each_worth(
    places: Places, allowed: Allowed, breaths: Sequence[tuple[int, Way]]
) -> list[tuple[int, Way]]:
    """Give each breath that is for nothing the next best way, or leave it out."""
    worth = []
    depth, following = places.start_depth, 0
    for k, way in breaths:
        depth += places.used_before[k] - places.used_before[following]
        ways = [way]
        if not (allowed.forced[k] or _is_worth(way, depth)):
            ways = [other for other in allowed.ways[k] if _is_worth(other, depth)]
            ways = [other for other in ways if other.left_out == way.left_out]
        following = k
        if ways:
            best = min(ways, key=attrgetter("cost"))
            depth = places.lungs.breathe(depth + best.used, best.still_empty)
            following = k + 1 + best.left_out
            worth.append((k, best))
    return worth


def _is_worth(way: Way, depth: float) -> bool:
    """Tell whether a breath gives enough to who has so much air before its note."""
    return depth + way.used >= way.worth_depth - ROUNDING


def _search(
    places: Places, allowed: Allowed, manner: SearchRound
) -> tuple[float, list[tuple[int, Way]]]:
    """Walk through the notes once; give a lower bound and the breaths behind it.

    `ripe` states have played long enough to breathe again.
    """
    ripe: list[State] = []
    waiting = Waiting(places, manner)
    departing: dict[int, list[Departure]] = {}
    is_cut = False
    for k in range(len(places.notes)):
        ways = allowed.ways[k] if k < len(allowed.ways) else ()
        is_forced = bool(ways) and allowed.forced[k]
        if ways:
            ripe = waiting.ripened(ripe, k)
            ready = waiting.all_before(ripe, k) if is_forced else ripe
            for count, same in _by_left_out(ways) if ready else ():
                departure = k, ready, same, allowed.price(k), is_forced
                departing.setdefault(k + count + 1, []).append(departure)
        if is_forced:
            ripe = []
            waiting.clear()
        else:
            ripe = go_on(places, ripe, k, manner.slack)
        if k + 1 in departing:
            # Who plays all notes first: who leaves some out seldom comes as cheaply.
            waiting.land(departing.pop(k + 1)[::-1], k + 1)
        if len(ripe) > manner.most_states:
            is_cut = manner.slack > 0.0
            ripe = keep(ripe) if is_cut else _merge(ripe, manner.most_states)
    last = waiting.all_at_end(ripe)
    _, cost, chain, _ = min(last, key=itemgetter(1))
    bound = -INFINITE if is_cut else cost + places.going_on_before[-1]
    return bound, _unchain(chain)


def _by_left_out(ways: tuple[Way, ...]) -> list[tuple[int, tuple[Way, ...]]]:
    """Group the ways of a gap by how many notes they leave out, fewest first."""
    if not ways[-1].left_out:
        return [(0, ways)]
    by_count = groupby(ways, key=attrgetter("left_out"))
    return [(count, tuple(same)) for count, same in by_count]


def _unchain(chain: Chain | None) -> list[tuple[int, Way]]:
    """List breaths in order."""
    breaths = []
    while chain is not None:
        k, way, chain = chain
        breaths.append((k, way))
    return breaths[::-1]


def _merge(states: list[State], most_states: int) -> list[State]:
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
            merged[-1] = merged[-1][0], state[1], state[2], 0.0
        else:
            merged.append(state)
    return merged
