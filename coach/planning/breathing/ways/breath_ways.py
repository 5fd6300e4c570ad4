"""Every way to breathe between two notes.

A way uses the written rest as it stands, or takes time from the note before, or
leaves out the weak short notes that follow it; the note after never moves.  It is
drawn calmly or as a gasp, which fills faster and is heard.

Conventions
-----------
Times are in seconds of run time, air is a fraction of capacity.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import NamedTuple

from coach.planning.air.air import NoteAir
from coach.planning.breathing.passage import Breather
from coach.planning.breathing.ways.breath_draws import (
    Draw,
    Timing,
    list_draws,
    weigh_draw,
)
from coach.planning.breathing.ways.leaving_out import FewerNotes

ROUNDING = 1e-9
"""Far below any time or share of air that matters, far above what floats lose."""

EVERY_NOTE = FewerNotes(0, 0.0)


class Way(NamedTuple):
    """One way to breathe in a gap; a tuple, since a plan makes thousands."""

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


_WAY = partial(tuple.__new__, Way)
"""Makes a way of all its fields in order, in a third of the time."""


class Gap(NamedTuple):
    """What all ways to breathe in one gap have in common."""

    timing: Timing
    """Its lengths to the nanosecond, and what is worth it there."""

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

    ends_line: bool
    """A slow line likely ends here."""

    is_glissando: bool = False
    """A glissando leads through it: no breath is taken in it."""


def list_ways(
    gaps: Sequence[Gap], airs: Sequence[NoteAir], breather: Breather
) -> tuple[tuple[Way, ...], ...]:
    """List for each gap the ways to breathe with all notes played, shortest first.

    Parameters
    ----------
    airs : sequence of NoteAir
        How each note uses air.
    """
    known: dict[Timing, tuple[Draw, ...]] = {}
    ways = []
    for gap, note in zip(gaps, airs, strict=False):
        if gap.timing not in known:
            known[gap.timing] = list_draws(gap.timing, breather)
        draws = () if gap.is_glissando else known[gap.timing]
        ways.append(place_draws(gap, note, draws, EVERY_NOTE, breather))
    return tuple(ways)


def whole_way(
    gap: Gap, note: NoteAir, freed_s: float, fewer: FewerNotes, breather: Breather
) -> Way:
    """Give the longest gasp in a gap, however little it gives."""
    taken_s = gap.length_s * breather.costs.most_taken_share
    gap_s = freed_s + taken_s
    draw = weigh_draw(gap.timing, gap_s, taken_s, breather, is_gasp=True)
    return place_draws(gap, note, (draw,), fewer, breather)[0]


def place_draws(
    gap: Gap,
    note: NoteAir,
    draws: Sequence[Draw],
    fewer: FewerNotes,
    breather: Breather,
) -> tuple[Way, ...]:
    """Put breaths into a gap: what each costs there, and the air of the note before.

    Parameters
    ----------
    note : NoteAir
        How the note before uses air.
    fewer : FewerNotes
        Which notes are left out, and what that costs the music.
    """
    if not draws:
        return ()
    capacity_l, flow_lps = breather.player.capacity_l, note.steady_lps
    on_rest = gap.place_cost + fewer.cost
    off_rest = on_rest + breather.costs.off_rest_weight * (1.0 - gap.phrase_end)
    ways = []
    for gap_s, taken_s, sounding_s, cost, keeps, worth, is_gasp, is_on_rest in draws:
        used_l = flow_lps * sounding_s if flow_lps else note.used_l(sounding_s)
        whole_cost = cost + (on_rest if is_on_rest else off_rest)
        in_order = (
            gap_s,
            taken_s,
            whole_cost,
            used_l / capacity_l,
            sounding_s,
            keeps,
            worth,
            is_gasp,
            fewer.count,
            is_on_rest,
        )
        ways.append(_WAY(in_order))
    return tuple(ways)
