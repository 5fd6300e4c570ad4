"""What is noted in a run: marks, breaths taken and missed, marks taken back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.rehearsal.hearing.following.told import BreathTold
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.noting import (
    note_breath,
    note_mark,
    note_missed_breath,
    note_told,
    take_back,
)
from coach.rehearsal.run.under_way import UnderWay
from coach.score.tempo import Seconds
from tests.hand_made import part_of, played
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

PLAN = plan_by_hand(
    part_of("Bb2q C3q rh D3h Eb3h"),
    [(0.9, 0.7), (0.7, 0.4), (0.8, 0.6), (0.6, 0.2)],
    (breath_by_hand(1, 2.0, 4.0, (0.4, 0.8)),),
)
RUN = UnderWay(1)


def test_a_mark_is_said_with_its_beat() -> None:
    late = MarkKind.LATE_AFTER_BREATH
    noted = note_mark(PLAN, RUN, late, Seconds(4.1), "pedal")
    assert noted.says == "Late after the breath: bar 2, beat 1"
    assert noted.mark is not None
    assert (noted.mark.kind, noted.mark.by) == (late, "pedal")
    assert noted.run.marks == (noted.mark,)
    assert not noted.changes_breaths


def test_a_key_pressed_again_in_the_same_beat_marks_nothing_more() -> None:
    once = note_mark(PLAN, RUN, MarkKind.RAN_OUT, Seconds(4.1), "player")
    again = note_mark(PLAN, once.run, MarkKind.RAN_OUT, Seconds(4.9), "pedal")
    assert again.says == "Marked already: ran out, bar 2, beat 1"
    assert (again.run, again.mark) == (once.run, once.mark)
    for kind, at in ((MarkKind.RAN_OUT, 5.1), (MarkKind.RUSHED, 4.9)):
        other = note_mark(PLAN, once.run, kind, Seconds(at), "player")
        assert len(other.run.marks) == 2
    taken = note_breath(PLAN, RUN, Seconds(5.9), "player")
    twice = note_breath(PLAN, taken.run, Seconds(5.9), "player")
    assert (twice.run, twice.changes_breaths) == (taken.run, False)


def test_the_same_beat_of_another_pass_is_another() -> None:
    plan = plan_by_hand(played("Bb2q C3q D3q Eb3q", [1, 1]), [(0.9, 0.1)] * 8)
    once = note_mark(plan, RUN, MarkKind.RAN_OUT, Seconds(1.0), "player")
    again = note_mark(plan, once.run, MarkKind.RAN_OUT, Seconds(5.0), "player")
    assert [(mark.bar, mark.beat) for mark in again.run.marks] == [(1, 2), (1, 2)]
    assert once.says == "Ran out: bar 1, beat 2"
    assert again.says == "Ran out: bar 1, beat 2, time 2 through"


def test_a_breath_taken_asks_for_another_plan() -> None:
    noted = note_breath(PLAN, RUN, Seconds(5.9), "player")
    assert noted.says == "Breath taken in bar 2, beat 2"
    assert noted.run.breathed == {2}
    assert noted.changes_breaths


def test_where_nothing_can_be_breathed_between_a_breath_is_only_marked() -> None:
    alone = plan_by_hand(part_of("Bb2w"), [(0.9, 0.5)])
    noted = note_breath(alone, RUN, Seconds(1.0), "player")
    assert [mark.kind for mark in noted.run.marks] == [MarkKind.BREATHED]
    assert not noted.changes_breaths


def test_a_missed_breath_is_marked_where_it_was_due() -> None:
    noted = note_missed_breath(PLAN, RUN.with_breath(1), Seconds(6.0), "player")
    assert noted.mark is not None
    assert (noted.mark.at, noted.mark.kind) == (2.0, MarkKind.MISSED_BREATH)
    assert noted.run.missed == {1}
    assert not noted.run.breathed
    assert noted.changes_breaths


@pytest.mark.parametrize("at", [1.1, 2.1, 3.9, 7.9])
def test_a_breath_is_missed_from_a_beat_before_it_to_a_bar_after(at: float) -> None:
    noted = note_missed_breath(PLAN, RUN, Seconds(at), "player")
    assert noted.run.missed == {1}
    assert noted.changes_breaths
    assert noted.says == "Breath missed in bar 1, beat 3"


@pytest.mark.parametrize("at", [0.9, 8.1])
def test_where_no_breath_is_near_none_was_missed(at: float) -> None:
    noted = note_missed_breath(PLAN, RUN, Seconds(at), "player")
    assert (noted.run, noted.mark) == (RUN, None)
    assert noted.says == "No breath was due here: nothing is changed."


def test_the_newest_mark_is_taken_back() -> None:
    one = note_mark(PLAN, RUN, MarkKind.RAN_OUT, Seconds(5.0), "player").run
    two = note_mark(PLAN, one, MarkKind.RUSHED, Seconds(1.0), "player").run
    noted = take_back(two)
    assert (noted.run, noted.says) == (one, "Taken back: rushed in bar 1")
    assert take_back(noted.run).run == RUN


def test_a_breath_where_the_plan_breathes_changes_nothing() -> None:
    noted = note_breath(PLAN, RUN, Seconds(3.0), "player")
    assert noted.mark is not None
    assert (noted.run.breathed, noted.changes_breaths) == (frozenset(), False)
    missed = note_missed_breath(PLAN, RUN, Seconds(3.0), "player").run
    after_all = note_breath(PLAN, missed, Seconds(3.0), "player")
    assert after_all.run.breathed == {1}
    assert after_all.changes_breaths


def test_a_breath_that_is_taken_back_was_not_taken_and_a_missed_one_was() -> None:
    breathed = note_breath(PLAN, RUN, Seconds(5.9), "player").run
    back = take_back(breathed)
    assert back.changes_breaths
    assert (back.run.breathed, back.run.missed) == (frozenset(), frozenset({2}))
    missed = note_missed_breath(PLAN, RUN, Seconds(4.5), "player").run
    back = take_back(missed)
    assert back.changes_breaths
    assert (back.run.breathed, back.run.missed) == (frozenset({1}), frozenset())


def test_without_a_mark_there_is_nothing_to_take_back() -> None:
    noted = take_back(RUN)
    assert (noted.run, noted.mark) == (RUN, None)
    assert noted.says == "There is no mark to take back."


def test_at_one_breath_the_later_word_takes_the_place_of_the_earlier() -> None:
    """The player mends a slip of the finger, and both cannot be true."""
    run = RUN
    for _ in range(2):
        missed = note_missed_breath(PLAN, run, Seconds(3.0), "player")
        assert [mark.kind for mark in missed.run.marks] == [MarkKind.MISSED_BREATH]
        assert (missed.run.breathed, missed.run.missed) == (frozenset(), frozenset({1}))
        taken = note_breath(PLAN, missed.run, Seconds(4.1), "player")
        assert taken.says.endswith(", in the place of “missed the breath”")
        assert taken.replaces == missed.run.marks
        assert [mark.kind for mark in taken.run.marks] == [MarkKind.BREATHED]
        assert (taken.run.breathed, taken.run.missed) == (frozenset({1}), frozenset())
        run = taken.run
    back = take_back(run).run
    assert (back.marks, back.missed) == ((), frozenset()), "as it was planned"


def test_a_breath_elsewhere_contradicts_nothing() -> None:
    missed = note_missed_breath(PLAN, RUN, Seconds(3.0), "player").run
    other = note_breath(PLAN, missed, Seconds(5.9), "player")
    assert [mark.kind for mark in other.run.marks] == [
        MarkKind.MISSED_BREATH,
        MarkKind.BREATHED,
    ]
    assert not other.replaces


def test_a_breath_as_planned_gives_way_to_a_missed_one_and_a_missed_one_to_it() -> None:
    """Its mark changes nothing of the plan, so that its moment alone tells of it."""
    taken = note_breath(PLAN, RUN, Seconds(3.0), "player").run
    missed = note_missed_breath(PLAN, taken, Seconds(3.0), "player").run
    assert [mark.kind for mark in missed.marks] == [MarkKind.MISSED_BREATH]
    unplanned = note_breath(PLAN, RUN, Seconds(5.9), "player").run
    plan = replace(
        PLAN,
        breaths=replace(
            PLAN.breaths, breaths=(breath_by_hand(2, 5.9, 6.0, (0.4, 0.8)),)
        ),
    )
    missed = note_missed_breath(plan, unplanned, Seconds(5.9), "player").run
    assert [mark.kind for mark in missed.marks] == [MarkKind.MISSED_BREATH]
    again = note_breath(plan, missed, Seconds(5.9), "player").run
    assert [mark.kind for mark in again.marks] == [MarkKind.BREATHED]


def test_a_breath_that_is_missed_once_more_is_marked_already() -> None:
    """The plan has it no more, and no other breath is meant."""
    run = replace(RUN, planned=PLAN)
    once = note_missed_breath(PLAN, run, Seconds(3.0), "player").run
    anew = replace(PLAN, breaths=replace(PLAN.breaths, breaths=()))
    again = note_missed_breath(anew, once, Seconds(4.0), "player")
    assert again.says == "Marked already: missed the breath, bar 1, beat 3"
    assert (again.run, again.changes_breaths) == (once, False)


def test_what_the_microphone_tells_of_a_breath_leaves_the_players_word() -> None:
    taken = note_breath(PLAN, RUN, Seconds(3.0), "player").run
    assert note_told(PLAN, taken, BreathTold(1, Seconds(4.0), is_taken=False)) is None
    told = note_told(PLAN, RUN, BreathTold(1, Seconds(4.0), is_taken=False))
    assert told is not None
    assert told.run.missed == {1}


def test_a_fault_takes_back_that_a_run_was_called_clean() -> None:
    clean = replace(RUN, called_clean=True)
    noted = note_mark(PLAN, clean, MarkKind.MISSED, Seconds(1.0), "player")
    assert noted.run.called_clean is None
    assert noted.says.endswith("it is not called clean any more")
    breath = note_breath(PLAN, clean, Seconds(5.9), "player")
    assert breath.run.called_clean is True, "a breath more is no fault"
