"""Hold breath plans to what a teacher would never forgive, over many studies.

Run it by hand: ``python -m tests.benchmarks.breath_laws``, or name one of them.

studies   200 generated studies without a rest: who gets through, with what left out
heels     breaths on each other's heels or for nothing: etudes, studies, pieces of
          all kinds
"""

from __future__ import annotations

import random
import sys
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from itertools import pairwise

from coach.config import read_settings, shipped
from coach.edges.scores.score_files import read_part
from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED
from coach.planning.breathing.passage import Passage, set_passage
from coach.planning.breathing.ways_out import WaysOutSettings, find_ways_out
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.trials import Trials
from coach.score.note import Note, Pitch
from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.benchmarks.breath_plans import SCALE
from tests.benchmarks.mixed_pieces import read_pieces
from tests.planning.breathing.breath_oracle import AIR, bind, who

BARS = 32
LOUD = {"pp": -3.0, "p": -2.0, "mp": -1.0, "mf": 0.0, "f": 1.0, "ff": 2.0}
SIXTEENTH, EIGHTH = Fraction(1, 4), Fraction(1, 2)
MOST_LEFT_SHARE = 0.05
PIECES, SEED = 100, 1


def study(seed: int, loud: float) -> Part:
    """Make a study: unbroken sixteenths or eighths, with longer notes in some bars."""
    chance = random.Random(seed)
    length = chance.choice((SIXTEENTH, SIXTEENTH, EIGHTH))
    every = chance.choice((0, 1, 2, 4, 8))
    step, place, notes = 5, Fraction(0), []
    while place < 4 * BARS:
        bar = int(place // 4)
        is_longer = every > 0 and bar % every == 0 and place % 4 == 2
        here = 2 * length if is_longer else length
        step = min(max(step + chance.choice((-2, -1, -1, 1, 1, 2)), 0), len(SCALE) - 1)
        notes.append(_note(SCALE[step], place, here, loud))
        place += here
    return bind(notes)


def _note(pitch: Pitch, place: Fraction, length: Fraction, loud: float) -> Note:
    return Note(
        onset=Beats(place),
        length=Beats(length),
        written=pitch,
        sounding=pitch,
        bar=int(place // 4) + 1,
        beat=place % 4 + 1,
        loud_start=loud,
        loud_end=loud,
    )


def planned(part: Part, bpm: float, litres: float) -> tuple[Passage, BreathPlan]:
    """Plan a part as it is heard."""
    passage = set_passage(part, bpm, ends_of(part))
    return passage, plan_breaths(passage, who(measured(litres)))


def ends_of(part: Part) -> Sequence[float]:
    """Hear a part's phrases once."""
    if id(part) not in _HEARD:
        _HEARD[id(part)] = part, tuple(phrase_ends(part))
    return _HEARD[id(part)][1]


_HEARD: dict[int, tuple[Part, Sequence[float]]] = {}


def on_studies() -> None:
    """Count who gets through, and with how many notes left out."""
    easy = through = within = on_beat = outside = hard = saved = 0
    worst = 0.0
    settings = read_settings(WaysOutSettings, "ways_out")
    for seed in range(200):
        chance = random.Random(1000 + seed)
        name = chance.choice(list(LOUD))
        bpm, litres = chance.uniform(60, 160), chance.uniform(3.0, 6.5)
        part = study(seed, LOUD[name])
        passage, plan = planned(part, bpm, litres)
        levels = (*plan.air_before, *plan.air_after)
        outside += not 0.0 <= min(levels) <= max(levels) <= 1.0
        on_beat += any(part.notes[k].beat.denominator == 1 for k in plan.left_out)
        share = len(plan.left_out) / len(part.notes)
        if LOUD[name] <= 0.0 and litres >= 4.5:
            easy += 1
            through += plan.runs_out is None
            within += plan.runs_out is None and share <= MOST_LEFT_SHARE
            worst = max(worst, share)
        if plan.runs_out is not None:
            hard += 1
            who_plays = who(measured(litres))
            trials = Trials(NOTHING_LOCKED)
            saved += bool(find_ways_out(passage, who_plays, plan, trials, settings))
    print(
        f"mf and softer from 4.5 L on: {through} of {easy} get through, {within} with "
        f"at most 5 % left out (worst {worst:.1%}); notes left out on a beat in "
        f"{on_beat} studies; air outside 0..1 in {outside}; {hard} run out, {saved} of "
        "them have a way out"
    )


@cache
def etudes() -> tuple[Part, ...]:
    """Read the shipped etudes."""
    return tuple(
        read_part(path) for path in sorted(shipped("etudes").glob("*.musicxml"))
    )


def on_heels() -> None:
    """Count breaths on each other's heels, and breaths for nothing."""
    groups = {
        "etudes": list(etudes()),
        "studies": [study(seed, 0.0) for seed in range(40)],
        "pieces": list(read_pieces(PIECES, SEED)),
    }
    for name, parts in groups.items():
        near = nothing = breaths = dry = 0
        for part in parts:
            passage, plan = planned(part, part.tempo.bpm, 4.5)
            dry += plan.runs_out is not None
            breaths += len(plan.breaths)
            for before, after in pairwise(plan.breaths):
                played = sum(
                    max(0.0, plan.ends[k] - passage.times[k].start)
                    for k in range(before.following, after.after_note + 1)
                )
                near += played < 1.0
            nothing += sum(
                b.air_after - b.air_before < 0.07
                and not b.is_on_rest
                and not b.is_marked
                for b in plan.breaths
            )
        print(
            f"{len(parts)} {name}: {breaths} breaths, {near} within a second of "
            f"playing, {nothing} for nothing, {dry} run out"
        )


def main(names: Sequence[str]) -> None:
    """Run the benchmarks that are named, or all."""
    benchmarks = {
        "studies": on_studies,
        "heels": on_heels,
    }
    print(f"a player whose F3 lasts {0.8 * 4.5 / AIR.flow_f3_mf_lps:.0f} s with 4.5 L")
    for name in names or benchmarks:
        print(f"--- {name}")
        benchmarks[name]()


if __name__ == "__main__":
    main(sys.argv[1:])
