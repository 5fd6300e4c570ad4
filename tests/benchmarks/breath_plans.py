"""Hold the breath planner to every plan there is, to HiGHS, and to the clock.

Run it by hand: ``python -m tests.benchmarks.breath_plans [every|solver|songs|clock]``.

every   5,000 random short phrases, with locks, against every plan there is
solver  phrases of 40 to 120 notes against HiGHS: equal cost, and how much faster
songs   500 folk songs at three tempi: how good each plan is proved to be
clock   time by size and tempo for unbroken and mixed phrases, the worst case too; in
        loops, each the time that a million squares take to be added up in the same run
"""

from __future__ import annotations

import gc
import random
import sys
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from statistics import median
from time import perf_counter, process_time

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breaths import choose_breaths, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.search.breath_search import (
    find_breaths,
    least_cost,
    share_above,
)
from coach.planning.breathing.sure_breaths import prove_breaths
from coach.planning.breathing.ways.breath_ways import ROUNDING
from coach.planning.breathing.ways.choose_ways import choose_ways
from coach.planning.phrasing.phrasing import phrase_ends
from coach.score.note import Note, Pitch
from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.benchmarks.essen import read_songs
from tests.planning.breathing.breath_model import solve
from tests.planning.breathing.breath_oracle import (
    AIR,
    bind,
    every_cost,
    lay,
    problems,
    who,
)

COMPARISONS = 5_000
EASY = 60
MOST_S = 270.0
SONGS, STRIDE = 500, 16
SIXTEENTH, EIGHTH = Fraction(1, 4), Fraction(1, 2)
KINDS: dict[str, tuple[Fraction, ...]] = {
    "sixteenths": (SIXTEENTH,),
    "eighths": (EIGHTH,),
    "eighth and two sixteenths": (EIGHTH, SIXTEENTH, SIXTEENTH),
    "mixed": (SIXTEENTH, SIXTEENTH, EIGHTH, Fraction(1), Fraction(2)),
    "long": (Fraction(1), Fraction(2)),
}
SCALE = [Pitch(3, step) for step in "CDEFGAB"] + [Pitch(4, step) for step in "CDEF"]
TEMPI = (30.0, 60.0, 90.0, 140.0)


