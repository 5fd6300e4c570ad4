"""Number bars as a player counts them, and name them: a pickup is bar 0."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.score.page import PageBar

MOST_STRETCHES = 6
"""Stretches that are named before it says "and others"; our own choice."""


def number_bars(
    bars: Sequence[PageBar],
) -> tuple[tuple[PageBar, ...], tuple[str, ...]]:
    """Give every bar its number and the beat that it starts on.

    Parameters
    ----------
    bars : sequence of PageBar
        With the numbers of the file and their endings; numbers that the file does
        not give are the number before.

    Returns
    -------
    tuple of PageBar
        The bars, a pickup numbered 0; a bar that only completes the one before
        starts on a later beat than 1.
    tuple of str
        Remarks for the player: on numbers that had to be changed, and on bars that
        are longer or shorter than their time signature.
    """
    numbers = [bar.number for bar in bars]
    remarks: list[str] = []
    if len(set(numbers)) == 1 and len(numbers) > 1:
        numbers = list(range(1, len(numbers) + 1))
    is_pickup = len(bars) > 1 and bars[0].length < bars[0].metre.length
    if is_pickup and numbers[0] != 0:
        if numbers[1] > 1:
            shift = numbers[1] - 1
            numbers = [number - shift for number in numbers]
            remarks.append(
                "The page counts its pickup as a bar; here the pickup is bar 0, so "
                f"every number is {shift} less than on the page."
            )
        numbers[0] = 0
    numbered: list[PageBar] = []
    stem: PageBar | None = None
    for bar, number in zip(bars, numbers, strict=True):
        before = numbered[-1] if numbered else None
        if before is not None and not before.signs.endings:
            stem = before
        elif before is not None and before.signs.endings != bar.signs.endings:
            # A later ending follows on the bar that leads into all of them.
            before = (stem or before) if bar.signs.endings else before
        first_beat = _first_beat(bar, before)
        numbered.append(replace(bar, number=number, first_beat=first_beat))
    odd = _odd_bars(numbered)
    if odd:
        remarks.append(
            "Not as long as the time signature, and played as written: "
            f"{name_bars(odd)}."
        )
    return tuple(numbered), tuple(remarks)


def name_bars(numbers: Iterable[int]) -> str:
    """Name bars, each once and in order, neighbours as one stretch.

    Examples
    --------
    >>> name_bars([3]), name_bars([8, 2, 7, 7, 9])
    ('bar 3', 'bars 2, 7 to 9')
    """
    stretches: list[list[int]] = []
    for number in sorted(set(numbers)):
        if stretches and number == stretches[-1][1] + 1:
            stretches[-1][1] = number
        else:
            stretches.append([number, number])
    words = [
        f"{first}" if first == last else f"{first} to {last}"
        for first, last in stretches[:MOST_STRETCHES]
    ]
    is_one = len(stretches) == 1 and stretches[0][0] == stretches[0][1]
    more = " and others" if len(stretches) > MOST_STRETCHES else ""
    return f"bar{'' if is_one else 's'} {', '.join(words)}{more}"


def _odd_bars(bars: Sequence[PageBar]) -> list[int]:
    """Give the numbers of bars whose length is neither their metre's nor explained.

    A pickup, a bar that a repeat sign divides and the last bar may be short; a free
    bar has no length to keep.
    """
    odd = []
    for bar, following in pairwise(bars):
        is_whole = bar.metre.is_free or bar.length == bar.metre.length
        if not is_whole and bar.first_beat == 1 and following.first_beat == 1:
            odd.append(bar.number)
    return odd


def _first_beat(bar: PageBar, before: PageBar | None) -> Fraction:
    """Tell on which beat a bar starts: a short one may complete the one before."""
    missing = bar.metre.length - bar.length
    if before is None:
        return 1 + max(missing, Fraction(0)) / bar.metre.unit_beats
    begun = (before.first_beat - 1) * bar.metre.unit_beats + before.length
    completes = missing > 0 and before.metre == bar.metre and begun == missing
    return 1 + begun / bar.metre.unit_beats if completes else Fraction(1)
