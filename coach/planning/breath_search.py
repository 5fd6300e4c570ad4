"""Find the cheapest breaths, and prove how good they are.

The search walks through the notes once and keeps, after each gap, the states worth
keeping: a level of air and what it has cost to get there.  More air is never worse,
so a state with less air and no less cost is dropped.

Where more states are left than `most_labels`, neighbours that differ least are
merged *in the player's favour*: the merged state has the air of the one and the
cost of the other.  The cost found is then a lower bound for every plan.  Its breaths
are played through with true air, which gives the plan's own cost; what lies between
the two is the proved gap.  Without a merge the plan is the best there is.

Notes
-----
Time grows with notes x states x ways.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter

from coach.planning.breath_places import Places, Way

Chain = tuple[int, Way, "Chain | None"]
"""A breath taken, by gap and way, and the ones before it."""

Label = tuple[float, float, "Chain | None"]
"""Air still lacking to full, cost so far, breaths so far."""


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
    most_labels: int,
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
    most_labels : int
        States kept at each gap; doubled in every further round.
    most_gap : float
        Good enough, as a share of the cost.
    most_rounds : int
        Rounds at most.

    Returns
    -------
    walk : Walk
        The best plan found.
    gap : float
        No plan is cheaper than ``walk.cost * (1 - gap)``.
    """
    best: Walk | None = None
    bound = 0.0
    for round_number in range(most_rounds):
        cost, chain = _search(places, ways, forced, most_labels << round_number)
        found = walk(places, _unchain(chain))
        bound = max(bound, cost)
        if best is None or found.cost < best.cost:
            best = found
        gap = _gap(best.cost, bound)
        if gap <= most_gap:
            break
    return best, gap


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
    most_labels: int,
) -> tuple[float, Chain | None]:
    """Walk through the notes once; give a lower bound and the breaths behind it."""
    costs = places.costs
    full, empty = places.full, costs.empty
    below, low, dry = full - costs.half, full - costs.low, full - costs.empty
    most_room = 1.0 - empty
    shift = 1.0 - full
    labels: list[Label] = [(0.0, 0.0, None)]
    last = len(places.used) - 1
    for k in range(last + 1):
        used, seconds = places.used[k], places.sounding_s[k]
        high = costs.high_weight if places.are_high[k] else 0.0
        fresh: list[Label] = []
        if k == last or not forced[k]:
            half_weight = costs.half_weight * seconds / 2
            low_weight = costs.low_weight * seconds
            for lack, cost, chain in labels:
                after = lack + used
                if after > below:
                    start = lack - below
                    if start > 0.0:
                        cost += half_weight * (start + after - below) + high * start
                    else:
                        cost += half_weight * (after - below)
                    if after > low:
                        cost += low_weight * (after - low)
                        if after > dry:
                            cost += costs.dry_weight * (after - dry)
                fresh.append((after, cost, chain))
        if k < last and ways[k]:
            for way in ways[k]:
                used, seconds, keeps = way.used, way.sounding_s, way.still_empty
                half_weight = costs.half_weight * seconds / 2
                low_weight = costs.low_weight * seconds
                best = 2.0
                for lack, cost, chain in reversed(labels):
                    after = lack + used
                    room = after + shift
                    if room > most_room:
                        room = most_room
                    filled = room * keeps - shift
                    if filled < 0.0:
                        filled = 0.0
                    if filled >= best:
                        continue
                    best = filled
                    cost += way.cost
                    if after > below:
                        start = lack - below
                        if start > 0.0:
                            cost += half_weight * (start + after - below) + high * start
                        else:
                            cost += half_weight * (after - below)
                        if after > low:
                            cost += low_weight * (after - low)
                            if after > dry:
                                cost += costs.dry_weight * (after - dry)
                    fresh.append((filled, cost, (k, way, chain)))
                    if filled == 0.0:
                        break
            fresh.sort(key=itemgetter(0))
        labels = _keep(fresh, most_labels)
    cheapest = min(labels, key=itemgetter(1))
    return cheapest[1], cheapest[2]


def _keep(fresh: list[Label], most_labels: int) -> list[Label]:
    """Drop what is no better than another; merge the most alike if too many."""
    kept: list[Label] = []
    best = float("inf")
    for label in fresh:
        cost = label[1]
        if cost < best:
            if kept and kept[-1][0] == label[0]:
                kept[-1] = label
            else:
                kept.append(label)
            best = cost
    if len(kept) > most_labels:
        return _merge(kept, most_labels)
    return kept


def _merge(kept: list[Label], most_labels: int) -> list[Label]:
    """Merge the neighbours that differ least, in the player's favour."""
    differences = [
        min(b[0] - a[0], a[1] - b[1]) for a, b in zip(kept, kept[1:], strict=False)
    ]
    limit = sorted(differences)[len(kept) - most_labels - 1]
    merged = [kept[0]]
    for label, difference in zip(kept[1:], differences, strict=True):
        if difference <= limit:
            merged[-1] = (merged[-1][0], label[1], label[2])
        else:
            merged.append(label)
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
    costs = places.costs
    taken = dict(breaths)
    air, cost = places.full, 0.0
    before, after = [], []
    for k, used in enumerate(places.used):
        way = taken.get(k)
        seconds = places.sounding_s[k] if way is None else way.sounding_s
        end = air - (used if way is None else way.used)
        cost += costs.of_note(air, end, seconds, is_high=places.are_high[k])
        before.append(air)
        after.append(end)
        air = end
        if way is not None:
            cost += way.cost
            start = max(end, costs.empty)
            air = max(start, min(places.full, 1.0 - (1.0 - start) * way.still_empty))
    return Walk(tuple(breaths), tuple(before), tuple(after), cost)
