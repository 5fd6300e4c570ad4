"""Measure the walk of arm and tongue: ``python -m tests.benchmarks.slide_walks``.

Prints how often an exhaustive search and another shortest path (networkx, Dijkstra)
find a cheaper walk, how much quicker ours is than that path in the same run, how the
time grows with the notes, and what the dial does to the shipped etudes.
"""

from __future__ import annotations

import os
import random
import tempfile
import time
from collections.abc import Callable
from fractions import Fraction
from itertools import product

from coach.config import shipped
from coach.edges.scores.score_files import read_part
from coach.planning.slide.moment import Moment
from coach.planning.slide.note_moments import Freedom, lay_moments, read_page_notes
from coach.planning.slide.slide import SlidePlan, plan_slide, plan_tongued
from coach.planning.slide.slide_costs import lay_stages
from coach.planning.slide.slide_walk import Stage, find_walk
from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part
from coach.score.tempo import Beats, Tempo, TempoMap, TempoMark, beats
from tests.planning.slide.slide_shelf import instrument, settings
from tests.planning.slide.walk_costs import walk_cost
from tests.planning.slide.walk_graph import shortest_cost

SEED = 20240501
PHRASES, LONGER = 5000, 200
MOST_WAYS = 4000
LENGTHS = (1250, 2500, 5000, 10_000, 20_000)
DIALS = (0.0, 0.25, 0.5, 0.75, 1.0)
SPELLED = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
FREE = Freedom(may_use_alternates=True, may_add_slurs=True, locked={})
BAR = Metre(4, 4)


def random_part(dice: random.Random, count: int, low: int = 40, high: int = 77) -> Part:
    """Make a part that wanders through the range in sixteenths and eighths."""
    notes: list[Note] = []
    place, midi = Fraction(0), dice.randint(low, high)
    for _ in range(count):
        length = Fraction(dice.choice((1, 1, 1, 2)), 4)
        name = SPELLED[midi % 12]
        pitch = Pitch(midi // 12 - 1, name[0], -(len(name) - 1))
        notes.append(
            Note(
                Beats(place),
                Beats(length),
                pitch,
                pitch,
                int(place // 4) + 1,
                place % 4 + 1,
                is_slurred=bool(notes) and dice.random() < 0.2,
            )
        )
        place += length
        midi = min(
            high, max(low, midi + dice.choice((-5, -4, -3, -2, -1, 1, 2, 3, 4, 5)))
        )
    bars = tuple(
        Bar(k + 1, Beats(Fraction(4 * k)), Beats(Fraction(4)), BAR)
        for k in range(int(place // 4) + 1)
    )
    tempo_map = TempoMap((TempoMark(beats(0), 100.0),))
    return Part(
        "By Dice", "t", "", tuple(notes), bars, Tempo(100.0, beats(1)), tempo_map
    )


def laid(part: Part, dial: float) -> tuple[list[Moment], tuple[Stage, ...]]:
    """Lay out the walk of a part."""
    page = read_page_notes(part, part.tempo_map, frozenset())
    moments = lay_moments(page, instrument(), settings(), FREE)
    return moments, lay_stages(moments, settings(), dial)


def seconds(work: Callable[[], object]) -> float:
    """Time some work by the processor's clock, so that neighbours do not count."""
    start = time.process_time()
    work()
    return time.process_time() - start


def compare_with_every_way(dice: random.Random) -> None:
    """Hold short phrases to exhaustive search."""
    mismatches = tried = ways_tried = 0
    while tried < PHRASES:
        part = random_part(dice, dice.randint(2, 7), high=72)
        moments, stages = laid(part, dice.random())
        counts = [range(len(moment.ways)) for moment in moments]
        ways = 1
        for count in counts:
            ways *= len(count)
        if ways > MOST_WAYS:
            continue
        manners = list(product(*(range(len(stage.manners)) for stage in stages)))
        ways *= len(manners)
        if ways > MOST_WAYS:
            continue
        best = min(
            walk_cost(stages, choices, manner)
            for choices in product(*counts)
            for manner in manners
        )
        mismatches += abs(find_walk(stages).cost - best) > 1e-9
        tried += 1
        ways_tried += ways
    print(f"exhaustive search: {mismatches} mismatches in {tried} phrases ", end="")
    print(f"({ways_tried} walks tried)")


def compare_with_networkx(dice: random.Random) -> None:
    """Hold longer phrases to Dijkstra on the expanded graph, and race it."""
    worst = ours = theirs = 0.0
    for _ in range(LONGER):
        part = random_part(dice, dice.randint(40, 120))
        _, stages = laid(part, dice.random())
        found: list[float] = []
        ours += seconds(lambda s=stages, f=found: f.append(find_walk(s).cost))  # type: ignore[misc]
        theirs += seconds(lambda s=stages, f=found: f.append(shortest_cost(s)))  # type: ignore[misc]
        worst = max(worst, abs(found[0] - found[1]))
    print(f"networkx: {LONGER} phrases, greatest difference {worst:.1e}, ", end="")
    print(f"ours {ours:.3f} s, networkx {theirs:.2f} s: {theirs / ours:.0f} times")


def measure_growth(dice: random.Random) -> None:
    """Time whole plans of growing parts."""
    for low, high, where in ((40, 77, "whole range"), (58, 77, "high range")):
        for count in LENGTHS:
            part = random_part(dice, count, low, high)
            took = sorted(
                seconds(
                    lambda p=part: plan_slide(  # type: ignore[misc]
                        p, p.tempo_map, instrument(), settings(), dial=0.5
                    )
                )
                for _ in range(3)
            )
            print(
                f"{where}: {count:6} notes {took[1]:.3f} s (of three {took[0]:.3f} to "
                f"{took[2]:.3f}), {1e6 * took[1] / count:.0f} us a note"
            )


def show_etudes() -> None:
    """Print what the dial does to the shipped etudes."""
    print(
        "etude (notes): tongued in usual positions | dial: travel cm, strokes, ", end=""
    )
    print("natural slurs, worst speed m/s")
    for path in sorted(shipped("etudes").glob("*.musicxml")):
        part = read_part(path)
        tongued = plan_tongued(part, part.tempo_map, instrument(), settings())
        print(f"{path.stem} ({len(part.notes)}): {row(tongued, tongued)}")
        for dial in DIALS:
            plan = plan_slide(part, part.tempo_map, instrument(), settings(), dial=dial)
            print(f"   {dial:4}: {row(plan, tongued)}")


def row(plan: SlidePlan, tongued: SlidePlan) -> str:
    """Write the figures of a plan, and how they compare."""
    travel = 100 * (plan.travel_cm / tongued.travel_cm - 1)
    strokes = 100 * (plan.tongue_strokes / tongued.tongue_strokes - 1)
    return (
        f"{plan.travel_cm:6.0f} cm ({travel:+.0f} %), {plan.tongue_strokes:4} strokes "
        f"({strokes:+.0f} %), {plan.natural_slurs:4} slurs"
    )


def main() -> None:
    """Run everything."""
    dice = random.Random(SEED)
    compare_with_every_way(dice)
    compare_with_networkx(dice)
    measure_growth(dice)
    with tempfile.TemporaryDirectory() as home:
        os.environ["COACH_HOME"] = home
        show_etudes()


if __name__ == "__main__":
    main()
