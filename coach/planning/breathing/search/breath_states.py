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
from collections.abc import Sequence
from dataclasses import dataclass

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.ways.breath_ways import Way

Chain = tuple[int, Way, "Chain | None"]
"""A breath taken, by gap and way, and the ones before it."""

State = tuple[float, float, "Chain | None", float]
"""Depth less all air used so far, cost less all going on so far, breaths so far; and
by how much each state with less air that was dropped for it costs more at least."""

Group = tuple[int, list[State], float]
"""The note after a breath, the states that took it, and what the cheapest of those cost
that others stand in for who came there earlier."""

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
    following, states, _ = group
    in_top_half = bisect_left(states, (-places.used_before[k],))
    below = states[in_top_half:]
    if below:
        extra = places.sums.of_each([state[0] for state in below], following, k)
        states = _paid(states, in_top_half, extra, slack)
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
    extra = []
    for at, _, _, _ in states[in_top_half:]:
        before, after = at + start, at + end
        if after > low:
            extra.append(costs.of_note(before, after, seconds, high))
        elif before > 0.0:
            extra.append(half * (before + after) + high * before)
        else:
            extra.append(half * after)
    return _paid(states, in_top_half, extra, slack)


def _paid(
    states: list[State], in_top_half: int, extra: Sequence[float], slack: float
) -> list[State]:
    """Have those below half pay what it costs them; keep the states worth keeping."""
    kept = states[:in_top_half]
    least = _least(kept, slack)
    below = states[in_top_half:]
    for (at, cost, chain, lost), more in zip(below, extra, strict=True):
        total = cost + more
        if total < least + slack:
            kept.append((at, total, chain, lost))
            if total < least:
                least = total
        else:
            lose(kept, total)
    return kept


def _least(kept: list[State], slack: float) -> float:
    """Tell what the cheapest costs of states worth keeping: without slack, the last."""
    if not kept:
        return INFINITE
    return min([state[1] for state in kept]) if slack else kept[-1][1]


def lose(kept: list[State], cost: float) -> None:
    """Note down what a state costs that is dropped for the last one kept."""
    at, kept_cost, chain, lost = kept[-1]
    if cost - kept_cost < lost:
        kept[-1] = at, kept_cost, chain, cost - kept_cost


def keep(
    states: list[State], slack: float = 0.0, stood_for: Sequence[float] = ()
) -> list[State]:
    """Drop every state that has no more air and costs no less than another.

    With some slack only those that cost so much more.  The fuller ones come first.

    Parameters
    ----------
    stood_for : sequence of float
        What others cost that were dropped for any of these before, the dearest last.
    """
    kept: list[State] = []
    least = cheapest_lost = INFINITE
    earlier = [-INFINITE, *stood_for]
    dearest = earlier.pop()
    for state in states:
        at, cost, chain, lost = state
        if cost < least + slack:
            if cost < least:
                least = cost
            while cost <= dearest:
                cheapest_lost = min(cheapest_lost, dearest)
                dearest = earlier.pop()
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
