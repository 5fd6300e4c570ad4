"""Where a strain ends: where a repeat sign turns the player back.

Marches, dances and songs are breathed there in each pass, also where the page goes on
after the last one (common practice, no published source).
"""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from itertools import pairwise

from coach.score.phrase import Bar, Part


def find_strain_ends(part: Part) -> frozenset[int]:
    """Name the last note of every strain, by its index; the part's last is none."""
    turned = {
        _on_page(before)
        for before, after in pairwise(part.bars)
        if _on_page(after) <= _on_page(before)
    }
    onsets = [note.onset for note in part.notes]
    lasts = {
        bisect_left(onsets, bar.end) - 1: bar.end
        for bar in part.bars
        if _on_page(bar) in turned
    }
    return frozenset(
        k
        for k, end in lasts.items()
        if 0 <= k < len(onsets) - 1 and part.notes[k].end <= end
    )


def _on_page(bar: Bar) -> tuple[int, Fraction]:
    """Tell where a bar stands on the page: its number, and the beat it starts on."""
    return bar.number, bar.first_beat
