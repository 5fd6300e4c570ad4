"""Tell which tunes are one, so that none is learned from and measured by at once.

Songs are sung differently from village to village, and one hymn tune has many
settings: the same tune stands in a collection more than once, in other keys and with
other passing notes.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

Tune = tuple[int, ...]
"""Intervals in semitones, the same in every key."""

COMMON_NOTES = 6
"""So many intervals in a row are a group."""

SAME_TUNE_SHARE = 0.5
"""Two tunes are one where they share this much of the shorter one's groups."""


def like_tunes(
    tunes: Sequence[Tune], others: Sequence[Tune]
) -> Iterator[tuple[int, int]]:
    """Pair tunes with those of others that are the same or nearly."""
    known: dict[Tune, list[int]] = defaultdict(list)
    sizes = []
    for number, other in enumerate(others):
        groups = _groups(other)
        sizes.append(len(groups))
        for group in groups:
            known[group].append(number)
    exact = defaultdict(list)
    for number, other in enumerate(others):
        exact[other].append(number)
    for number, tune in enumerate(tunes):
        groups = _groups(tune)
        shared = Counter(k for group in groups for k in known.get(group, ()))
        near = {
            k
            for k, count in shared.items()
            if count >= SAME_TUNE_SHARE * max(1, min(len(groups), sizes[k]))
        }
        yield from ((number, k) for k in sorted(near.union(exact[tune])))


def find_families(tunes: Sequence[Tune]) -> list[int]:
    """Give for each tune the first of all that are the same by way of each other."""
    first = list(range(len(tunes)))
    for one, other in like_tunes(tunes, tunes):
        kept, gone = sorted((first[one], first[other]))
        first = [kept if k == gone else k for k in first]
    return first


def _groups(tune: Tune) -> set[Tune]:
    count = len(tune) - COMMON_NOTES + 1
    return {tune[k : k + COMMON_NOTES] for k in range(count)}
