"""Rushed, dragged and late, by how far behind notes were."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.heard import HeardBreath, LateEntry
from coach.rehearsal.hearing.judging.rushed_stretches import (
    find_late_entries,
    find_stretches,
)
from coach.rehearsal.hearing.judging.telling import own_tempo
from coach.score.tempo import Seconds

SETTINGS = read_hearing_settings().timing


def spans(behind: Sequence[float | None], sign: int) -> list[tuple[int, int]]:
    """Find stretches of notes a quarter of a second apart."""
    due = [k / 4 for k in range(len(behind))]
    return [(s.first, s.last) for s in find_stretches(due, behind, sign, SETTINGS)]


def test_notes_ahead_together_are_a_stretch() -> None:
    behind: Sequence[float | None] = [0.0] * 6 + [-0.06] * 6 + [0.0] * 6
    assert spans(behind, -1) == [(6, 11)]
    assert spans(behind, 1) == []


def test_a_note_that_was_not_heard_does_not_end_a_stretch() -> None:
    behind: Sequence[float | None] = [0.0] * 6 + [0.06, 0.06, None, 0.06, 0.06, 0.06]
    assert spans(behind, 1) == [(6, 11)]


def test_one_note_off_is_no_stretch() -> None:
    assert spans([0.0] * 6 + [-0.2] + [0.0] * 6, -1) == []
    assert spans([0.0, 0.0, 0.05, 0.05, 0.05, 0.0, 0.0], 1) == []


def test_a_stretch_ends_only_where_it_is_nearer_again() -> None:
    behind: Sequence[float | None] = [0.045, 0.036, 0.045, 0.036, 0.036, 0.0, 0.0]
    assert spans(behind, 1) == [(0, 4)]


def test_a_tempo_that_runs_away_is_told_before_it_is_far_off() -> None:
    behind: Sequence[float | None] = [-0.01 * k for k in range(8)]
    assert spans(behind, -1) == [(3, 7)]


def breath(after: int) -> HeardBreath:
    """Give a breath after a note."""
    return HeardBreath(after, Seconds(0.0), Seconds(0.2), is_planned=True)


def test_who_is_late_after_a_breath_is_told() -> None:
    behind = [0.0, 0.0, 0.09, 0.05]
    assert find_late_entries(behind, [breath(1)], SETTINGS) == (
        LateEntry(2, Seconds(0.09)),
    )


def test_who_was_late_before_the_breath_is_not() -> None:
    assert find_late_entries([0.09, 0.09, 0.09], [breath(1)], SETTINGS) == ()
    assert find_late_entries([None, None, 0.02], [breath(1)], SETTINGS) == ()
    assert find_late_entries([0.0, 0.0, None], [breath(1)], SETTINGS) == ()


@pytest.mark.parametrize("behind", [[None, None], [0.2, None], [None, 0.2]])
def test_of_one_note_or_none_no_tempo_is_told(behind: Sequence[float | None]) -> None:
    assert own_tempo([0.0, 1.0], behind) == 1.0


def test_whoever_is_later_by_a_tenth_each_second_plays_slower_by_that() -> None:
    behind = [0.1 * k for k in range(5)]
    assert own_tempo([float(k) for k in range(5)], behind) == pytest.approx(1 / 1.1)
