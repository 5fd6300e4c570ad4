"""Neighbouring gaps that vie for one phrase end."""

from __future__ import annotations

from math import log

import pytest

from coach.planning.phrasing.phrase_rivals import weigh_rivals

GAPS = list(range(20))


def chances(likely: dict[int, float]) -> list[float]:
    """Give twenty gaps: some likely ends, and no others."""
    return [likely.get(k, 0.0) for k in GAPS]


def test_either_of_two_half_notes_at_a_cadence_speaks_against_the_other() -> None:
    said = chances({9: 0.5, 10: 0.75})
    assert weigh_rivals(said, [9, 10], 3) == pytest.approx([log(1 + 3), log(1 + 1)])


def test_an_end_without_a_neighbour_has_no_rival() -> None:
    assert weigh_rivals(chances({10: 0.9}), [10], 3) == [0.0]


def test_all_rivals_so_many_notes_away_count_and_none_beyond() -> None:
    said = chances({6: 0.5, 7: 0.5, 10: 0.5, 13: 0.5, 14: 0.5})
    assert weigh_rivals(said, GAPS, 3)[10] == pytest.approx(log(1 + 2))
    assert weigh_rivals(said, GAPS, 4)[10] == pytest.approx(log(1 + 4))
    assert weigh_rivals(said, GAPS, 1)[10] == 0.0


def test_a_gap_that_was_not_looked_at_again_is_no_rival() -> None:
    assert weigh_rivals(chances({9: 0.5, 10: 0.5}), [10], 3) == [0.0]


def test_no_phrase_ends_right_after_the_tune_begins_nor_right_before_it_is_over() -> (
    None
):
    against = weigh_rivals(chances({}), GAPS, 3)
    assert against[:4] == pytest.approx([log(100)] * 3 + [0.0])
    assert against[-4:] == pytest.approx([0.0] + [log(100)] * 3)


def test_an_end_that_the_page_marks_outright_is_a_rival_of_bounded_weight() -> None:
    sure = weigh_rivals(chances({9: 1.0}), [9, 10], 3)
    assert sure == pytest.approx([0.0, log(100)])
    assert sure == weigh_rivals(chances({9: 0.99}), [9, 10], 3)


def test_a_tune_of_two_notes_lies_between_its_ends() -> None:
    assert weigh_rivals([0.2], [0], 3) == pytest.approx([log(199)])
