"""Going from segment to segment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.stand.segment_choice import (
    Choice,
    choose_bars,
    choose_whole,
    cut_choice,
    divide_at_jumps,
    following_bars,
    following_breath,
    parts_of,
    time_of_bars,
)
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.page_facts import span_on_page
from coach.score.phrase import Part
from tests.hand_made import part_of

TEN_BARS = "Bb2h C3h " * 4 + "rw rw " + "D3h Eb3h " * 4
SPANS = ((0, 2), (3, 7), (8, 15))


@pytest.fixture
def part() -> Part:
    return part_of(TEN_BARS)


def bars(first: int, last: int) -> Choice:
    return Choice((first, last))


@pytest.mark.parametrize(
    ("start", "step", "expected"),
    [
        (bars(0, 1), 1, bars(2, 3)),
        (bars(2, 3), 1, bars(6, 7)),  # two bars of rest are passed over
        (bars(6, 7), -1, bars(2, 3)),
        (bars(5, 8), 1, bars(9, 9)),
        (bars(8, 9), 1, None),
        (bars(1, 3), -1, bars(0, 0)),
        (bars(0, 1), -1, None),
        (bars(0, 9), 1, bars(0, 3)),
        (bars(0, 9), -1, bars(6, 9)),
    ],
)
def test_as_many_bars_follow_as_are_chosen(
    part: Part, start: Choice, step: int, expected: Choice | None
) -> None:
    assert following_bars(part, start, step, size=4) == expected


def repeated(numbers: Sequence[int]) -> Part:
    """Make a part whose bars are played in such an order, a half note twice in each."""
    part = part_of("Bb2h C3h " * len(numbers))
    bars = zip(part.bars, numbers, strict=True)
    return replace(part, bars=tuple(replace(bar, number=k) for bar, k in bars))


ENDINGS = (1, 2, 3, 4, 1, 2, 3, 5)
"""Three bars, a first ending and a second."""


@pytest.mark.parametrize(
    ("start", "step", "expected"),
    [
        (bars(0, 2), 1, bars(3, 3)),  # the first ending, and no further
        (bars(3, 3), 1, bars(5, 7)),  # into the second, which was not played before
        (bars(5, 7), 1, None),
        (bars(3, 3), -1, bars(0, 2)),
        (bars(0, 7), 1, bars(0, 2)),
        (bars(0, 7), -1, bars(5, 7)),
    ],
)
def test_bars_that_follow_are_those_that_their_numbers_lead_to(
    start: Choice, step: int, expected: Choice | None
) -> None:
    """Else a run of bars 4, 1 and 2 stands in the log as one of bar 4."""
    part = repeated(ENDINGS)
    assert following_bars(part, start, step, size=3) == expected
    if expected is not None:
        numbers = span_on_page(part, *expected.bars)
        assert choose_bars(part, *numbers) == expected


@given(st.lists(st.integers(1, 5), min_size=1, max_size=9), st.integers(1, 4))
def test_whatever_the_order_each_choice_has_one_name(
    numbers: list[int], size: int
) -> None:
    part = repeated(numbers)
    for step in (1, -1):
        choice: Choice | None = choose_whole(part)
        for _ in numbers:
            choice = choice and following_bars(part, choice, step, size)
            if choice is not None:
                assert choose_bars(part, *span_on_page(part, *choice.bars)) == choice


def test_what_is_played_on_one_breath_is_divided_where_the_page_is() -> None:
    """Two notes a bar: the breath goes from bar 3 over the repeat to bar 2."""
    part = repeated(ENDINGS)
    spans = [(0, 3), (4, 11), (12, 15)]
    assert divide_at_jumps(part, spans) == (
        (0, 3),
        (4, 7),
        (8, 11),
        (12, 13),
        (14, 15),
    )


@pytest.mark.parametrize(
    ("start", "step", "expected"),
    [
        (Choice((0, 1), (0, 2)), 1, (3, 7)),
        (Choice((1, 3), (3, 7)), 1, (8, 15)),
        (Choice((6, 9), (8, 15)), 1, None),
        (Choice((1, 3), (3, 7)), -1, (0, 2)),
        (Choice((0, 1), (0, 2)), -1, None),
        (bars(0, 9), 1, (0, 2)),
        (bars(2, 3), 1, (8, 15)),
        (bars(2, 3), -1, (3, 7)),
    ],
)
def test_the_next_breath_is_chosen_and_the_one_before(
    part: Part, start: Choice, step: int, expected: tuple[int, int] | None
) -> None:
    found = following_breath(part, start, step, SPANS)
    assert (found.notes if found else None) == expected


def test_a_breath_knows_the_bars_it_lies_in(part: Part) -> None:
    found = following_breath(part, Choice((0, 1), (0, 2)), 1, SPANS)
    assert found is not None
    assert found.bars == (1, 3)


def test_what_is_chosen_is_cut_with_lead_in_and_overlap(part: Part) -> None:
    wishes = RunWishes(60, 1, 10, ClickWishes(), lead_in_bars=1, overlaps=True)
    by_bars = cut_choice(part, choose_bars(part, 2, 3), wishes)
    assert (by_bars.first_note, len(by_bars.part.notes)) == (0, 7)
    by_breath = cut_choice(part, Choice((1, 3), (3, 6)), wishes)
    assert (by_breath.first_note, len(by_breath.part.notes)) == (0, 8)
    assert cut_choice(part, choose_whole(part), wishes).is_whole


def ends_before(part: Part, places: Mapping[tuple[int, float], float]) -> list[float]:
    """Let phrases end before some notes, by bar and beat; nowhere else."""
    return [places.get((note.bar, float(note.beat)), 0.0) for note in part.notes[1:]]


@pytest.mark.parametrize(
    ("ends", "parts"),
    [
        ({}, [(0, 4), (4, 8), (8, 12), (12, 15)]),
        ({(7, 1.0): 0.9, (12, 1.0): 0.8}, [(0, 6), (6, 11), (11, 15)]),
        ({(6, 4.0): 0.9}, [(0, 6), (6, 10), (10, 15)]),  # with an upbeat to bar 7
        ({(6, 2.0): 0.9}, [(0, 5), (5, 9), (9, 15)]),  # inside a bar, that both share
        ({(6, 2.0): 0.9, (5, 1.0): 0.9}, [(0, 4), (4, 8), (8, 12), (12, 15)]),
        ({(5, 1.0): 0.52, (6, 1.0): 0.54}, [(0, 4), (4, 8), (8, 12), (12, 15)]),
        ({(2, 1.0): 0.9}, [(0, 4), (4, 8), (8, 12), (12, 15)]),  # too short a part
    ],
)
def test_parts_to_practise_alone_begin_where_phrases_do(
    ends: dict[tuple[int, float], float], parts: list[tuple[int, int]]
) -> None:
    """Four bars or so, from two to eight, each with the downbeat of the next."""
    part = part_of("Bb2q C3q D3q Eb3q " * 16)
    assert parts_of(part, None, ends_before(part, ends), 4) == parts


def test_parts_by_breath_begin_at_breaths_and_a_short_page_is_one() -> None:
    part = part_of("Bb2q C3q D3q Eb3q " * 16)
    nowhere = ends_before(part, {})
    spans = [(0, 11), (12, 23), (24, 47), (48, 63)]
    assert parts_of(part, spans, nowhere, 4) == [(0, 6), (6, 12), (12, 15)]
    short = part_of("Bb2q C3q D3q Eb3q " * 5)
    assert parts_of(short, None, ends_before(short, {}), 4) == [(0, 4)]


def test_bars_last_as_long_as_they_are_played_with_their_repeats() -> None:
    """At 60 a bar of four beats lasts four seconds."""
    assert time_of_bars(part_of(TEN_BARS), (3, 4), 60) == 8.0
    assert time_of_bars(part_of(TEN_BARS), (3, 4), 120) == 4.0
