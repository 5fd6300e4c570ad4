"""What was found elsewhere in the tune where the same is heard as around a gap.

The lines of a tune close and open in few ways: where a close that ends a phrase comes
back, a phrase ends again, and where a line begins like others, the one before is over.
Lines of verse have as many syllables each, so the notes and the time since the last
end count, too.

Conventions
-----------
Gap k follows note k.  Chances are probabilities from 0 to 1.  Tunes are alike in any
key, and a single close where it lies as far above the last note of all.

References
----------
E. Cambouropoulos, "Musical parallelism and melodic segmentation: a computational
approach", Music Perception 23(3), 2006.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Hashable, Sequence

from coach.planning.phrasing.melody import ALMOST, Melody
from coach.planning.phrasing.phrase_likeness import (
    TICKS_IN_BAR,
    TICKS_IN_QUARTER,
    Columns,
)

UNHEARD = -1.0
"""Chance where the same is not heard elsewhere."""

SEMITONES_IN_OCTAVE = 12


def hear_echoes(
    melody: Melody, chances: list[float], gaps: list[int], likely_share: float
) -> Columns:
    """Give all columns of what is heard elsewhere.

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
        For each kind of group of notes, the mean chance of the other gaps where the
        same is heard; notes and beats to the nearest likely ends; and how much later in
        the bar the next note stands than the first one of all.
    """
    rhythm = [round(TICKS_IN_QUARTER * 2.0**step) for step in melody.steps]
    places = [round(TICKS_IN_BAR * phase) % TICKS_IN_BAR for phase in melody.phases]
    columns: Columns = {
        name: _mean_elsewhere(heard, chances, gaps)
        for name, heard in _hear_groups(melody, rhythm, places).items()
    }
    return {
        **columns,
        **_count_to_likely(melody, chances, gaps, likely_share),
        **_against_opening(melody, gaps),
    }


def _hear_groups(
    m: Melody, rhythm: list[int], places: list[int]
) -> dict[str, list[Hashable]]:
    """Give what is heard around, before and after each gap."""
    leaps = m.intervals
    degrees = [(key - m.keys[-1]) % SEMITONES_IN_OCTAVE for key in m.keys]
    return {
        "echo_around": _pair(_cut(leaps, -3, 3), _cut(rhythm, -2, 2)),
        "echo_near_around": _pair(_cut(leaps, -2, 1), _cut(rhythm, -1, 1)),
        "echo_close": _pair(_cut(leaps, -3, -1), _cut(rhythm, -2, 0)),
        "echo_degree": _pair(degrees, _cut(leaps, -1, -1), rhythm, places),
        "echo_opening": _pair(_cut(leaps, 1, 3), _cut(rhythm, 1, 3)),
        "echo_opening_in_bar": _pair(_cut(rhythm, 1, 4), places[1:]),
    }


def _cut(values: Sequence[int], first: int, last: int) -> list[Hashable]:
    """Give, for each of some values, those from `first` to `last` places from it.

    Where the tune is over, None stands for them.
    """
    before = max(0, -first)
    padded = [*[None] * before, *values, *[None] * (last + 1)]
    start = before + first
    return _pair(*(padded[start + n :] for n in range(last - first + 1)))


def _pair(*heard: Sequence[Hashable]) -> list[Hashable]:
    """Put together what is heard in several ways at each gap."""
    return list(zip(*heard, strict=False))


def _mean_elsewhere(
    heard: Sequence[Hashable], chances: list[float], gaps: list[int]
) -> list[float]:
    """Give the mean chance of the other gaps where the same is heard."""
    sums: defaultdict[Hashable, float] = defaultdict(float)
    for group, chance in zip(heard, chances, strict=False):
        sums[group] += chance
    counts = Counter(heard[: len(chances)])
    return [
        (sums[heard[k]] - chances[k]) / (counts[heard[k]] - 1)
        if counts[heard[k]] > 1
        else UNHEARD
        for k in gaps
    ]


def _count_to_likely(
    m: Melody, chances: list[float], gaps: list[int], likely_share: float
) -> Columns:
    """Count the notes, and beats of the metre, to the nearest likely ends."""
    likely = [k for k, chance in enumerate(chances) if chance >= likely_share]
    firsts = [0, *(k + 1 for k in likely), m.gaps + 1]
    starts = [*m.onsets, m.onsets[-1] + m.lengths[-1]]
    before = [firsts[bisect_left(likely, k)] for k in gaps]
    after = [firsts[bisect_right(likely, k) + 1] for k in gaps]
    return {
        "notes_since_likely": [k + 1 - n for k, n in zip(gaps, before, strict=True)],
        "notes_until_likely": [n - k - 1 for k, n in zip(gaps, after, strict=True)],
        "beats_since_likely": [
            (starts[k + 1] - starts[n]) / m.beat_beats[k + 1]
            for k, n in zip(gaps, before, strict=True)
        ],
        "beats_until_likely": [
            (starts[n] - starts[k + 1]) / m.beat_beats[k + 1]
            for k, n in zip(gaps, after, strict=True)
        ],
    }


def _against_opening(m: Melody, gaps: list[int]) -> Columns:
    """Tell how much later in the bar a line would begin than the tune does.

    A tune with an upbeat mostly has one before each line.
    """
    later = [(m.phases[k + 1] - m.phases[0] + ALMOST) % 1 for k in gaps]
    return {
        "opening_in_phase": later,
        "opening_in_beats": [
            share * m.bar_beats[k + 1] / m.beat_beats[k + 1]
            for k, share in zip(gaps, later, strict=True)
        ],
    }
