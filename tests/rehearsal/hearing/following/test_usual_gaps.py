"""How detached a player plays, by the gaps between notes so far."""

from __future__ import annotations

import pytest

from coach.edges.hearing.hearing_numbers import read_following_settings
from coach.rehearsal.hearing.following.joints import Joint
from coach.rehearsal.hearing.following.usual_gaps import UsualGaps

SETTINGS = read_following_settings().breaths


def joint(before: int, length_s: float) -> Joint:
    """Give two tongued notes, the first so long."""
    return Joint(
        before=before,
        after=before + 1,
        began=10.0 * before,
        due=10.0 * before + length_s,
        keys=(58, 60),
        is_planned=False,
        has_rest=False,
        is_slurred=False,
        earlier=57,
        later=62,
        lasts=length_s,
        turn=before + 1,
    )


def after(*gaps: tuple[float, float]) -> UsualGaps:
    """Remember some gaps: how long each was, and the note before it."""
    usual = UsualGaps(SETTINGS)
    for k, (gap_s, length_s) in enumerate(gaps):
        usual.add(joint(2 * k, length_s), gap_s)
    return usual


def test_of_too_few_notes_that_are_not_joined_nobody_can_say() -> None:
    """The player may be a detached one: no gap is long enough."""
    assert after().usual_at(joint(50, 0.5)) == float("inf")
    few = [(0.2, 0.5)] * (SETTINGS.least_joints - 1)
    assert after(*few).usual_at(joint(50, 0.5)) == float("inf")


def test_short_notes_that_are_joined_tell_of_longer_ones() -> None:
    """Too short to tell how long a gap is usual, but nobody who cuts plays them so."""
    joined = [(0.01, SETTINGS.usual_note_s / 2)] * SETTINGS.least_joints
    assert after(*joined).usual_at(joint(50, 0.5)) == 0.0


def test_longer_notes_are_cut_by_more() -> None:
    usual = after(*[(0.15, 0.5)] * 8)
    assert usual.usual_at(joint(50, 0.5)) == pytest.approx(0.15)
    assert usual.usual_at(joint(50, 1.0)) == pytest.approx(
        0.15 + 0.15 - SETTINGS.joined_s
    )


def test_the_gap_right_before_counts_by_itself() -> None:
    usual = after(*[(0.01, 0.5)] * 8)
    assert usual.usual_at(joint(15, 0.5)) == pytest.approx(0.01)
    usual.add(joint(15, 0.5), 0.3)
    assert usual.usual_at(joint(16, 0.5)) == pytest.approx(0.3)
    assert usual.usual_at(joint(17, 0.5)) == pytest.approx(0.01)
