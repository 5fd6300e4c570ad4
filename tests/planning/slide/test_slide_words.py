"""What the player is told of arm and positions."""

from __future__ import annotations

from tests.hand_made import part_of
from tests.planning.slide.slide_shelf import planned


def test_a_plan_that_can_be_played_says_nothing() -> None:
    assert planned(part_of("Bb3q C4q D4q F4q")).notices == ()


def test_notes_below_the_trigger_are_named_once_with_their_bars() -> None:
    plan = planned(part_of("Bb2h D2h C2h D2h D2h Bb2h"))
    assert plan.notices == (
        "D2 in bars 1, 2, 3 cannot be played on the tenor trombone.",
        "C2 in bar 2 cannot be played on the tenor trombone.",
    )


def test_many_bars_are_not_all_named() -> None:
    (notice,) = planned(part_of("D2w " * 9)).notices
    assert "bars 1, 2, 3, 4, 5, 6 and others" in notice


def test_a_position_that_the_pitch_has_not_is_named_with_those_it_has() -> None:
    plan = planned(part_of("Bb3q F4q"), locked={1: "3"})
    assert plan.notices == (
        "F4 in bar 1, beat 2 has no position 3: choose from 1, #4, 6.",
    )


def test_a_lock_on_a_note_without_any_position_is_named() -> None:
    notices = planned(part_of("Bb3q D2q"), locked={1: "4"}).notices
    assert "D2 in bar 1, beat 2 has no position 4." in notices


def test_a_lock_on_a_note_that_is_not_there_is_named() -> None:
    plan = planned(part_of("Bb3q F4q"), locked={7: "3"})
    assert plan.notices == ("There is no note 8 for position 3.",)


def test_a_move_too_quick_for_any_arm_is_named() -> None:
    """50 cm in 94 ms: even at 60 metres a second squared it takes 218 ms."""
    plan = planned(part_of("Bb2s C3s Bb2q", bpm=160))
    (notice,) = plan.notices
    assert notice.startswith("Bar 1, beat 1.25: 50 cm of slide in 94 ms is quicker")
    assert "(1 more like it)" in notice


def test_a_single_move_too_quick_has_no_others() -> None:
    (notice,) = planned(part_of("Bb2s C3q C3q", bpm=160)).notices
    assert "more like it" not in notice