def phrase(
    kind: str, count: int, seed: int, *, rests: float = 0.0, loud: float = 0.0
) -> Part:
    """Make a phrase: a random walk on a scale in lengths of one kind."""
    chance = random.Random(seed)
    lengths = KINDS[kind]
    place, notes, step = Fraction(0), [], 5
    for k in range(count):
        length = (
            lengths[k % len(lengths)] if kind != "mixed" else chance.choice(lengths)
        )
        step = min(max(step + chance.choice((-2, -1, 1, 2)), 0), len(SCALE) - 1)
        notes.append(
            Note(
                onset=Beats(place),
                length=Beats(length),
                written=SCALE[step],
                sounding=SCALE[step],
                bar=int(place // 4) + 1,
                beat=place % 4 + 1,
                loud_start=loud,
                loud_end=loud,
            )
        )
        place += length + (Fraction(1, 2) if chance.random() < rests else 0)
    return bind(notes)


def likely_ends(count: int, seed: int) -> list[float]:
    """Draw how likely a phrase ends in each gap: mostly not at all."""
    chance = random.Random(seed)
    return [chance.random() ** 3 for _ in range(count - 1)]


def clear_ends(count: int, seed: int) -> list[float]:
    """Draw phrases that end clearly, about every seventh note."""
    chance = random.Random(seed)
    return [0.95 if chance.random() < 1 / 7 else 0.03 for _ in range(count - 1)]


def against_every_plan() -> None:
    """Compare with every plan there is."""
    seen = {"compared": 0, "wrong": 0, "looser": 0, "plans": 0, "dry": 0}

    @settings(
        max_examples=COMPARISONS,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def compare(data: st.DataObject) -> None:
        places = data.draw(problems(most_notes=6))
        gaps = st.frozensets(st.integers(0, max(0, len(places.gaps) - 1)))
        must, must_not = data.draw(gaps), data.draw(gaps)
        locks = Locks(must, must_not)
        every_gap = frozenset(range(len(places.gaps)))
        allowed = choose_ways(places, locks).with_fewer_notes(places, locks, every_gap)
        costs = list(every_cost(places, allowed))
        found, least = find_breaths(places, allowed), least_cost(places, allowed)
        gap = share_above(found.cost, least)
        seen["compared"] += 1
        seen["plans"] += len(costs)
        seen["wrong"] += abs(least - min(costs)) > 1e-9 * max(1.0, least)
        seen["looser"] += gap > 1e-9
        seen["dry"] += min(found.air_after) < AIR.empty_share

    start = perf_counter()
    compare()
    print(
        f"{seen['compared']} phrases, {seen['plans']} plans weighed, "
        f"{seen['wrong']} mismatches, {seen['looser']} proved to a gap, since a "
        "breath would be for nothing, "
        f"{seen['dry']} run dry; {perf_counter() - start:.0f} s"
    )


def against_the_solver() -> None:
    """Compare with HiGHS, in cost and in time.

    Phrases end clearly here: where they do not, HiGHS finds no proof in minutes.
    """
    print(
        f"{'notes':>5} {'ours':>9} {'HiGHS':>9} {'bound':>9}  ours ms  HiGHS s  times"
    )
    for count in (40, 60, 80, 100, 120):
        for seed in (1,) if count > EASY else (1, 2):
            part = phrase("mixed", count, seed, rests=0.1)
            places = lay(
                part,
                bpm=80.0,
                ends=clear_ends(count, seed),
                player=measured(5.0),
            )
            ours_s = timed(partial(choose_breaths, places), 5)
            plan = choose_breaths(places)
            start = perf_counter()
            cost, bound = solve(places, choose_ways(places, Locks()), seconds=MOST_S)
            took = perf_counter() - start
            assert plan.runs_out is None
            print(
                f"{count:5} {plan.cost:9.5f} {cost:9.5f} {bound:9.5f} "
                f"{ours_s * 1000:8.2f} {took:8.1f} {took / ours_s:6.0f}"
            )


def on_songs() -> None:
    """Plan folk songs at three tempi; print the worst proved gap of each."""
    songs = read_songs(every=STRIDE)[:SONGS]
    player = measured(4.5)
    for bpm in (50.0, 80.0, 120.0):
        worst, proved, breaths, dry, took = 0.0, 0, 0, 0, 0.0
        for song in songs:
            ends = phrase_ends(song.part)
            start = process_time()
            plan = plan_breaths(set_passage(song.part, bpm, ends), who(player))
            took += process_time() - start
            gap = prove_breaths(set_passage(song.part, bpm, ends), who(player), plan)
            worst = max(worst, gap)
            proved += gap <= ROUNDING
            breaths += len(plan.breaths)
            dry += plan.runs_out is not None
        print(
            f"{len(songs)} songs at {bpm:.0f}: worst gap {worst:.1e}, {proved} proved "
            f"best, {breaths} breaths, {dry} run dry, "
            f"{took / len(songs) * 1000:.1f} ms a song"
        )


def against_the_clock() -> None:
    """Time whole plans, and what an edit takes, by size and tempo."""
    loop_s = timed(lambda: sum(k * k for k in range(1_000_000)), 5)
    print(
        f"a loop takes {loop_s * 1000:.0f} ms\n"
        f"{'phrase':26} {'bpm':>4} {'notes':>6} {'whole ms':>9} {'edit ms':>8} "
        f"{'loops':>8} {'breaths':>8} {'gap':>8}"
    )
    for kind in KINDS:
        for loud in (0.0, -3.0):
            for bpm in TEMPI:
                for count in (300, 3_000, 10_000):
                    _time_one(kind, bpm, count, loud, loop_s)


def _time_one(kind: str, bpm: float, count: int, loud: float, loop_s: float) -> None:
    """Time one phrase at one tempo."""
    part = phrase(kind, count, 1, loud=loud)
    ends = likely_ends(count, 1)
    player = measured(5.0)
    rounds = 5 if count == min(300, count) else 1
    passage = set_passage(part, bpm, ends)
    whole_s = timed(
        lambda: plan_breaths(passage, who(player)),
        rounds,
    )
    places: Places = lay(part, bpm=bpm, ends=ends, player=player)
    locks = Locks(must_not=frozenset({count // 2}))
    edit_s = timed(lambda: choose_breaths(places, locks), rounds)
    plan = choose_breaths(places, locks)
    gap = prove_breaths(passage, who(player), plan, locks)
    name = f"{kind}{', pp' if loud else ''}"
    print(
        f"{name:26} {bpm:4.0f} {count:6} {whole_s * 1000:9.1f} {edit_s * 1000:8.1f} "
        f"{whole_s / loop_s:8.2f} {len(plan.breaths):8} {gap:8.1e}"
    )


def timed(call: Callable[[], object], rounds: int) -> float:
    """Give the middle processor time of a few calls, in seconds.

    Processor time, since other work on the machine must not count.
    """
    times = []
    for _ in range(rounds):
        gc.collect()
        start = process_time()
        call()
        times.append(process_time() - start)
    return median(times)


def main(names: Sequence[str]) -> None:
    """Run the benchmarks that are named, or all."""
    benchmarks = {
        "every": against_every_plan,
        "solver": against_the_solver,
        "songs": on_songs,
        "clock": against_the_clock,
    }
    for name in names or benchmarks:
        print(f"--- {name}")
        benchmarks[name]()


if __name__ == "__main__":
    main(sys.argv[1:])
