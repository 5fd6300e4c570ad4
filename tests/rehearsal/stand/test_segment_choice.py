"""Going from segment to segment."""

from __future__ import annotations

import pytest

from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.stand.segment_choice import (
    Choice,
    choose_bars,
    choose_whole,
    cut_choice,
    following_bars,
    following_breath,
)
from coach.rehearsal.stand.wishes import RunWishes
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
