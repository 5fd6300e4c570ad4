"""Hold planned breaths to the line ends of chorales, which the planner cannot see.

    uv run python -m tests.benchmarks.chorales [LINES]

The top lines of the Bach chorales that music21 ships.  A fermata there ends a line of
verse (common practice, no published source); all are taken off before the planner sees
the notes, and the last of each piece is not counted.  Who plays has 6.5 L, at 84, 92
and 100.  Of about four tunes one is for reporting and for nothing else; the settings of
one tune stay together.  Phrases are learned from the others, which therefore are
breathed better.

*Heard* are the gaps where a phrase is said to end, whatever the air.  *Torn* are the
breaths that part the last two notes of a line.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass

from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import plan_breaths
from coach.planning.breathing.passage import set_passage
from coach.planning.phrasing.phrasing import phrase_ends
from tests.benchmarks.chorale_lines import Line, read_lines, share_out
from tests.planning.breathing.breath_oracle import who

TEMPI = (84.0, 92.0, 100.0)
LITRES = 6.5
LIKELY = 0.5


@dataclass
class Tally:
    """How many places were said, how many of them rightly, how many there are."""

    hits: int = 0
    said: int = 0
    wanted: int = 0

    def add(self, found: frozenset[int], marked: frozenset[int]) -> None:
        """Count one line."""
        self.hits += len(found & marked)
        self.said += len(found)
        self.wanted += len(marked)

    def __str__(self) -> str:
        """Write both shares in one line."""
        return (
            f"precision {self.hits / self.said:.3f}  "
            f"recall {self.hits / self.wanted:.3f}  ({self.said} said, "
            f"{self.wanted} wanted)"
        )


def report(name: str, lines: Sequence[Line], ends: Sequence[Sequence[float]]) -> None:
    """Print the figures of some lines, by how likely a phrase ends after each note."""
    heard = Tally()
    for line, chances in zip(lines, ends, strict=True):
        likely = (k for k, end in enumerate(chances) if end >= LIKELY)
        heard.add(frozenset(likely), line.marked)
    print(f"{name}, {len(lines)} lines: heard {heard}")
    breathed, torn = Tally(), 0
    for bpm in TEMPI:
        here = Tally()
        for line, chances in zip(lines, ends, strict=True):
            passage = set_passage(line.part, bpm, tuple(chances))
            plan = plan_breaths(passage, who(measured(LITRES)))
            found = frozenset(breath.after_note for breath in plan.breaths)
            torn += len(found & {k - 1 for k in line.marked})
            here.add(found, line.marked)
            breathed.add(found, line.marked)
        print(f"  at {bpm:3.0f} {here}")
    print(f"  in all {breathed}, {torn} torn")


def main(arguments: Sequence[str]) -> None:
    """Read all lines or the first ones, and report both halves."""
    lines = list(read_lines())[: int(arguments[0]) if arguments else None]
    learned, reported = share_out(lines)
    for name, some in (("learned from", learned), ("for reporting", reported)):
        report(name, some, [phrase_ends(line.part) for line in some])


if __name__ == "__main__":
    main(sys.argv[1:])
