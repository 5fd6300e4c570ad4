"""The same way to shorten like figures, and at like places of the bar."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

from coach.planning.air.lungs import measured
from coach.planning.breathing.alike import like_bars
from coach.planning.breathing.alike.like_bars import breathe_like_bars
from coach.planning.breathing.alike.likening import Label, Likened
from coach.planning.breathing.breath_costs import LIKELY
from coach.planning.breathing.breath_places import Places, lay_places
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breaths import (
    LIKE_OTHERS,
    BreathPlan,
    choose_breaths,
)
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.search.breath_search import find_breaths
from coach.planning.breathing.search.breath_walk import Walk, walk
from coach.planning.breathing.ways.breath_ways import Way
from coach.planning.breathing.ways.choose_ways import Allowed, choose_ways
from coach.planning.phrasing.phrasing import phrase_ends
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import (
    AIR,
    COSTS,
    MILD,
    is_worth,
    lay,
    may_breathe,
    who,
)

FIGURES = "D4s F4s Eb4s C4s Bb3s D4s C4s A3s "


def studied(costs: BreathSettings, bpm: float = 120) -> tuple[Places, BreathPlan]:
    """Plan sixteenths with an eighth every four bars, for small lungs."""
    part = part_of((FIGURES * 7 + "D4s F4s Eb4s C4s Bb3s D4s C4e ") * 3, bpm=100)
    passage = set_passage(part, bpm, phrase_ends(part))
    places = lay_places(passage, replace(who(measured(2.4)), costs=costs))
    return places, choose_breaths(places)


def left_out(places: Places, plan: BreathPlan) -> list[tuple[str, ...]]:
    notes = places.passage.part.notes
    return [
        tuple(str(notes[k].sounding) for k in breath.left_out)
        for breath in plan.breaths
        if breath.left_out
    ]


def test_like_figures_leave_out_the_same_notes() -> None:
    each = left_out(*studied(MILD))
    assert len(each) > 2
    assert len(set(each)) == 1
    free = left_out(*studied(replace(MILD, alike_weight=0.0)))
    assert len(set(free)) > 1, "else there is nothing to make alike"


def left_after(costs: BreathSettings) -> list[float]:
    """Tell after which beats of its bar a study of one note leaves out others."""
    part = part_of("F3s " * 256, bpm=100)
    passage = set_passage(part, 100, [0.1] * 255)
    breather = replace(who(measured(4.8)), costs=costs)
    plan = choose_breaths(lay_places(passage, breather))
    return [float(part.notes[b.after_note].beat) for b in plan.breaths if b.left_out]


def test_notes_are_left_out_at_the_same_place_of_the_bar() -> None:
    each = left_after(MILD)
    assert len(each) > 2
    assert len(set(each)) == 1
    free = left_after(replace(MILD, alike_weight=0.0))
    assert len(set(free)) > 1, "else there is nothing to make alike"


SCALE = ["Bb2", "C3", "D3", "Eb3", "F3", "G3", "A3", "Bb3", "C4", "D4", "Eb4", "F4"]


def eighths(seed: int, bars: int = 16) -> Part:
    """Make a line of unbroken eighths, up and down a scale by chance."""
    chance, step, words = Random(seed), 4, []
    for _ in range(8 * bars):
        step = min(max(step + chance.choice((-2, -1, 1, 2)), 0), len(SCALE) - 1)
        words.append(f"{SCALE[step]}e")
    return part_of(" ".join(words))


def searched(
    seed: int, bpm: float, litres: float, locks: Locks = NOTHING_LOCKED
) -> tuple[Places, Allowed, Walk]:
    """Search the breaths of such a line, with some phrase ends in it."""
    part = eighths(seed)
    ends = [0.6 if k % 32 == 31 else 0.1 for k in range(len(part.notes) - 1)]
    places = lay(part, bpm=bpm, ends=ends, player=measured(litres))
    allowed = choose_ways(places, locks)
    return places, allowed, find_breaths(places, allowed)


def beats_breathed(places: Places, plan: Walk) -> Counter[object]:
    """Count after which beats of the bar the breaths stand that end no phrase."""
    notes = places.passage.part.notes
    return Counter(
        notes[k].beat for k, _ in plan.breaths if places.gaps[k].phrase_end < LIKELY
    )


LINES = [
    searched(seed, bpm, litres)
    for seed in range(4)
    for bpm in (60.0, 80.0)
    for litres in (4.0, 5.0)
]


def odd(places: Places, plan: Walk) -> int:
    """Count the breaths that are unlike most others."""
    beats = beats_breathed(places, plan)
    return beats.total() - max(beats.values(), default=0)


def test_bars_of_one_rhythm_are_breathed_at_one_place_where_that_costs_little() -> None:
    before = sum(odd(places, plain) for places, _, plain in LINES)
    likened = [(lines[0], breathe_like_bars(*lines)) for lines in LINES]
    after = sum(odd(places, plan) for places, plan in likened)
    assert after < 0.7 * before, (before, after)


def test_each_breath_that_is_made_alike_costs_less_than_its_price() -> None:
    """And is none that the search would not allow."""
    for places, allowed, plain in LINES:
        plan = breathe_like_bars(places, allowed, plain)
        moved = set(plan.breaths) - set(plain.breaths)
        assert len(plan.breaths) == len(plain.breaths)
        assert plan.cost <= plain.cost + COSTS.alike_weight * len(moved) + 1e-9
        assert min(plan.air_after) >= AIR.empty_share - 1e-9
        last = 0
        for k, way in plan.breaths:
            assert may_breathe(places, k, last)
            assert is_worth(places, k, plan.air_after[k], way)
            last = k + 1


def test_breaths_that_stay_are_not_moved_however_much_likeness_is_worth() -> None:
    def even(_: Places, k: int, way: Way) -> Label:
        return way.left_out, k % 2

    places, allowed, plain = LINES[0]
    assert {k % 2 for k, _ in plain.breaths} == {0, 1}
    moving, staying = (
        Likened(places, allowed, even, price=50.0, stays=stays)
        for stays in (False, True)
    )
    assert len({k % 2 for k, _ in moving.liken(plain.breaths)}) == 1
    assert staying.liken(plain.breaths) == plain.breaths


def test_a_breath_at_a_phrase_end_stays_there() -> None:
    """However much likeness is worth."""
    kept = moved = 0
    for places, allowed, plain in LINES:
        costs = replace(COSTS, alike_weight=50.0)
        laid = lay_places(places.passage, replace(places.breather, costs=costs))
        plan = breathe_like_bars(laid, allowed, plain)
        before, after = ({k for k, _ in each.breaths} for each in (plain, plan))
        at_ends = {k for k in before if places.gaps[k].phrase_end >= LIKELY}
        assert at_ends <= after
        kept += len(at_ends)
        moved += len(before - after)
    assert kept
    assert moved


def test_a_breath_that_is_asked_for_stays_where_it_is() -> None:
    asked = frozenset({21, 45, 77})
    for seed in range(4):
        places, allowed, plain = searched(seed, 80, 5.0, Locks(must=asked))
        plan = breathe_like_bars(places, allowed, plain)
        assert asked <= {k for k, _ in plan.breaths}


def test_what_is_breathed_alike_for_another_reason_is_left_as_it_is() -> None:
    for places, allowed, plain in LINES:
        everywhere = frozenset(range(len(places.gaps)))
        assert breathe_like_bars(places, allowed, plain, everywhere) is plain


def test_where_likeness_is_worth_nothing_each_breath_has_its_own_place() -> None:
    for places, allowed, plain in LINES:
        free = replace(places.breather, costs=replace(COSTS, alike_weight=0.0))
        laid = lay_places(places.passage, free)
        assert breathe_like_bars(laid, allowed, plain) is plain


def test_a_plan_that_is_dry_is_left_as_it_is() -> None:
    places, allowed, _ = LINES[0]
    dry = walk(places, ())
    assert breathe_like_bars(places, allowed, dry) is dry


def test_bars_that_differ_in_rhythm_need_not_be_breathed_alike() -> None:
    part = part_of("F3e G3e A3e Bb3e A3e G3e A3e Bb3e F3s G3s A3s Bb3s A3q G3h " * 4)
    numbers = tuple(rhythm for rhythm, _ in like_bars._beats_of_bars(part))
    first, second = numbers[:8], numbers[8:14]
    assert set(first) == {0}
    assert set(second) == {1}
    assert numbers == (first + second) * 4


def test_a_breath_that_stands_elsewhere_for_the_sake_of_others_says_so() -> None:
    said = 0
    for places, _, _ in LINES:
        notes = places.passage.part.notes
        beats = [(notes[b.after_note].beat, b) for b in choose_breaths(places).breaths]
        for beat, breath in beats:
            if breath.why == LIKE_OTHERS:
                said += 1
                assert not breath.left_out
                assert any(beat == b and other is not breath for b, other in beats)
    assert said
