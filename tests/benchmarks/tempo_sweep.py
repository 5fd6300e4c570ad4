"""Sweep the tempo: does faster need more breaths, and do sure breaths flip?

    uv run python -m tests.benchmarks.tempo_sweep [SCORE ...] [--every N] [--seed N]

Thirty scores: the ten etudes, then studies of unbroken short notes, chorale lines,
folk songs, studies and medleys made of songs, and pieces of all kinds, drawn by the
seed.  SCORE is a number from 1 or a stretch as 4-9; without it, all are swept, one
after another, and each prints a line of its own, so that the sweep can be run in
pieces.  Every N-th tempo from 50 to 160 is planned, and each of them is compared with
the next whole beat: with N more than 1 it is a look ahead.

Slower than the page the breaths of the page's tempo are held on to, as in a rehearsal.
Counted is where one beat a minute faster takes more than one breath more, and where a
breath that is said to be sure is none at a tempo up to 2 beats away.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.sure_breaths import find_sure
from coach.planning.phrasing.phrasing import phrase_ends
from coach.score.phrase import Part
from tests.benchmarks.breath_laws import etudes, study
from tests.benchmarks.chorale_lines import read_lines
from tests.benchmarks.essen import Song, read_songs
from tests.benchmarks.mixed_pieces import read_pieces
from tests.benchmarks.studies_of_songs import elaborate, join
from tests.planning.breathing.breath_oracle import who

SLOWEST, FASTEST, NEAR = 50, 160, 2
LITRES = 4.5
FEWEST_NOTES = 30
TOLD_EVERY, MANY_NOTES = 3, 200
"""Sure breaths are told at every third tempo, and the rarer the longer the score:
each time takes up to nine plans."""


@dataclass
class Sweep:
    """What was seen of one score, or of several."""

    steps: int = 0
    grown: list[str] = field(default_factory=list)
    """Tempo and breaths before and after, where more than one came in a step."""
    sure: int = 0
    flips: list[str] = field(default_factory=list)
    """Tempo and note of a sure breath that is none nearby."""

    def add(self, other: Sweep) -> None:
        """Add another to it."""
        self.steps += other.steps
        self.grown += other.grown
        self.sure += other.sure
        self.flips += other.flips

    def __str__(self) -> str:
        """Write it in one line."""
        return (
            f"{len(self.grown)} of {self.steps} steps grow by more than one, "
            f"{len(self.flips)} of {self.sure} sure breaths flip"
        )


def scores(seed: int) -> Iterator[Part]:
    """Give the thirty scores, in an order that the seed alone decides."""
    chance = random.Random(seed)
    yield from etudes()
    for _ in range(6):
        yield study(chance.randrange(10**6), 0.0)
    lines = [line.part for line in read_lines()][::2]
    yield from chance.sample(lines, 3)
    songs = [
        song for song in read_songs(every=7) if len(song.part.notes) >= FEWEST_NOTES
    ]
    yield from (song.part for song in chance.sample(songs, 2))
    yield from (elaborate(song, seed).part for song in chance.sample(songs, 3))
    yield join(_of_one_metre(songs, chance)).part
    yield from read_pieces(5, seed)


def _of_one_metre(songs: Sequence[Song], chance: random.Random) -> list[Song]:
    """Draw a few songs that can be joined."""
    metre = chance.choice(songs).part.bars[0].metre
    return chance.sample([s for s in songs if s.part.bars[0].metre == metre], 4)


def sweep(part: Part, every: int) -> Sweep:
    """Plan a score at many tempi."""
    ends, breather = phrase_ends(part), who(measured(LITRES))
    passages = {
        bpm: set_passage(part, bpm, ends)
        for bpm in range(SLOWEST - NEAR, FASTEST + NEAR + 1)
    }
    goal = plan_breaths(set_passage(part, part.tempo.bpm, ends), breather).places
    passages = {
        bpm: replace(passage, goal_breaths=goal) if bpm < part.tempo.bpm else passage
        for bpm, passage in passages.items()
    }
    plans: dict[int, BreathPlan] = {}

    def places(bpm: int) -> set[int]:
        if bpm not in plans:
            plans[bpm] = plan_breaths(passages[bpm], breather)
        return {breath.after_note for breath in plans[bpm].breaths}

    seen = Sweep()
    for bpm in range(SLOWEST, FASTEST, every):
        before, after = len(places(bpm)), len(places(bpm + 1))
        seen.steps += 1
        if after > before + 1:
            held = plan_breaths(
                passages[bpm + 1], breather, NOTHING_LOCKED, places(bpm)
            )
            kept = f"{len(held.breaths)} where the plan before is known"
            seen.grown.append(f"{bpm}: {before} to {after}, {kept}")
    rarely = TOLD_EVERY * every * (1 + len(part.notes) // MANY_NOTES)
    for bpm in range(SLOWEST, FASTEST + 1, rarely):
        places(bpm)
        told = find_sure(passages[bpm], breather, plans[bpm], NOTHING_LOCKED)
        near = [places(bpm + notch) for notch in range(-NEAR, NEAR + 1)]
        for note in (breath.after_note for breath in told.breaths if breath.is_sure):
            seen.sure += 1
            if any(note not in other for other in near):
                seen.flips.append(f"{bpm}: note {note}")
    return seen


def main() -> None:
    """Sweep the scores that are named, or all; print each, and all together."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("scores", nargs="*")
    asked.add_argument("--every", type=int, default=1)
    asked.add_argument("--seed", type=int, default=1)
    options = asked.parse_args()
    wanted = {
        number
        for first, _, last in (word.partition("-") for word in options.scores)
        for number in range(int(first), int(last or first) + 1)
    }
    together, count = Sweep(), 0
    for number, part in enumerate(scores(options.seed), start=1):
        if wanted and number not in wanted:
            continue
        seen = sweep(part, options.every)
        together.add(seen)
        count += 1
        print(f"{number:2} {part.title}, {len(part.notes)} notes: {seen}", flush=True)
        for where in (*seen.grown, *seen.flips):
            print(f"     {where}", flush=True)
    print(f"{count} scores: {together}")


if __name__ == "__main__":
    main()
