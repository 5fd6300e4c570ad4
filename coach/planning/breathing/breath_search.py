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
    return cheapest[1] + places.going_on_before[-1], cheapest[2]


def _let_wait(places: Places, waiting: deque[Group], k: int) -> None:
    """Play a whole note in every group that waits; in the top half it costs nothing."""
    depth = places.used_before[k + 1]
    for i, (following, group) in enumerate(waiting):
        if group[-1][0] + depth > 0.0:
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
    start, arriving = places.used_before[k], k + 1 + ways[0].left_out
    room, steps = 1.0 - lungs.half, lungs.steps_count
    empty, low = lungs.empty_depth, costs.low_depth
    above_half = bisect_left(states, (-places.used_before[k + 1],))
    top, below = states[:above_half][::-1], states[above_half:][::-1]
    least = [INFINITE] * (steps + 1)
    taken: list[tuple[Way, Chain | None] | None] = [None] * (steps + 1)
    for way in ways:
        price, keeps, used = way.cost, way.still_empty, start + way.used
        if not is_free:
            spared = bisect_left(states, (way.worth_depth - used,))
            below = states[max(spared, above_half) :][::-1]
            top = states[spared:above_half][::-1]
        half = costs.half_weight * way.sounding_s / 2
        # Of the empty room a breath leaves `keeps`; it is `room` at half and grows with
        # the depth, so the level in whole steps is `most - each * depth`.
        most, each = (1.0 - room * keeps) * steps + ROUNDING, keeps * steps
        # Written out as in AirCosts.of_note and Filling.breathe, the cheapest state of
        # each level first: most of the search's time is spent here.
        for at, cost, chain in below:
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
            if total < least[level]:
                least[level] = total
                taken[level] = way, chain
        most -= each * used
        for at, cost, chain in top:
            level = int(most - each * at)
            total = cost + price
            if total < least[level]:
                least[level] = total
                taken[level] = way, chain
    return _levelled(places, k, arriving, least, taken)


def _levelled(
    places: Places,
    k: int,
    arriving: int,
    least: list[float],
    taken: Sequence[tuple[Way, Chain | None] | None],
) -> list[State]:
    """Give the states after a breath that are worth keeping, the fullest first.

    `least` and `taken` say for each whole level of air what it costs to reach it, and
    how; what would be more than full counts as full.
    """
    lungs = places.lungs
    steps, full = lungs.steps_count, lungs.full_steps
    fullest = min(range(full, steps + 1), key=least.__getitem__)
    depth = lungs.half - places.used_before[arriving]
    gone_on = places.going_on_before[k] - places.going_on_before[arriving]
    kept: list[State] = []
    cheapest = INFINITE
    # From full to empty, so that the depths rise as in every list of states.
    for reached in (fullest, *range(full - 1, -1, -1)):
        how = taken[reached]
        if how is not None and least[reached] < cheapest:
            cheapest = least[reached]
            at = depth - min(reached, full) / steps
            kept.append((at, cheapest + gone_on, (k, *how)))
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
