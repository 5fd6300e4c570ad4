"""Every way to breathe between two notes.

A way uses the written rest as it stands, or takes time from the note before, or
leaves out the weak short notes that follow it; the note after never moves.  It is
drawn calmly or as a gasp, which fills faster and is heard.

Conventions
-----------
Times are in seconds of run time, air is a fraction of capacity.
"""

from __future__ import annotations

from dataclasses import dataclass

from coach.planning.air.air import NoteAir, still_empty, time_to_fill
from coach.planning.breathing.leaving_out import FewerNotes
from coach.planning.breathing.passage import Breather

ROUNDING = 1e-9
"""Far below any time or share of air that matters, far above what floats lose."""

ANY_DEPTH = -1.0
"""Above every level of air that there is."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to breathe in a gap."""

    gap_s: float
    """Time to breathe."""

    taken_s: float
    """Taken from the written length of the note before; 0 on a rest."""

    cost: float
    """What it costs the music, place and all."""

    used: float
    """Air that the note before now uses, as a fraction of capacity."""

    sounding_s: float
    """How long the note before now sounds."""

    still_empty: float
    """Share of the empty room that stays empty after it."""

    worth_depth: float
    """Depth below half from which on it gives enough to be worth taking."""

    is_gasp: bool = False
    """Drawn fast."""

    left_out: int = 0
    """Notes that are left out after the note before."""

    is_on_rest: bool = False
    """The written rest alone is time enough."""


@dataclass(frozen=True, slots=True)
class Gap:
    """What all ways to breathe in one gap have in common."""

    note: NoteAir
    """How the note before uses air."""

    length_s: float
    """Written length of the note before."""

    rest_s: float
    """Written rest; 0 where the notes touch."""

    place_cost: float
    """What a breath here costs the music, however long."""

    phrase_end: float
    """How likely a phrase ends here, 0 to 1."""

    going_on_cost: float
    """What it costs to play on without a breath: more than 0 at a rest or an end."""


def ways_in(gap: Gap, breather: Breather) -> tuple[Way, ...]:
    """List the ways to breathe in a gap with all notes played, shortest first."""
    costs = breather.costs
    rest_s = gap.rest_s
    shortest_s = shortest_breath_s(breather)
    ways = []
    if rest_s >= shortest_s:
        ways += _drawn(gap, rest_s, breather)
    if rest_s < costs.enough_rest_s:
        most_s = min(rest_s + _spared_s(gap, breather), costs.longest_taken_s)
        least_s = max(rest_s, shortest_s)
        step_s = (most_s - least_s) / costs.most_ways_count
        if step_s > 0.0:
            for k in range(1, costs.most_ways_count + 1):
                ways += _drawn(gap, least_s + k * step_s, breather)
    return tuple(ways)


def ways_without(
    gap: Gap, freed_s: float, fewer: FewerNotes, breather: Breather
) -> tuple[Way, ...]:
    """List the gasps that leaving out notes makes time for, shortest first.

    Parameters
    ----------
    gap : Gap
        Between the note before and the first that is left out.
    freed_s : float
        From the note before's written end to the next note that is played.
    fewer : FewerNotes
        How many notes, and what that costs the music.
    """
    most_s = freed_s + _spared_s(gap, breather)
    shortest_s = shortest_breath_s(breather)
    lengths_s = {max(freed_s, shortest_s), most_s}
    return tuple(
        _way(gap, gap_s, gap_s - freed_s, fewer, breather, is_gasp=True)
        for gap_s in sorted(lengths_s)
        if shortest_s <= gap_s <= most_s
    )


def whole_way(gap: Gap, freed_s: float, fewer: FewerNotes, breather: Breather) -> Way:
    """Give the longest gasp in a gap, however little it gives."""
    most_s = freed_s + gap.length_s * breather.costs.most_taken_share
    return _way(gap, most_s, most_s - freed_s, fewer, breather, is_gasp=True)


def tight_ways(gap: Gap, breather: Breather) -> tuple[Way, ...]:
    """Give the gasp that swallows the note before; none where even that is too short.

    For a breath that is asked for, or was really taken.
    """
    way = whole_way(gap, gap.rest_s, EVERY_NOTE, breather)
    return (way,) if way.gap_s >= shortest_breath_s(breather) else ()


def shortest_breath_s(breather: Breather) -> float:
    """Tell from which length on a gasp at half is worth taking, in seconds."""
    costs, air = breather.costs, breather.air
    kept = 1.0 - costs.worth_share / (1.0 - air.half_share)
    return time_to_fill(kept, air)


def _spared_s(gap: Gap, breather: Breather) -> float:
    """Tell how much the note before can spare and still be heard, in seconds."""
    costs = breather.costs
    heard_s = gap.length_s - costs.least_heard_s
    return max(0.0, min(gap.length_s * costs.most_taken_share, heard_s))


EVERY_NOTE = FewerNotes(0, 0.0)


def _drawn(gap: Gap, gap_s: float, breather: Breather) -> list[Way]:
    """Weigh a breath of one length, calm and, where that gives more, as a gasp."""
    taken_s = gap_s - gap.rest_s
    calm = _way(gap, gap_s, taken_s, EVERY_NOTE, breather, is_gasp=False)
    air = breather.air
    is_filling = calm.still_empty * (1.0 - air.empty_share) > 1.0 - air.full_share
    ways = [calm] if calm.worth_depth <= air.half_share - air.empty_share else []
    if is_filling:
        ways.append(_way(gap, gap_s, taken_s, EVERY_NOTE, breather, is_gasp=True))
    return ways


def _way(
    gap: Gap,
    gap_s: float,
    taken_s: float,
    fewer: FewerNotes,
    breather: Breather,
    *,
    is_gasp: bool,
) -> Way:
    """Weigh a breath of one length."""
    costs, air = breather.costs, breather.air
    whole_s = plays_s = gap.note.sounding_s
    cost = gap.place_cost + fewer.cost + (costs.gasp_weight if is_gasp else 0.0)
    is_on_rest = taken_s <= 0.0 and not fewer.count
    if not is_on_rest:
        plays_s = min(whole_s, gap.length_s - max(taken_s, 0.0))
        lost_s = whole_s - plays_s
        cost += costs.breath_weight
        cost += costs.off_rest_weight * (1.0 - gap.phrase_end)
        cost += costs.taken_s_weight * lost_s
        cost += costs.taken_weight * (lost_s / whole_s) ** 2
    keeps = still_empty(gap_s, air, is_gasp=is_gasp)
    worth = costs.worth_share
    return Way(
        gap_s=gap_s,
        taken_s=max(taken_s, 0.0),
        cost=cost,
        used=gap.note.used_l(plays_s) / breather.player.capacity_l,
        sounding_s=plays_s,
        still_empty=keeps,
        worth_depth=ANY_DEPTH
        if is_on_rest
        else air.half_share - min(air.full_share - worth, 1.0 - worth / (1.0 - keeps)),
        is_gasp=is_gasp,
        left_out=fewer.count,
        is_on_rest=is_on_rest,
    )
