"""Find the pickup of a MIDI file, which can only write it as a short bar of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from coach.score.bar_numbers import number_bars
from coach.score.page import PageBar


def lead_in(bars: Sequence[PageBar]) -> tuple[tuple[PageBar, ...], str]:
    """Take a first bar of a shorter metre, for that bar alone, as a pickup.

    Returns
    -------
    tuple of PageBar
        The bars; after a pickup the next one is bar 1.
    str
        What the player is told of it; empty where there is none.
    """
    first, *others = bars
    full = others[0].metre.length if others else first.length
    if not first.length == first.metre.length < full:
        return tuple(bars), ""
    pickup = replace(first, number=0, metre=others[0].metre)
    later = [replace(bar, number=bar.number - 1) for bar in others]
    numbered, _ = number_bars([pickup, *later])
    return numbered, f"The first bar, of {first.metre}, is taken as a pickup, bar 0."
