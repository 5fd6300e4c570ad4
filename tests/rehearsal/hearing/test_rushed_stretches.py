"""Rushed, dragged and late, by how far behind notes were."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sin

import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.heard import HeardBreath, LateEntry
from coach.rehearsal.hearing.judging.own_tempo import find_own_tempo
from coach.rehearsal.hearing.judging.rushed_stretches import (
    find_entry,
    find_late_entries,
    find_stretches,
)
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


@pytest.mark.parametrize(
    ("behind", "late"),
    [
        ([0.1] * 12, 0.1),
        ([-0.1] * 12, -0.1),
        ([0.1] * 9 + [0.0, 0.2, 0.3], 0.1),
        ([0.1] * 4 + [0.0] * 8, None),
        ([0.01 * k for k in range(12)], None),
        ([0.03] * 12, None),
    ],
)
def test_a_run_that_is_late_as_a_whole_came_in_late(
    behind: Sequence[float], late: float | None
) -> None:
    assert find_entry(behind, SETTINGS) == late


@pytest.mark.parametrize("note", [0, 1])
def test_of_one_note_no_tempo_is_told(note: int) -> None:
    own = find_own_tempo([0.0, 1.0], {note: 0.2}, SETTINGS)
    assert (own.share, own.late) == (1.0, 0.2)


def test_whoever_is_later_by_a_tenth_each_second_plays_slower_by_that() -> None:
    times = [float(k) for k in range(5)]
    own = find_own_tempo(times, {k: 0.1 * k + 0.3 for k in range(5)}, SETTINGS)
    assert own.share == pytest.approx(1 / 1.1)
    assert [own.behind_it(k, 0.1 * k + 0.3) for k in times] == pytest.approx([0.0] * 5)


@pytest.mark.parametrize("slope", [0.0, 0.05])
def test_whoever_rushes_some_bars_has_the_tempo_of_the_others(slope: float) -> None:
    """Half of the notes are in time, then some are rushed, and the rest go on so."""
    times = [k / 2 for k in range(40)]
    rushed = [-0.06 * min(max(k - 20, 0), 10) for k in range(40)]
    late = {k: rushed[k] + slope * times[k] for k in range(40)}
    own = find_own_tempo(times, late, SETTINGS)
    assert own.share == pytest.approx(1 / (1 + slope))
    behind = [own.behind_it(times[k], late[k]) for k in range(40)]
    assert behind == pytest.approx(rushed)


def test_a_line_with_hardly_more_notes_beside_it_is_no_better() -> None:
    """The middle of all stands, though somewhere else there is a note more."""
    times = [k / 2 for k in range(40)]
    late = {k: 0.05 * sin(2.4 * k) for k in range(40)}
    middle = find_own_tempo(times, late, SETTINGS)
    assert middle.late == pytest.approx(0.0, abs=0.003)
    other = find_own_tempo(times, late, replace(SETTINGS, line_factor=1.0))
    assert abs(other.late) > 0.01


def test_a_tempo_hardly_other_than_the_click_s_is_the_click_s() -> None:
    times = [k / 2 for k in range(40)]
    own = find_own_tempo(times, {k: 0.004 * times[k] for k in range(40)}, SETTINGS)
    assert own.share == pytest.approx(1 / 1.004)
    assert own.slope == 0.0
