"""Second look at a gap: how it fits with what the first look found elsewhere.

Phrases come in like lengths and end at like places of the bar, so a gap gains when
gaps some bars away are likely ends too, and loses next to a likelier one.

Conventions
-----------
Gap k follows note k.  Chances are probabilities from 0 to 1.  Places are in bars; a
gap's place is where the next note starts.

References
----------
D. Temperley, The Cognition of Basic Musical Structures, 2001, chapter 3: phrases of
like length, and like places in the metre.
Z. Tu, "Auto-context and its application to high-level vision tasks", Proc. CVPR 2008:
a second learner that sees the first one's chances around each place.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from itertools import accumulate, pairwise

from coach.planning.phrasing.melody import ALMOST, Melody
from coach.planning.phrasing.phrase_likeness import ABSENT, TICKS_IN_BAR, Columns

WIDEST_BARS = 16
"""How far the second look goes, in bars on either side."""

NO_GAP = -1.0
"""Chance where there is no gap."""

BEYOND = 1.0
"""Chance of what lies before the first and after the last note."""

NEIGHBOURS = (-4, -3, -2, -1, 1, 2, 3, 4)
BARS_AWAY = (-8, -4, -3, -2, -1, 1, 2, 3, 4, 8)
EVERY_BARS = (1, 2, 3, 4)
WINDOWS = (-2, -1, 1, 2)


def look_again(
    melody: Melody, chances: list[float], gaps: list[int], likely_share: float
) -> Columns:
    """Give all columns of the second look.

    Parameters
    ----------
    chances : list of float, length ``melody.gaps``
        What the first look says.
    gaps : list of int
        Gaps to look at, in order.
    likely_share : float
        Chance from which a gap counts as a likely end.

    Returns
    -------
    dict of str to sequence of float, each of the length of `gaps`
        How each of these gaps fits.
    """
    return {
        "first_chance": [chances[k] for k in gaps],
        **_neighbours(chances, gaps),
        **_same_places(melody, chances, gaps),
        **_likely_ends(melody, chances, gaps, likely_share),
        **_lines(melody, chances, gaps, likely_share),
        **_better_nearby(melody, chances, gaps),
    }


def _neighbours(chances: list[float], gaps: list[int]) -> Columns:
    """Give the chances of the gaps right before and after."""
    reach = max(NEIGHBOURS)
    edge = [NO_GAP] * (reach - 1)
    around = [*edge, BEYOND, *chances, BEYOND, *edge]
    return {
        f"chance{by:+d}": [around[k + reach + by] for k in gaps] for by in NEIGHBOURS
    }


def _same_places(melody: Melody, chances: list[float], gaps: list[int]) -> Columns:
    """Give the chances of the gaps at the same place of other bars."""
    ticks = [round(TICKS_IN_BAR * place) for place in melody.places]
    at = dict(zip(ticks, [BEYOND, *chances], strict=True))
    reach = range(-WIDEST_BARS * TICKS_IN_BAR, WIDEST_BARS * TICKS_IN_BAR + 1)
    found = [
        [at.get(ticks[k + 1] + by, NO_GAP) for by in reach[::TICKS_IN_BAR]]
        for k in gaps
    ]
    columns: Columns = {
        f"chance{bars:+d}bars": [there[WIDEST_BARS + bars] for there in found]
        for bars in BARS_AWAY
    }
    for bars in EVERY_BARS:
        columns[f"chance_every{bars}bars"] = [
            _mean(there[WIDEST_BARS % bars :: bars]) for there in found
        ]
    return columns


def _mean(chances: list[float]) -> float:
    """Give the mean chance of the gaps that there are; one there always is."""
    there = [chance for chance in chances if chance >= 0]
    return sum(there) / len(there)


def _likely_ends(
    melody: Melody, chances: list[float], gaps: list[int], likely_share: float
) -> Columns:
    """Tell how far the nearest likely ends are, and how long phrases seem to be."""
    places = melody.places
    likely = [k for k, chance in enumerate(chances) if chance >= likely_share]
    ends = [places[0], *(places[k + 1] for k in likely), melody.end_place]
    sums = [0.0, *accumulate(chances)]
    since, until, usual = [], [], []
    for k in gaps:
        here = places[k + 1]
        since.append(here - ends[bisect_left(likely, k)])
        until.append(ends[bisect_right(likely, k) + 1] - here)
        low = bisect_left(places, here - WIDEST_BARS - ALMOST)
        high = bisect_right(places, here + WIDEST_BARS + ALMOST) - 1
        usual.append((places[high] - places[low]) / (sums[high] - sums[low] + 1.0))
    return {
        "bars_since_likely": since,
        "bars_until_likely": until,
        "likely_in_middle": [a - b for a, b in zip(since, until, strict=True)],
        "bars_in_phrase": usual,
    }


def _lines(
    melody: Melody, chances: list[float], gaps: list[int], likely_share: float
) -> Columns:
    """Compare the line that would end at each gap, and the one begun, with others.

    A line lies between two likely ends; verse comes in lines of like lengths.
    """
    places = melody.places
    likely = [k for k, chance in enumerate(chances) if chance >= likely_share]
    ends = [places[0], *(places[k + 1] for k in likely), melody.end_place]
    known = Counter(_ticks(end - start) for start, end in pairwise(ends))
    count = len(ends) - 1
    ended, begun, alike_ended, alike_begun = [], [], [], []
    for k in gaps:
        here = places[k + 1]
        last, following = bisect_left(likely, k), bisect_right(likely, k) + 1
        since, until = here - ends[last], ends[following] - here
        before = since - (ends[last] - ends[last - 1]) if last else ABSENT
        is_last = following + 1 == len(ends)
        after = ABSENT if is_last else until - (ends[following + 1] - ends[following])
        ended.append(before)
        begun.append(after)
        alike_ended.append(known[_ticks(since)] / count)
        alike_begun.append(known[_ticks(until)] / count)
    return {
        "line_against_last": ended,
        "line_against_next": begun,
        "lines_like_ended": alike_ended,
        "lines_like_begun": alike_begun,
    }


def _ticks(bars: float) -> int:
    """Give a length to the nearest of many parts of a bar."""
    return round(TICKS_IN_BAR * bars)


def _better_nearby(melody: Melody, chances: list[float], gaps: list[int]) -> Columns:
    """Give the best chances within the bar, and the bar after next, on either side."""
    starts = melody.places[1:]
    rows = []
    for k in gaps:
        cuts = [bisect_left(starts, starts[k] + bars - ALMOST) for bars in WINDOWS]
        rows.append(
            (
                max(chances[cuts[0] : cuts[1]], default=0.0),
                max(chances[cuts[1] : k], default=0.0),
                max(chances[k + 1 : cuts[2]], default=0.0),
                max(chances[cuts[2] : cuts[3] + 1], default=0.0),
            )
        )
    names = (
        "best_2bars_before",
        "best_bar_before",
        "best_bar_after",
        "best_2bars_after",
    )
    return {name: [row[n] for row in rows] for n, name in enumerate(names)}
