"""Read pieces of every kind that music21 ships, dealt evenly over its shelves.

Chorales and the Essen songs are left to the benchmarks that report on them.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from importlib.util import find_spec
from itertools import zip_longest
from pathlib import Path

from coach.edges.scores.score_files import list_parts, read_part
from coach.edges.scores.score_process import ScoreChild
from coach.errors import CoachError
from coach.score.phrase import Part

ENDINGS = {".xml", ".mxl", ".musicxml", ".krn", ".abc"}
OTHERS = {"bach", "essenFolksong"}
FEWEST_NOTES = 30
MOST_NOTES = 1500
"""What is longer is a whole opera act, and takes the time of all others together."""


def read_pieces(count: int, seed: int) -> Iterator[Part]:
    """Read the first part of so many pieces, chosen by chance."""
    with ScoreChild() as child:
        for path in _dealt(seed):
            if count == 0:
                return
            try:
                entries = list_parts(path, child=child)
                named = next((e.name for e in entries if e.note_count), None)
                part = read_part(path, part=named, child=child)
            except CoachError:
                continue
            if FEWEST_NOTES <= len(part.notes) <= MOST_NOTES:
                count -= 1
                yield part


def _dealt(seed: int) -> Iterator[Path]:
    """Give one piece of each shelf in turn, until all are given."""
    spec = find_spec("music21")
    assert spec is not None
    assert spec.origin is not None
    chance = random.Random(seed)
    shelves = []
    for shelf in sorted((Path(spec.origin).parent / "corpus").iterdir()):
        found = sorted(p for p in shelf.rglob("*") if p.suffix in ENDINGS)
        if found and shelf.name not in OTHERS:
            chance.shuffle(found)
            shelves.append(found)
    for row in zip_longest(*shelves):
        yield from (path for path in row if path)
