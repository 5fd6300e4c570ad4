"""Every way to breathe in a gap: out of the rest, or out of the note before."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from coach.planning.air.air import refill
from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places, Way, choose_ways
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import AIR, COSTS, lay, problems


def places_of(
    words: str, bpm: float = 60.0, *, end: float = 0.5, litres: float = 5.0
) -> Places:
    part = part_of(words)
    ends = [end] * (len(part.notes) - 1)
    return lay(part, bpm=bpm, ends=ends, player=measured(litres))


def test_a_rest_is_used_whole_and_takes_nothing() -> None:
    (ways,) = places_of("F3h rh F3w").ways
    assert [(way.gap_s, way.taken_s) for way in ways] == [(2.0, 0.0)]


def test_a_short_rest_may_be_lengthened_out_of_the_note_before() -> None:
    (ways,) = places_of("F3h re F3w").ways
    assert ways[0].taken_s == 0.0
    assert all(way.gap_s == pytest.approx(0.5 + way.taken_s) for way in ways)
    assert [way.cost for way in ways] == sorted(way.cost for way in ways)


def test_without_a_rest_the_note_before_gives_the_time() -> None:
    places = places_of("F3q F3q")
    (ways,) = places.ways
    assert len(ways) == COSTS.most_ways_count
    for way in ways:
        assert way.taken_s == way.gap_s <= COSTS.most_taken_share
        assert way.sounding_s == pytest.approx(1.0 - way.taken_s)
        assert way.used == pytest.approx(places.notes[0].used * way.sounding_s)


def test_a_note_too_short_to_spare_anything_has_no_place_after_it() -> None:
    assert places_of("F3s F3s", bpm=90).ways == ((),)


def test_a_staccato_note_lends_its_silence() -> None:
    """Its sound is over by then, so little of it is lost."""
    part = part_of("F3q F3q")
    dotted = tuple(
        replace(note, articulations=frozenset({"staccato"})) for note in part.notes
    )
    short = lay(
        replace(part, notes=dotted), bpm=60.0, ends=[0.5], player=measured(5.0)
    ).ways[0]
    long = places_of("F3q F3q").ways[0]
    assert all(a.cost < b.cost for a, b in zip(short, long, strict=True))


def test_a_surer_phrase_end_makes_a_breath_cheaper() -> None:
    unsure, sure = (places_of("F3q F3q", end=end).ways[0][0] for end in (0.2, 0.9))
    assert sure.cost < unsure.cost


def test_an_unused_rest_costs_a_little_where_a_phrase_ends() -> None:
    assert places_of("F3q rq F3q", end=1.0).gaps[0].going_on_cost > 0.0
    assert places_of("F3q F3q", end=1.0).gaps[0].going_on_cost == 0.0


class TestLocks:
    PLACES = places_of("F3q F3q, F3q F3s F3s F3q", bpm=90)

    def choose(
        self, must: set[int], must_not: set[int]
    ) -> tuple[list[tuple[Way, ...]], list[bool], list[int]]:
        return choose_ways(self.PLACES, frozenset(must), frozenset(must_not))

    def test_a_mark_on_the_page_is_obeyed(self) -> None:
        _, forced, impossible = self.choose(set(), set())
        assert forced == [False, True, False, False, False]
        assert impossible == []

    def test_the_player_goes_before_the_page(self) -> None:
        ways, forced, impossible = self.choose(set(), {1})
        assert not any(forced)
        assert ways[1] == ()
        assert impossible == []

    def test_a_breath_that_is_asked_for_is_taken(self) -> None:
        assert self.choose({2}, set())[1] == [False, True, True, False, False]

    def test_what_cannot_be_is_named(self) -> None:
        """No time, both asked for and forbidden, after the last note, nowhere."""
        _, forced, impossible = self.choose({0, 4, 3, 5, -1, 99}, {0, 77})
        assert impossible == [-1, 0, 3, 4, 5, 99]
        assert forced == [False, True, False, False, False]


@settings(max_examples=200, deadline=None)
@given(problems(most_notes=8))
def test_breaths_fill_as_the_air_model_says_down_to_a_whole_step(
    places: Places,
) -> None:
    for ways in places.ways:
        for way in ways:
            for depth in (-0.39, -0.2, 0.0, 0.17, 0.4, 0.7):
                level = places.lungs.half - places.lungs.breathe(depth, way.still_empty)
                exact = refill(places.lungs.half - depth, way.gap_s, AIR)
                assert exact - 0.01 - 1e-9 < level <= exact + 1e-9
                assert level * 100 == pytest.approx(round(level * 100))
