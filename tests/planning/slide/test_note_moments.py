"""A part as the walk sees it."""

from __future__ import annotations

import pytest

from coach.planning.instrument.placement import NO_PLACE
from coach.planning.slide.moment import Moment
from coach.planning.slide.note_moments import (
    Freedom,
    find_places,
    lay_moments,
    read_page_notes,
)
from coach.planning.slide.page_articulation import Begin
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.slide.slide_shelf import instrument, settings

FREE = Freedom(may_use_alternates=True, may_add_slurs=True, locked={})
BOUND = Freedom(may_use_alternates=False, may_add_slurs=False, locked={})


def moments(
    part: Part, freedom: Freedom = FREE, breaths_after: frozenset[int] = frozenset()
) -> list[Moment]:
    page = read_page_notes(part, part.tempo_map, breaths_after)
    return lay_moments(page, instrument(), settings(), freedom)


def labels(moment: Moment) -> list[str]:
    return list(dict.fromkeys(way.place.label for way in moment.ways))


def test_every_place_of_a_free_note_is_offered_struck_and_slurred() -> None:
    _, moment = moments(part_of("Bb3e F4e", bpm=90))
    assert labels(moment) == ["1", "#4", "6"]
    assert [way.is_stroke for way in moment.ways] == [True, False] * 3


def test_without_freedom_there_is_the_usual_place_and_the_tongue() -> None:
    _, moment = moments(part_of("Bb3e F4e"), BOUND)
    assert [(way.place.label, way.is_stroke) for way in moment.ways] == [("1", True)]


def test_a_written_slur_may_be_softly_tongued() -> None:
    _, moment = moments(part_of("Bb3e ~F4e"), BOUND)
    assert [way.is_stroke for way in moment.ways] == [False, True]


def test_equal_notes_in_equal_places_are_one_moment() -> None:
    found = moments(part_of("D4s F4s D4s F4s D4s F4s D4s F4s"))
    assert found[3] is found[5]
    assert found[2].ways is found[4].ways


def test_the_arm_has_part_of_the_note_before() -> None:
    _, moment = moments(part_of("Bb3e F4e", bpm=60))
    assert moment.ioi_s == 0.5
    assert moment.move_s == pytest.approx(0.5 * settings().move_share)


def test_a_breath_gives_the_arm_all_the_time_there_is() -> None:
    _, moment = moments(part_of("Bb3e F4e", bpm=60), breaths_after=frozenset({0}))
    assert moment.move_s == 0.5
    assert moment.is_break


def test_a_rest_counts_as_time() -> None:
    _, moment = moments(part_of("Bb3e rq F4e", bpm=60))
    assert moment.move_s == 1.5


def test_a_note_that_cannot_be_played_breaks_the_line() -> None:
    found = moments(part_of("Bb2e ~D2e ~Bb2e ~C3e"))
    assert found[1].ways[0].place is NO_PLACE
    assert [m.is_break for m in found] == [True, True, True, False]
    assert [m.begin for m in found[1:3]] == [Begin.TONGUE, Begin.TONGUE]


def test_a_locked_place_is_the_only_one() -> None:
    locked = Freedom(may_use_alternates=True, may_add_slurs=True, locked={1: "4"})
    assert labels(moments(part_of("Bb3e F4e"), locked)[1]) == ["#4"]


def test_a_lock_that_the_pitch_has_not_changes_nothing() -> None:
    places = find_places(instrument(), 65, "3", FREE, settings())
    assert places == instrument().choices(65)


def test_no_alternate_lies_on_the_eleventh_partial_unless_it_is_asked_for() -> None:
    """C5 in fifth: half a semitone flat in first, and in no usual chart (common
    practice, no published source)."""
    chart = instrument().choices(72)
    assert 11 in {place.partial for place in chart}
    (asked,) = find_places(instrument(), 72, "5", FREE, settings())
    assert asked.partial == 11
    chosen = find_places(instrument(), 72, None, FREE, settings())
    assert [place.partial for place in chosen] == [9, 10, 12]
    assert find_places(instrument(), 72, None, FREE, None) == chart


def test_locks_hold_even_where_only_usual_places_are_let() -> None:
    (place,) = find_places(instrument(), 65, "4", BOUND, settings())
    assert place.is_alternate
