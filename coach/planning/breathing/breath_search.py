"""Find the cheapest breaths, and what none undercut.

The search walks through the notes once and keeps, after each gap, the states worth
keeping: a level of air, and what it has cost to get there
(`coach.planning.breathing.breath_states`).  From one breath to the next something is
played: states that breathed not long ago wait before they may breathe again, and are
weighed against the others only then.  A breath for which notes are left out arrives at
the note after them.

Each breath must be worth taking, so who has too much air for it must not take it, and
there more air could be worse.  Hence three searches, of which the first is mostly
enough:

1. *Loose*: who is too full for a breath may let go what is too much.  So more air is
   never worse, and the cost found undercuts every plan.  Where no breath found is for
   nothing, nothing was let go, and no plan is cheaper.
2. *Strict*: such breaths are not taken; a state with less air and no less cost than
   another is dropped all the same.  By what the plan costs more than the loose one, it
   may miss the best.
3. *Wide*: strict, but a state is dropped only where it costs more by all that than one
   with more air.  A plan through it would be dearer than the strict one, since from the
   one with more air the loose cost cannot be undercut.  So the best plan stays.

Should there be more than `most_states`, the first two merge the neighbours that differ
least *in the player's favour*, and the cost found undercuts every plan all the more;
the third drops what it would have kept beyond need, and proves nothing then.

Conventions
-----------
As in `coach.planning.breathing.breath_states`.

Notes
-----
Time grows with notes x states x ways.
"""

from __future__ import annotations

from collections import defaultdict, deque
from itertools import groupby
from operator import attrgetter, itemgetter

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_states import (
    INFINITE,
    Chain,
    Group,
    Manner,
    State,
    breathe,
    go_on,
    keep,
    merge,
    wait,
)
from coach.planning.breathing.breath_walk import Walk, walk
from coach.planning.breathing.breath_ways import ROUNDING, Way
from coach.planning.breathing.choose_ways import Allowed

MORE_STATES = 4
"""Times as many states are kept in a further round."""


def find_breaths(places: Places, allowed: Allowed) -> Walk:
    """Find the cheapest breaths of which none off a rest is for nothing."""
    return _in_rounds(places, allowed)[0]


def least_cost(places: Places, allowed: Allowed) -> float:
    """Tell what no choice of breaths undercuts of which each is worth taking."""
    return _in_rounds(places, allowed)[1]


def share_above(cost: float, bound: float) -> float:
    """Tell how much cheaper any plan could be, as a share of the cost."""
    return max(0.0, (cost - bound) / cost) if cost > 0.0 else 0.0


def _in_rounds(places: Places, allowed: Allowed) -> tuple[Walk, float]:
    """Search loosely, and more closely until hardly anything could be cheaper.

    Gives the best plan found, and a lower bound on the cost of all.
    """
    costs = places.breather.costs
    most_states = costs.most_states_count
    bound, breaths = _search(places, allowed, Manner(most_states, is_loose=True))
    best = walk(places, breaths)
    if not _is_each_worth(places, allowed, best):
        _, breaths = _search(places, allowed, Manner(most_states))
        best = walk(places, breaths)
    for _ in range(costs.most_rounds_count - 1):
        if share_above(best.cost, bound) <= costs.most_gap_share:
            break
        most_states *= MORE_STATES
        wide = Manner(most_states, slack=best.cost - bound + ROUNDING)
        closer, breaths = _search(places, allowed, wide)
        best = min(best, walk(places, breaths), key=lambda plan: plan.cost)
        bound = max(bound, min(closer, best.cost))
    return best, bound


def _is_each_worth(places: Places, allowed: Allowed, found: Walk) -> bool:
    """Tell whether nobody breathes with too much air for it, unasked."""
    least = places.lungs.half + ROUNDING
    return all(
        found.air_after[k] <= least - way.worth_depth or allowed.forced[k]
        for k, way in found.breaths
    )


def _search(
    places: Places, allowed: Allowed, manner: Manner
) -> tuple[float, list[tuple[int, Way]]]:
    """Walk through the notes once; give a lower bound and the breaths behind it.

    `ripe` states have played long enough to breathe again.  Those that breathed not
    long ago wait, group by group; those that leave out notes arrive later.
    """
    ripe: list[State] = []
    waiting: deque[Group] = deque([(0, [(places.start_depth, 0.0, None, INFINITE)])])
    arriving: dict[int, list[Group]] = defaultdict(list)
    is_cut = False
    for k in range(len(places.notes)):
        ways = allowed.ways[k] if k < len(allowed.ways) else ()
        is_forced = bool(ways) and allowed.forced[k]
        if ways:
            ripe = _ripened(places, ripe, waiting, k, manner)
            ready = _all(places, ripe, waiting, k, manner) if is_forced else ripe
            for count, same in groupby(ways, key=attrgetter("left_out")):
                group = breathe(
                    places, ready, k, tuple(same), manner, is_free=is_forced
                )
                if group:
                    arriving[k + count].append((k + count + 1, group))
        if is_forced:
            ripe = []
            waiting.clear()
        else:
            ripe = go_on(places, ripe, k, manner.slack)
        waiting.extend(arriving.pop(k, ()))
        if len(ripe) > manner.most_states:
            is_cut = manner.slack > 0.0
            ripe = keep(ripe) if is_cut else merge(ripe, manner.most_states)
    last = _all(places, ripe, waiting, len(places.notes), manner)
    _, cost, chain, _ = min(last, key=itemgetter(1))
    bound = -INFINITE if is_cut else cost + places.going_on_before[-1]
    return bound, _unchain(chain)


def _unchain(chain: Chain | None) -> list[tuple[int, Way]]:
    """List breaths in order."""
    breaths = []
    while chain is not None:
        k, way, chain = chain
        breaths.append((k, way))
    return breaths[::-1]


def _ripened(
    places: Places, ripe: list[State], waiting: deque[Group], k: int, manner: Manner
) -> list[State]:
    """Let the groups join that breathed long enough before the gap after a note."""
    joined = list(ripe)
    while waiting and waiting[0][0] <= places.ripe_from[k]:
        joined += wait(places, waiting.popleft(), k, manner.slack)
    if len(joined) == len(ripe):
        return ripe
    joined.sort(key=itemgetter(0))
    return keep(joined, manner.slack)


def _all(
    places: Places, ripe: list[State], waiting: deque[Group], k: int, manner: Manner
) -> list[State]:
    """Give the states worth keeping of all, however long ago they breathed."""
    states = [*ripe]
    for group in waiting:
        states += wait(places, group, k, manner.slack)
    states.sort(key=itemgetter(0))
    return keep(states, manner.slack)
