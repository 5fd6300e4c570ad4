"""Who breathed not long ago, and waits before the next breath.

Conventions
-----------
As in `breath_states`.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from math import ceil
from operator import itemgetter

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_states import (
    INFINITE,
    Group,
    SearchRound,
    State,
    keep,
    wait,
)
from coach.planning.breathing.search.breath_walk import cost_of_snatching
from coach.planning.breathing.search.landings import Departure, land
from coach.planning.breathing.ways.breath_ways import ROUNDING


class Waiting:
    """The groups that breathed not long ago.

    Who breathes now has to come cheaper than all who breathed before and have as much
    air or more: those may breathe again sooner, and never pay more.  A proof weighs
    all, to know closely whom each stands in for.

    Where need lets breaths follow each other sooner, a group may breathe at a price
    first, and some notes later for nothing: it joins twice, and who has paid by then
    is dropped for who has not.
    """

    def __init__(self, places: Places, manner: SearchRound) -> None:
        self.places, self.manner, self.slack = places, manner, manner.slack
        start: State = places.start_depth, 0.0, None, INFINITE
        self.soon: deque[Group] = deque([(0, [start], INFINITE)])
        self.snatching: deque[Group] = deque()
        half_steps = ceil(places.lungs.half * places.lungs.steps_count - ROUNDING)
        levels = 0 if manner.is_proof else places.lungs.full_steps + 1 - half_steps
        self.nobody = [INFINITE] * levels
        self.landed, self.least = 0, self.nobody

    def clear(self) -> None:
        """Let nobody wait any more."""
        self.soon.clear()
        self.snatching.clear()
        self.least = self.nobody

    def land(self, departures: Sequence[Departure], note: int) -> None:
        """Let those wait who come to a note after a breath."""
        ahead = self.ahead(note)
        self.soon.append(land(self.places, note, departures, ahead, self.manner))
        self.landed, self.least = note, ahead

    def ahead(self, note: int) -> list[float]:
        """Tell what each whole level of air from half on has cost who comes to a note.

        So full nobody has paid on the way there for a lack of air.
        """
        used, least = self.places.used_before, self.least
        gone = (used[note] - used[self.landed]) * self.places.lungs.steps_count
        steps = min(ceil(gone - ROUNDING), len(least))
        return least[steps:] + [INFINITE] * steps

    def ripened(self, ripe: list[State], k: int) -> list[State]:
        """Let the groups join that breathed long enough before the gap after a note."""
        places, joined, stood_for = self.places, list(ripe), []
        while self.snatching and self.snatching[0][0] <= places.rested_from[k]:
            joined += wait(places, self.snatching.popleft(), k, self.slack)
        while self.soon and self.soon[0][0] <= places.ripe_from[k]:
            group = self.soon.popleft()
            joined += self._ready(group, k)
            if group[2] < INFINITE:
                stood_for.append(group[2])
            if group[0] > places.rested_from[k]:
                self.snatching.append(group)
        if len(joined) == len(ripe) and not stood_for:
            return ripe
        # Of who has joined twice the cheaper comes first, and the other is dropped.
        joined.sort(key=itemgetter(0, 1) if places.snatched_cost else itemgetter(0))
        return keep(joined, self.slack, sorted(stood_for))

    def all_before(self, ripe: list[State], k: int) -> list[State]:
        """Give the states worth keeping of all that breathe at a gap, asked to."""
        states = [*ripe]
        for group in self.soon:
            states += self._ready(group, k)
        states.sort(key=itemgetter(0))
        return keep(states, self.slack)

    def all_at_end(self, ripe: list[State]) -> list[State]:
        """Give the states worth keeping of all that have played to the end."""
        states = [*ripe]
        for group in (*self.snatching, *self.soon):
            states += wait(self.places, group, len(self.places.notes), self.slack)
        states.sort(key=itemgetter(0))
        return keep(states, self.slack)

    def _ready(self, group: Group, k: int) -> list[State]:
        """Give the states of a group before a gap, with the price of snatching."""
        states = wait(self.places, group, k, self.slack)
        if not self.places.snatched_cost:
            return states
        price = cost_of_snatching(self.places, group[0], k)
        if not price:
            return states
        return [(at, cost + price, chain, lost) for at, cost, chain, lost in states]
