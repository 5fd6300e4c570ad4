"""Which bars are clicked: the count-in, the lead-in, and what is played.

Conventions
-----------
A pickup is the end of a bar.  It is counted in with whole bars and then with what
its own bar holds before it, so that a count-in is never shorter than was asked for
and every accent falls where the page has it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from coach.rehearsal.click.metre_beats import bar_starts_at
from coach.score.metre import Metre
from coach.score.phrase import Bar, Room
from coach.score.tempo import Beats, beats

BarRole = Literal["count-in", "lead-in", "played"]


@dataclass(frozen=True, slots=True)
class ClickedBar:
    """A bar that is clicked, or the piece of a bar that is."""

    zero: Beats
    """Where the full bar would begin, in quarter notes of the part."""

    first: Beats
    """From where in the full bar it is clicked."""

    last: Beats
    """Up to where in the full bar, this left out; as written, without its rooms."""

    metre: Metre
    """Its metre."""

    number: int
    """Its number on the page; 0 or less in the count-in."""

    role: BarRole
    """What it is for."""

    index: int
    """Which bar of those played, from 0; below 0 for a pickup and before it."""

    rooms: tuple[Room, ...] = ()
    """Rests put in to breathe, by where they are in the full bar as written."""


def clicked_bars(
    bars: Sequence[Bar], count_in_bars: int, lead_in_bars: int
) -> tuple[ClickedBar, ...]:
    """List all bars to click, in order.

    Parameters
    ----------
    bars : sequence of Bar
        What is played; at least one.
    count_in_bars : int
        Whole bars counted first, in the first bar's metre.
    lead_in_bars : int
        Whole bars of ordinary click between the count-in and the start.
    """
    starts = bar_starts_at(bars)
    has_pickup = starts[0] > 0
    played = tuple(
        ClickedBar(
            zero=Beats(bar.onset - start),
            first=start,
            last=Beats(start + bar.written_length),
            metre=bar.metre,
            number=bar.number,
            role="played",
            index=k - has_pickup,
            rooms=tuple(Room(Beats(start + r.at), r.length) for r in bar.rooms),
        )
        for k, (bar, start) in enumerate(zip(bars, starts, strict=True))
    )
    return (*_before(played[0], count_in_bars, lead_in_bars), *played)


def _before(
    opening: ClickedBar, count_in_bars: int, lead_in_bars: int
) -> Iterator[ClickedBar]:
    """Count and lead into the opening bar, and up to its pickup."""
    length = opening.metre.length
    lead_number = opening.number - lead_in_bars
    count_number = min(1, lead_number)

    def whole_bar(bars_ahead: int, number: int, role: BarRole) -> ClickedBar:
        zero = Beats(opening.zero - bars_ahead * length)
        return ClickedBar(
            zero, beats(0), length, opening.metre, number, role, index=-bars_ahead - 1
        )

    for k in range(count_in_bars, 0, -1):
        yield whole_bar(lead_in_bars + k, count_number - k, "count-in")
    for k in range(lead_in_bars, 0, -1):
        yield whole_bar(k, opening.number - k, "lead-in")
    if opening.first > 0 and count_in_bars + lead_in_bars > 0:
        role: BarRole = "lead-in" if lead_in_bars else "count-in"
        yield ClickedBar(
            opening.zero,
            beats(0),
            opening.first,
            opening.metre,
            opening.number,
            role,
            index=-1,
        )
