"""The same way to shorten like figures, and at like places of the bar."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.alike import left_out_alike
from coach.planning.breathing.alike.left_out_alike import leave_out_alike
from coach.planning.breathing.breath_places import Places, lay_places
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breath_ways import Way
from coach.planning.breathing.breaths import BreathPlan, choose_breaths
from coach.planning.breathing.choose_ways import choose_ways
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.search.breath_walk import walk
from coach.planning.phrasing.phrasing import phrase_ends
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import COSTS, who

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
    each = left_out(*studied(COSTS))
    assert len(each) > 2
    assert len(set(each)) == 1
    free = left_out(*studied(replace(COSTS, alike_weight=0.0)))
    assert len(set(free)) > 1, "else there is nothing to make alike"


def test_where_no_figure_comes_more_often_than_others_each_has_its_own() -> None:
    places, _ = studied(COSTS, bpm=100)
    every_gap = frozenset(range(len(places.gaps)))
    allowed = choose_ways(places, Locks()).with_fewer_notes(places, Locks(), every_gap)
    chosen: dict[object, tuple[int, Way]] = {}
    for k, at_gap in enumerate(allowed.ways):
        for way in at_gap:
            if way.left_out and k > 40 * len(chosen):
                names = [str(n.sounding) for n in places.passage.part.notes[k : k + 4]]
                chosen.setdefault((*names, way.left_out), (k, way))
    assert len(chosen) > 2
    plain = walk(places, sorted(chosen.values()))
    assert leave_out_alike(places, allowed, plain) is plain


def left_after(costs: BreathSettings) -> list[float]:
    """Tell after which beats of its bar a study of one note leaves out others."""
    part = part_of("F3s " * 256, bpm=100)
    passage = set_passage(part, 100, [0.1] * 255)
    breather = replace(who(measured(4.8)), costs=costs)
    plan = choose_breaths(lay_places(passage, breather))
    return [float(part.notes[b.after_note].beat) for b in plan.breaths if b.left_out]


def test_notes_are_left_out_at_the_same_place_of_the_bar() -> None:
    each = left_after(COSTS)
    assert len(each) > 2
    assert len(set(each)) == 1
    free = left_after(replace(COSTS, alike_weight=0.0))
    assert len(set(free)) > 1, "else there is nothing to make alike"


def test_a_long_part_is_not_searched_again_for_the_place_in_the_bar(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(left_out_alike, "MOST_NOTES_ANEW", 255)
    assert left_after(COSTS) == left_after(replace(COSTS, alike_weight=0.0))
