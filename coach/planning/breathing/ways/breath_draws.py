"""Breaths between two notes, whatever the music there: how long, and what they give.

A breath uses the written rest as it stands, or takes time from the note before.  It is
drawn calmly or as a gasp, which fills faster and is heard.

Conventions
-----------
Times are in seconds of run time, air is a fraction of capacity.
"""

from __future__ import annotations

from typing import NamedTuple

from coach.planning.air.air import still_empty, time_to_fill
from coach.planning.breathing.passage import Breather

ANY_DEPTH = -1.0
"""Above every level of air that there is."""

SAME_TIME_DIGITS = 9
"""Gaps whose times are equal to the nanosecond have breaths of the same lengths."""


class Timing(NamedTuple):
    """All that the lengths of breaths in a gap depend on, in seconds."""

    length_s: float
    """Written length of the note before."""

    sounding_s: float
    """How long it sounds in that."""

    rest_s: float
    """Written rest after it; 0 where the notes touch."""

    least_heard_s: float
    """How long it is heard at least, should it give time."""

    worth_share: float
    """What a breath that fills the lungs gives at least, as a fraction of capacity."""

    def rounded(self) -> Timing:
        """Give it to the nanosecond, so that times that are alike are the same."""
        length_s, sounding_s, rest_s = (round(s, SAME_TIME_DIGITS) for s in self[:3])
        return Timing(
            length_s, sounding_s, rest_s, self.least_heard_s, self.worth_share
        )


class Draw(NamedTuple):
    """A breath of one length, whatever the place."""

    gap_s: float
    """Time to breathe."""

    taken_s: float
    """Taken from the written length of the note before; 0 on a rest."""

    sounding_s: float
    """How long the note before now sounds."""

    cost: float
    """What it costs the music, the place left aside."""

    still_empty: float
    """Share of the empty room that stays empty after it."""

    worth_depth: float
    """Depth below half from which on it gives enough to be worth taking."""

    is_gasp: bool
    """Drawn fast."""

    is_on_rest: bool
    """The written rest alone is time enough."""


def list_draws(timing: Timing, breather: Breather) -> tuple[Draw, ...]:
    """List the lengths of breath with all notes played, shortest first."""
    costs, rest_s = breather.costs, timing.rest_s
    shortest_s = shortest_breath_s(breather)
    draws = []
    if rest_s >= shortest_s:
        draws += _calm_and_gasp(timing, rest_s, breather)
    if rest_s < costs.enough_rest_s:
        most_s = min(rest_s + spared_s(timing, breather), costs.longest_taken_s)
        least_s = max(rest_s, shortest_s)
        step_s = (most_s - least_s) / costs.most_ways_count
        if step_s > 0.0:
            for k in range(1, costs.most_ways_count + 1):
                draws += _calm_and_gasp(timing, least_s + k * step_s, breather)
    return tuple(
        draw for draw in draws if not any(_undercuts(other, draw) for other in draws)
    )


Freed = dict[tuple[Timing, float], tuple[Draw, ...]]
"""Breaths by the time of the gap and the time that notes left out make for them."""


def draws_without(
    timing: Timing, freed_s: float, breather: Breather, known: Freed
) -> tuple[Draw, ...]:
    """List the gasps that leaving out notes makes time for, shortest first.

    Parameters
    ----------
    freed_s : float
        From the note before's written end to the next note that is played.
    known : dict
        Those of other gaps of the part, which are added to.
    """
    freed_s = round(freed_s, SAME_TIME_DIGITS)
    if (timing, freed_s) not in known:
        most_s = freed_s + spared_s(timing, breather)
        shortest_s = shortest_breath_s(breather)
        known[timing, freed_s] = tuple(
            weigh_draw(timing, gap_s, gap_s - freed_s, breather, is_gasp=True)
            for gap_s in sorted({max(freed_s, shortest_s), most_s})
            if shortest_s <= gap_s <= most_s
        )
    return known[timing, freed_s]


def _undercuts(draw: Draw, other: Draw) -> bool:
    """Tell whether a breath fills more than another that takes longer and costs more.

    A gasp may do so beside a longer calm breath: then nobody takes that one.
    """
    return (
        draw.gap_s < other.gap_s
        and draw.cost <= other.cost
        and draw.still_empty <= other.still_empty
    )


def spared_s(timing: Timing, breather: Breather) -> float:
    """Tell how much the note before can spare and still be heard, in seconds."""
    length_s, most_share = timing.length_s, breather.costs.most_taken_share
    return max(0.0, min(length_s * most_share, length_s - timing.least_heard_s))


def _calm_and_gasp(timing: Timing, gap_s: float, breather: Breather) -> list[Draw]:
    """Weigh a breath of one length, calm and, where that gives more, as a gasp."""
    air, taken_s = breather.air, gap_s - timing.rest_s
    calm = weigh_draw(timing, gap_s, taken_s, breather, is_gasp=False)
    is_filling = calm.still_empty * (1.0 - air.empty_share) > 1.0 - air.full_share
    draws = [calm] if calm.worth_depth <= air.half_share - air.empty_share else []
    if is_filling:
        draws.append(weigh_draw(timing, gap_s, taken_s, breather, is_gasp=True))
    return draws


def weigh_draw(
    timing: Timing, gap_s: float, taken_s: float, breather: Breather, *, is_gasp: bool
) -> Draw:
    """Weigh a breath of one length; what is not taken from the note stands on rests."""
    costs, air = breather.costs, breather.air
    whole_s = plays_s = timing.sounding_s
    cost = costs.of_gasp(gap_s) if is_gasp else 0.0
    is_on_rest = gap_s <= timing.rest_s
    if not is_on_rest:
        plays_s = min(whole_s, timing.length_s - max(taken_s, 0.0))
        cost += costs.breath_weight + costs.of_taken(whole_s - plays_s, whole_s)
    keeps = still_empty(gap_s, air, is_gasp=is_gasp)
    is_clear_rest = is_on_rest and timing.rest_s >= costs.enough_rest_s
    most = air.full_share - timing.worth_share, 1.0 - costs.worth_share / (1.0 - keeps)
    return Draw(
        gap_s=gap_s,
        taken_s=max(taken_s, 0.0),
        sounding_s=plays_s,
        cost=cost,
        still_empty=keeps,
        worth_depth=ANY_DEPTH if is_clear_rest else air.half_share - min(most),
        is_gasp=is_gasp,
        is_on_rest=is_on_rest,
    )


def shortest_breath_s(breather: Breather) -> float:
    """Tell from which length on a gasp at half is worth taking, in seconds."""
    costs, air = breather.costs, breather.air
    return time_to_fill(1.0 - costs.worth_share / (1.0 - air.half_share), air)
