"""A run as far as it has come."""

from __future__ import annotations

import pytest

from coach.planning.breathing.locks import Locks
from coach.rehearsal.run.gauge import Gauge
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.under_way import UnderWay
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, gauge_by_hand, plan_by_hand

NOTICE = Seconds(0.0)


@pytest.fixture
def gauge() -> Gauge:
    return gauge_by_hand(
        plan_by_hand(
            part_of("Bb2q C3q rh D3h Eb3h"),
            [(0.9, 0.7), (0.7, 0.4), (0.8, 0.6), (0.6, 0.2)],
            (
                breath_by_hand(1, 2.0, 4.0, (0.4, 0.8)),
                breath_by_hand(2, 5.8, 6.0, (0.6, 0.6), "catch"),
            ),
        )
    )


def out(at: float) -> Mark:
    return Mark(MarkKind.RAN_OUT, 1, 1.0, Seconds(at))


def test_a_run_cut_off_in_its_count_in_reached_no_bar(gauge: Gauge) -> None:
    how = UnderWay(1).at_end(Seconds(-2.0), is_completed=False).how(gauge)
    assert (how.is_completed, how.reached_bar, how.lasted) == (False, None, 0.0)


def test_a_run_that_never_came_to_an_end_is_cut_off(gauge: Gauge) -> None:
    assert UnderWay(1).how(gauge).reached_bar is None


def test_a_run_cut_off_on_the_way_reached_its_bar(gauge: Gauge) -> None:
    how = UnderWay(1).at_end(Seconds(5.0), is_completed=False).how(gauge)
    assert (how.reached_bar, how.lasted) == (2, 5.0)


def test_a_run_to_the_end_reached_the_last_bar(gauge: Gauge) -> None:
    run = UnderWay(1).with_sound(Seconds(0.0), Seconds(0.002))
    run = run.with_sound(Seconds(1.0), Seconds(1.001))
    how = run.at_end(Seconds(8.0), is_completed=True).how(gauge)
    assert (how.is_completed, how.reached_bar, how.lasted) == (True, 2, 8.0)
    assert how.sent == 2
    assert how.worst_late == pytest.approx(0.002)


def test_the_word_is_kept_as_it_is_said(gauge: Gauge) -> None:
    word = UnderWay(1, marks=(out(7.0), out(1.0))).word(gauge, None, "lips")
    assert (word.is_clean, word.note) == (None, "lips")


def test_what_was_said_so_far_is_the_word_where_no_other_comes(gauge: Gauge) -> None:
    said = UnderWay(1, called_clean=False, note="sore")
    word = said.word(gauge, None, "")
    assert (word.is_clean, word.note) == (False, "sore")
    word = said.word(gauge, True, "at last")
    assert (word.is_clean, word.note) == (True, "at last")


def test_planned_breaths_that_came_are_taken_unless_the_player_says_no(
    gauge: Gauge,
) -> None:
    wished = Locks(must_not=frozenset({0}))
    now = Seconds(6.0)
    assert UnderWay(1).locks_now(gauge, now, wished, NOTICE).must == {1, 2}
    missed = UnderWay(1).without_breath(1).locks_now(gauge, now, wished, NOTICE)
    assert missed == Locks(must=frozenset({2}), must_not=frozenset({0, 1}))
    after_all = UnderWay(1).without_breath(1).with_breath(1)
    assert after_all.locks_now(gauge, now, wished, NOTICE).must == {1, 2}


def test_a_breath_that_was_not_planned_is_taken_all_the_same(gauge: Gauge) -> None:
    locks = UnderWay(1).with_breath(0).locks_now(gauge, Seconds(1.5), Locks(), NOTICE)
    assert locks == Locks(must=frozenset({0}))
    assert UnderWay(1).with_breath(0).without_breath(0).breathed == frozenset()


def test_a_run_keeps_what_it_asked_of_the_lungs_once_it_has_begun(gauge: Gauge) -> None:
    ended = UnderWay(1).without_breath(2).at_end(Seconds(5.0), is_completed=False)
    evidence = ended.word(gauge, None, "").evidence
    assert evidence is not None
    assert [breath.after_note for breath in evidence.breaths] == [1]
    assert len(evidence.notes) == 4
    in_count_in = UnderWay(1).at_end(Seconds(-1.0), is_completed=False)
    assert in_count_in.word(gauge, None, "").evidence is None
    assert UnderWay(1).word(gauge, None, "").evidence is None
