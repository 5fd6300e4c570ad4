"""Name bars as players do: ``bar 3``, ``bars 2, 5 to 8``."""

from __future__ import annotations

from collections.abc import Iterable

MOST_STRETCHES = 6
"""Stretches that are named before it says "and others"; our own choice."""


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
