"""What a gap shows by likeness: what is heard again, and where.

A phrase often begins as the piece did, ends as the piece does, and is heard more than
once; a group of notes that is heard again seldom runs over a phrase end.

Conventions
-----------
Gap k follows note k.  Two rhythms or tunes are alike as far as their notes are equal,
tunes in any key.  Places are in bars.

References
----------
E. Cambouropoulos, "Musical parallelism and melodic segmentation: a computational
approach", Music Perception 23(3), 2006.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence

from coach.planning.phrasing.melody import ALMOST, Melody

Columns = dict[str, Sequence[float]]
"""Numbers under a name, one for each gap."""

ABSENT = 9.0
"""What stands where there is no note to compare with."""

NO_NOTE = -1
"""The same, where a count is asked for."""

FARTHEST_BARS = 20.0
"""Farther is not told apart: a long piece is no different from a longer one."""

TICKS_IN_QUARTER = 48
TICKS_IN_BAR = 96
"""Places and lengths are compared to the nearest of so many parts."""

LONGEST_MATCH = 24
"""Notes compared one after another: keeps the time linear."""

MOST_COMPARED = 500
"""Starts compared with the opening's: keeps the time linear in endless bars."""

MOST_REPEATS = 6
MOST_CHANGE = 4
"""More repeats, or a greater change in their number, are not told apart."""


def look_for_likeness(melody: Melody) -> Columns:
    """Give all columns of likeness.

    Parameters
    ----------
    melody : Melody
        The line; at least two notes.

    Returns
    -------
    dict of str to list of float, each of length ``melody.gaps``
        How like other places each gap is.
    """
    rhythm = [round(TICKS_IN_QUARTER * 2.0**step) for step in melody.steps[:-1]]
    return {
        **_opening(melody, rhythm),
        **_close(melody),
        **_repeats(melody, rhythm),
        **_bars_away(melody),
    }


def _opening(m: Melody, rhythm: list[int]) -> Columns:
    """Tell how like the opening is what follows each gap."""
    starts = range(1, m.gaps + 1)
    same_rhythm = [_match(rhythm, 0, k) for k in starts]
    return {
        "opening_in_rhythm": [m.places[n] - m.places[0] for n in same_rhythm],
        "opening_in_pitch": [_match(m.intervals, 0, k) for k in starts],
        "opening_in_2bars": _share_onsets(m, 2 * m.bar_beats[0]),
    }


def _match(tokens: Sequence[Hashable], a: int, b: int) -> int:
    """Count how many tokens from `a` on equal those from `b` on."""
    count = 0
    stop = min(LONGEST_MATCH, len(tokens) - max(a, b))
    while count < stop and tokens[a + count] == tokens[b + count]:
        count += 1
    return count


def _share_onsets(m: Melody, span: float) -> list[float]:
    """Give the share of starts that the opening and what follows a gap have in common.

    The starts within `span` quarter notes are compared.
    """
    ticks = [round(TICKS_IN_QUARTER * onset) for onset in m.onsets]
    length = round(TICKS_IN_QUARTER * span)
    opening = ticks[:MOST_COMPARED]
    first = {tick - ticks[0] for tick in opening if tick - ticks[0] < length}
    shares = []
    known: dict[tuple[int, ...], float] = {}
    stop = 0
    for k in range(1, len(ticks)):
        while stop < len(ticks) and ticks[stop] - ticks[k] < length:
            stop += 1
        here = tuple(
            tick - ticks[k] for tick in ticks[k : min(stop, k + MOST_COMPARED)]
        )
        if here not in known:
            known[here] = len(first.intersection(here)) / len(first.union(here))
        shares.append(known[here])
    return shares


def _close(m: Melody) -> Columns:
    """Tell how like the last close is what comes before each gap."""
    gaps = range(m.gaps)
    last_length, last_phase = m.lengths[-1], m.phases[-1]
    return {
        "close_in_length": [m.lengths[k] / last_length for k in gaps],
        "close_in_phase": [(m.phases[k] - last_phase + ALMOST) % 1 for k in gaps],
    }


def _repeats(m: Melody, rhythm: list[int]) -> Columns:
    """Tell whether what begins, stops or runs over at each gap is heard elsewhere."""
    tune = list(zip(rhythm, m.intervals, strict=True))
    columns: Columns = {
        "rhythm8_runs_over": _run_over(_count_repeats(rhythm, 8), 8),
        "tune12_runs_over": _run_over(_count_repeats(tune, 12), 12),
    }
    for size in (3, 6):
        counts = _count_repeats(tune, size)
        before = [0] * size + counts
        columns[f"tune{size}_begins"] = [
            _limit(counts[k + 1] - counts[k]) for k in range(m.gaps)
        ]
        columns[f"tune{size}_stops"] = [
            _limit(before[k] - before[k + 1]) for k in range(m.gaps)
        ]
        columns[f"tune{size}_runs_over"] = _run_over(counts, size)
    return columns


def _run_over(counts: list[int], size: int) -> list[int]:
    """Give how often the group is heard that has each gap in its middle."""
    starts_before = (size - 1) // 2
    begun = [0] * starts_before + counts
    return [min(begun[k], MOST_REPEATS) for k in range(len(counts) - 1)]


def _limit(change: int) -> int:
    """Keep a change in how often a group is heard within what songs have."""
    return max(-MOST_CHANGE, min(MOST_CHANGE, change))


def _count_repeats(tokens: Sequence[Hashable], size: int) -> list[int]:
    """Count how often the `size` tokens from each note on are heard."""
    groups = [tuple(tokens[k : k + size]) for k in range(len(tokens) - size + 1)]
    counts = Counter(groups)
    too_near_the_end = len(tokens) + 1 - len(groups)
    return [counts[group] for group in groups] + [0] * too_near_the_end


def _bars_away(m: Melody) -> Columns:
    """Compare each gap with the one at the same place some bars before or after."""
    ticks = [round(TICKS_IN_BAR * place) for place in m.places]
    at = {tick: k for k, tick in enumerate(ticks)}
    columns: Columns = {}
    for bars in (-4, -2, 2, 4):
        there = [at.get(tick + TICKS_IN_BAR * bars, NO_NOTE) for tick in ticks[1:]]
        columns[f"step_against{bars:+d}bars"] = [
            m.steps[j - 1] - m.steps[k] if j > 0 else (ABSENT if j == 0 else NO_NOTE)
            for k, j in enumerate(there)
        ]
    return columns
