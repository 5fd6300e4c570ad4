"""Find the cheapest breaths, and what no breaths undercut.

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

The breaths found are each worth taking, so a state with too much air for a way to
breathe does not take it.  There more air can be worse, and what was dropped for it is
not proved to be needless; so the proof is a search of its own, for what no plan at all
undercuts, and is made where it is asked for (`coach.planning.breathing.sure_breaths`).

Long, since the search is one walk.

Conventions
-----------
Air is counted as *depth*: how far below half it is, as a fraction of capacity;
negative in the top half.  States are kept with the depth less all air used since the
start of the part, and with the cost less all that going on without a breath has cost
since: so a note in the top half with no breath after it leaves them as they are.

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
"""Depth less all air used so far, cost less all going on so far, breaths so far."""

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


def find_breaths(places: Places, allowed: Allowed) -> Walk:
    """Find the cheapest breaths of which none off a rest is for nothing."""
    return _in_rounds(places, allowed, is_each_worth=True)[0]


def least_cost(places: Places, allowed: Allowed) -> float:
    """Tell what no choice of breaths undercuts, those for nothing taken in."""
    return _in_rounds(places, allowed, is_each_worth=False)[1]


def _in_rounds(
    places: Places, allowed: Allowed, *, is_each_worth: bool
) -> tuple[Walk, float]:
    """Search with more and more states until merging them loses next to nothing.

    Gives the best plan found, and a lower bound on the cost of all that were weighed.
    """
    costs = places.breather.costs
    most_states = costs.most_states_count
    bound, chain = _search(places, allowed, most_states, is_each_worth=is_each_worth)
    best = walk(places, _unchain(chain))
    for _ in range(costs.most_rounds_count - 1):
        if share_above(best.cost, bound) <= costs.most_gap_share:
            break
        most_states *= MORE_STATES
        closer, chain = _search(
            places, allowed, most_states, is_each_worth=is_each_worth
        )
        bound = max(bound, closer)
        best = min(best, walk(places, _unchain(chain)), key=lambda plan: plan.cost)
    return best, bound


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
    places: Places, allowed: Allowed, most_states: int, *, is_each_worth: bool
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
            ripe = _ripened(places, ripe, waiting, k)
        is_forced = bool(ways) and allowed.forced[k]
        if ways:
            ready = _all(places, ripe, waiting, k) if is_forced else ripe
            is_free = is_forced or not is_each_worth
            for count, same in groupby(ways, key=attrgetter("left_out")):
                group = _breathe(places, ready, k, tuple(same), is_free=is_free)
                if group:
                    arriving[k + count].append((k + count + 1, group))
        if is_forced:
            ripe = []
            waiting.clear()
        else:
            ripe = _go_on(places, ripe, k)
        waiting.extend(arriving.pop(k, ()))
        if len(ripe) > most_states:
            ripe = _merged(ripe, most_states)
    last = _all(places, ripe, waiting, len(places.notes))
    cheapest = min(last, key=itemgetter(1))
    return cheapest[1] + places.going_on_before[-1], cheapest[2]


def _ripened(
    places: Places, ripe: list[State], waiting: deque[Group], k: int
) -> list[State]:
    """Let the groups join that breathed long enough before the gap after a note."""
    joined = list(ripe)
    while waiting and waiting[0][0] <= places.ripe_from[k]:
        joined += _waited(places, waiting.popleft(), k)
    if len(joined) == len(ripe):
        return ripe
    joined.sort(key=itemgetter(0))
    return _kept(joined)


def _all(
    places: Places, ripe: list[State], waiting: deque[Group], k: int
) -> list[State]:
    """Give the states worth keeping of all, however long ago they breathed."""
    states = [*ripe]
    for group in waiting:
        states += _waited(places, group, k)
    states.sort(key=itemgetter(0))
    return _kept(states)


def _waited(places: Places, group: Group, k: int) -> list[State]:
    """Play the notes from a group's breath up to another note.

    Who is in the top half at the end was so all along, and has paid nothing.
    """
    following, states = group
    in_top_half = bisect_left(states, (-places.used_before[k],))
    below = states[in_top_half:]
    if not below:
        return states
    first_paid = bisect_left(places.used_before, -below[-1][0], following + 1)
    for note in range(first_paid - 1, k):
        below = _go_on(places, below, note)
    return states[:in_top_half] + below


def _go_on(places: Places, states: list[State], k: int) -> list[State]:
    """Play a whole note with no breath after it; keep the states worth keeping."""
    note, costs = places.notes[k], places.costs
    start, end = places.used_before[k], places.used_before[k + 1]
    seconds, high, low = note.sounding_s, note.high, costs.low_depth
    # Written out as in AirCosts.of_note: most of the search's time is spent here.
    # The mean of both depths, weighed over the seconds: a trapezium.
    half = costs.half_weight * seconds / 2
    # Who ends the note in the top half pays nothing; states stand in order of depth.
    in_top_half = bisect_left(states, (-end,))
    if in_top_half == len(states):
        return states
    kept = states[:in_top_half]
    least = kept[-1][1] if kept else INFINITE
    for at, cost, chain in states[in_top_half:]:
        before, after = at + start, at + end
        if after > low:
            more = costs.of_note(before, after, seconds, high)
        elif before > 0.0:
            more = half * (before + after) + high * before
        else:
            more = half * after
        if cost + more < least:
            least = cost + more
            kept.append((at, least, chain))
    return kept


def _breathe(  # noqa: C901 (one loop: most of the search's time is spent in it)
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
    start, arriving = places.used_before[k], k + 1 + ways[0].left_out
    room, steps = 1.0 - lungs.half, lungs.steps_count
    empty, low, half_weight = lungs.empty_depth, costs.low_depth, costs.half_weight / 2
    above_half = bisect_left(states, (-places.used_before[k + 1],))
    # The cheapest state of each level first: the deepest.
    top, below = states[:above_half][::-1], states[above_half:][::-1]
    least = [INFINITE] * (steps + 1)
    taken: list[tuple[Way, Chain | None] | None] = [None] * (steps + 1)
    for way in ways:
        _, _, price, used, sounding_s, keeps, worth_depth, _, _, _ = way
        used += start
        spared = -INFINITE if is_free else worth_depth - used
        half = half_weight * sounding_s
        # Of the empty room a breath leaves `keeps`; it is `room` at half and grows with
        # the depth, so the level in whole steps is `most - each * depth`.
        most, each = (1.0 - room * keeps) * steps + ROUNDING, keeps * steps
        # Written out as in AirCosts.of_note and Filling.breathe: most of the search's
        # time is spent here.
        for at, cost, chain in below:
            if at < spared:
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
            level = int(most - each * (after if after < empty else empty))
            if total < least[level]:
                least[level] = total
                taken[level] = way, chain
        most -= each * used
        for at, cost, chain in top:
            if at < spared:
                break
            total = cost + price
            level = int(most - each * at)
            if total < least[level]:
                least[level] = total
                taken[level] = way, chain
    return _levelled(places, k, arriving, least, taken)


def _levelled(
    places: Places,
    k: int,
    arriving: int,
    least: list[float],
    taken: list[tuple[Way, Chain | None] | None],
) -> list[State]:
    """Give the states after a breath that are worth keeping, the fullest first.

    `least` and `taken` say for each whole level of air what it costs to reach it, and
    how; what would be more than full counts as full.
    """
    lungs = places.lungs
    steps, full = lungs.steps_count, lungs.full_steps
    fullest = min(range(full, steps + 1), key=least.__getitem__)
    least[full], taken[full] = least[fullest], taken[fullest]
    depth = lungs.half - places.used_before[arriving]
    gone_on = places.going_on_before[k] - places.going_on_before[arriving]
    kept: list[State] = []
    cheapest, no_less = INFINITE, min(least[: full + 1])
    # From full to empty, so that the depths rise as in every list of states.
    reached = full
    while cheapest > no_less:
        how = taken[reached]
        if how is not None and least[reached] < cheapest:
            cheapest = least[reached]
            kept.append((depth - reached / steps, cheapest + gone_on, (k, *how)))
        reached -= 1
    return kept


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
