"""Parts, and the segment of a part that is rehearsed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.score.phrase import Place, Room, place_of, time_notes
from coach.score.tempo import beats
from tests.score.whole_notes import Row, make_part


def test_a_part_knows_its_ends_and_counts_its_bars() -> None:
    part = make_part([0, 1, 2, 1, 2], pickup=1)
    assert [part.start, part.end] == [-1, 16]
    assert part.bar_count == 2


def test_another_tempo_keeps_the_changes() -> None:
    faster = make_part([1, 2]).at_tempo(90)
    assert [mark.quarters_per_minute for mark in faster.marks] == [90, 180]


def test_notes_are_timed_as_written() -> None:
    part = make_part([1, 2])
    times = time_notes(part, part.tempo_map)
    rows: list[Row] = [(time.start, time.end) for time in times]
    assert rows == [(0, 4), (4, 7)]


@pytest.mark.parametrize(
    ("where", "place"),
    [
        (-1.0, Place(0, 4.0)),
        (0.0, Place(1, 1.0)),
        (2.5, Place(1, 3.5)),
        (4.0, Place(2, 1.0)),
        (9.0, Place(2, 6.0)),
        (-2.0, Place(0, 3.0)),
    ],
)
def test_a_moment_is_named_by_bar_and_beat(where: float, place: Place) -> None:
    assert place_of(make_part([0, 1, 2], pickup=1), where) == place


@pytest.mark.parametrize(
    ("title", "name", "heading"),
    [("Tide", "Horn", "Tide, Horn"), ("Tide", "Tide", "Tide"), ("Tide", "", "Tide")],
)
def test_a_heading_says_nothing_twice(title: str, name: str, heading: str) -> None:
    part = replace(make_part([1]), title=title, name=name)
    assert part.heading == heading


def test_where_a_room_ends_the_page_goes_on() -> None:
    """Three tenths are less than one and two of them, in a computer's numbers."""
    tenths = [beats(Fraction(k, 10)) for k in range(4)]
    bar = replace(make_part([1]).bars[0], rooms=(Room(tenths[1], tenths[2]),))
    assert bar.written_at(float(tenths[3])) == pytest.approx(0.1)
    assert bar.written_at(0.29) < 0.1
