"""Many small trees of questions, whose answers add up to log-odds.

A tree asks whether a column is at most some limit, goes on to one of two further
trees, and ends in an answer.  Which questions are asked is learned from songs; this
file only asks them, all at once: each answer of each tree is a bit, a column strikes
out every answer that its value rules out in any tree, and the first answer of a tree
that is left is the one that the tree would have come to.

References
----------
J. H. Friedman, "Greedy function approximation: a gradient boosting machine", Annals
of Statistics 29(5), 2001.
C. Lucchese et al., "QuickScorer: a fast algorithm to rank documents with additive
ensembles of regression trees", Proc. SIGIR 2015: asking by bits.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from operator import getitem
from struct import Struct
from typing import Any

ANSWERS_IN_UNIT = 1000
"""Answers are whole numbers: thousandths of log-odds."""

MOST_ANSWERS = 16
"""A tree's answers fill one word of this many bits."""

Tree = Any
"""An answer, or a list: column, limit, tree if at most the limit, tree if more."""


@dataclass(frozen=True, slots=True)
class Cuts:
    """All limits of one column, and what is left above each."""

    limits: list[float]
    """In increasing order; the same limit may come more than once."""

    left: list[int]
    """Bits of the answers that are left when a value is above so many limits."""


@dataclass(frozen=True, slots=True)
class Forest:
    """Trees, laid out to be asked all at once."""

    columns: tuple[str, ...]
    """Names of the columns that are asked about."""

    base: float
    """Log-odds before any question."""

    cuts: tuple[Cuts, ...]
    """Limits of each column."""

    answers: tuple[dict[int, int], ...]
    """What each tree answers when only this bit of its word is left."""

    def weigh(self, columns: Mapping[str, Sequence[float]]) -> list[float]:
        """Give the log-odds of each row.

        Parameters
        ----------
        columns : mapping of str to sequence of float
            All columns that are asked about, of one length.
        """
        count = len(self.answers)
        words = Struct(f"<{count}H")
        first_bits = sum(1 << (MOST_ANSWERS * n) for n in range(count))
        odds = []
        for row in zip(*(columns[name] for name in self.columns), strict=True):
            left = -1
            for value, cuts in zip(row, self.cuts, strict=True):
                left &= cuts.left[bisect_left(cuts.limits, value)]
            # No word is empty, so taking 1 from each borrows from no other.
            lowest = left & ~(left - first_bits)
            answers = words.unpack(lowest.to_bytes(words.size, "little"))
            total = sum(map(getitem, self.answers, answers))
            odds.append(self.base + total / ANSWERS_IN_UNIT)
        return odds


def forest_from(table: Mapping[str, Any]) -> Forest:
    """Lay out the trees of a shipped file.

    Parameters
    ----------
    table : mapping
        ``columns`` (names), ``base`` (log-odds) and ``trees``; each tree has at most
        `MOST_ANSWERS` answers.
    """
    trees = table["trees"]
    struck_out: list[list[tuple[float, int]]] = [[] for _ in table["columns"]]
    answers = []
    for n, tree in enumerate(trees):
        found: list[int] = []
        _lay_out(tree, MOST_ANSWERS * n, found, struck_out)
        answers.append({1 << k: answer for k, answer in enumerate(found)})
    every_bit = (1 << (MOST_ANSWERS * len(trees))) - 1
    return Forest(
        columns=tuple(table["columns"]),
        base=table["base"],
        cuts=tuple(_pile_up(strikes, every_bit) for strikes in struck_out),
        answers=tuple(answers),
    )


def _lay_out(
    tree: Tree,
    first_bit: int,
    answers: list[int],
    struck_out: list[list[tuple[float, int]]],
) -> None:
    """Give a tree's answers their bits; note which ones each limit strikes out."""
    if not isinstance(tree, list):
        answers.append(tree)
        return
    column, limit, at_most, more = tree
    before = len(answers)
    _lay_out(at_most, first_bit, answers, struck_out)
    bits = (1 << len(answers)) - (1 << before)
    struck_out[column].append((limit, bits << first_bit))
    _lay_out(more, first_bit, answers, struck_out)


def _pile_up(strikes: list[tuple[float, int]], every_bit: int) -> Cuts:
    """Put a column's limits in order, and what is left above each of them."""
    strikes.sort()
    left = accumulate(
        (bits for _, bits in strikes),
        lambda kept, bits: kept & ~bits,
        initial=every_bit,
    )
    return Cuts([limit for limit, _ in strikes], list(left))
