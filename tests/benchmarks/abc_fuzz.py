"""Change good tunes at random places: each must be read or refused, quickly.

Run by hand: ``uv run python -m tests.benchmarks.abc_fuzz 10000 1``: mutations, seed.
Printed: how many were read, refused with a place, and how long the slowest took; a
mutation that ends in anything else is written out with its tune and ends the run.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter

from coach.edges.scores.page_settings import read_page_settings
from coach.errors import CoachError
from coach.score.abc.abc_lines import split_tunes
from coach.score.abc.abc_reader import read_abc
from coach.score.played.unfolding import unfold
from tests.edges.scores.score_samples import ABC
from tests.score.abc.abc_samples import HEAD
from tests.score.abc.abc_table import MUSIC, TUNES

SIGNS = "CDEFGABcdefgabz|:[](){}!\"'<>-,/0123456789^_=~.&xZ %\n\\+*#@TLMKQVPU$;é♭"
MOST_BARS = 20_000


def mutate(tune: str, dice: random.Random) -> str:
    """Change a tune at one to six places."""
    signs = list(tune)
    for _ in range(dice.randint(1, 6)):
        k = dice.randrange(len(signs) + 1)
        what = dice.random()
        if what < 0.4:
            signs.insert(k, dice.choice(SIGNS))
        elif what < 0.7 and signs:
            del signs[min(k, len(signs) - 1)]
        elif what < 0.9 and signs:
            signs[min(k, len(signs) - 1)] = dice.choice(SIGNS)
        else:
            end = min(len(signs), k + dice.randint(1, 20))
            signs[k:k] = signs[k:end] * dice.randint(1, 8)
    return "".join(signs)


def tunes() -> list[str]:
    """Give good tunes: every construct of the table, and a study."""
    return [
        ABC,
        *(HEAD + music + "\n" for _, music, _ in MUSIC),
        *(tune + "\n" for _, tune, _ in TUNES),
    ]


def try_one(tune: str) -> str:
    """Read and play a tune: ``read``, ``refused`` or ``empty``."""
    first = split_tunes(tune)[0]
    found = read_abc(first)
    for fault in (*found.faults, *found.doubts):
        assert fault.spot.line >= 1
        assert fault.spot.column >= 1
        assert fault.what
    if found.faults:
        return "refused"
    if not any(bar.notes for page in found.pages for bar in page.bars):
        return "empty"
    for page in found.pages:
        try:
            unfold(page, read_page_settings(), most_bars=MOST_BARS)
        except CoachError:
            return "refused"
    return "read"


def main(count: int, seed: int) -> None:
    """Try mutations."""
    dice, good = random.Random(seed), tunes()
    ends: Counter[str] = Counter()
    slowest = 0.0
    for _ in range(count):
        tune = mutate(dice.choice(good), dice)
        start = time.perf_counter()
        try:
            ends[try_one(tune)] += 1
        except Exception:
            print(repr(tune))
            raise
        slowest = max(slowest, time.perf_counter() - start)
    print(dict(ends), f"slowest {1000 * slowest:.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
