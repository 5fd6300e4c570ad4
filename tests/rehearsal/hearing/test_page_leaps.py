"""Repeats left out, bars played once more or passed over: none of it is a miss."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence
from coach.rehearsal.hearing.alignment.page_leaps import (
    leapt_s,
    leaves_out_repeat,
)
from coach.rehearsal.hearing.alignment.taken_notes import (
    Taken,
    TakenLeg,
    TakenNote,
)
from coach.rehearsal.hearing.due_part import DueNote, DuePart, bar_of
from coach.rehearsal.hearing.heard import Doubt, Heard, ToldAgainst
from coach.rehearsal.hearing.judging.passed_over import find_passed_over
from coach.rehearsal.hearing.take import Sounding
from coach.rehearsal.hearing.take_start import TakeStart
from coach.score.tempo import Seconds
from tests.hearing_room.looks import evidence_of
from tests.hearing_room.players import Habits, perform
from tests.hearing_room.repeats import unfold
from tests.hearing_room.studies import Study, compose_study
from tests.hearing_room.takes import Performed
from tests.hearing_room.voices import note_levels_db, sing
from tests.hearing_room.whole_takes import hear

SETTINGS = read_hearing_settings()
SEED = 11
FAULTLESS = Habits(wrong_share=0.0, dropped_share=0.0, fades=False, rushes=False)

ONCE, TWICE = (0, 1, 2, 3), (0, 1, 0, 1, 2, 3)
WITH_ENDINGS, NO_REPEAT = (0, 1, 2, 3, 0, 1, 4, 5), (0, 1, 4, 5)


@cache
def study_of(order: Sequence[int]) -> Study:
    """Give a study whose bars come in an order."""
    return unfold(compose_study(SEED, "mixed", 132.0, phrase_count=4), order)


@cache
def played_of(order: Sequence[int]) -> Performed:
    """Let it be played without a fault."""
    study = study_of(order)
    played = perform(study, SEED, FAULTLESS)
    dry = sing(played, SEED)
    return Performed(study, played, dry, note_levels_db(dry, played))


@cache
def heard_of(played: Sequence[int], page: Sequence[int], *, is_ours: bool) -> Heard:
    """Hear what was played against what is on the page."""
    take = played_of(played).taken(SEED)
    if not is_ours:
        take = replace(take, sounding=Sounding(None, take.sounding.clicks))
    heard = hear(take, study_of(page).due, SETTINGS)
    assert isinstance(heard, Heard), heard
    return heard


@pytest.mark.parametrize("is_ours", [True, False])
@pytest.mark.parametrize(("played", "page"), [(ONCE, TWICE), (NO_REPEAT, WITH_ENDINGS)])
def test_a_repeat_that_is_left_out_is_no_miss(
    played: tuple[int, ...], page: tuple[int, ...], is_ours: bool
) -> None:
    heard = heard_of(played, page, is_ours=is_ours)
    (over,) = heard.passed_over
    assert over.is_repeat
    whole, there = (len(study_of(order).due.notes) for order in (page, played))
    assert over.last - over.first + 1 == whole - there
    assert heard.missed == heard.wrong == ()
    assert sum(note.heard is not None for note in heard.notes) == there


@pytest.mark.parametrize("is_ours", [True, False])
def test_who_leaves_a_repeat_out_is_still_with_the_click(is_ours: bool) -> None:
    heard = heard_of(ONCE, TWICE, is_ours=is_ours)
    assert heard.rushed == heard.dragged == ()
    against = ToldAgainst.CLICK if is_ours else ToldAgainst.COUNT_IN
    assert heard.told_against is against
    assert Doubt.BEGAN_AGAIN not in heard.doubts
    assert heard.stopped is None


def test_who_repeats_where_nothing_is_repeated_has_gone_back() -> None:
    heard = heard_of(TWICE, ONCE, is_ours=True)
    assert heard.missed == heard.wrong == ()
    assert heard.passed_over == ()
    assert Doubt.BEGAN_AGAIN in heard.doubts
    assert heard.told_against is ToldAgainst.CLICK
    assert heard.rushed == heard.dragged == ()


def test_who_takes_the_first_ending_twice_has_passed_the_second_over() -> None:
    heard = heard_of((0, 1, 2, 3, 0, 1, 2, 3), WITH_ENDINGS, is_ours=True)
    assert heard.missed == heard.wrong == ()
    heard = heard_of(
        (0, 1, 2, 3, 0, 1, 2, 3, 6, 7), (*WITH_ENDINGS, 6, 7), is_ours=True
    )
    assert heard.missed == heard.wrong == ()
    due = study_of((*WITH_ENDINGS, 6, 7)).due
    (over,) = heard.passed_over
    assert {bar_of(due, over.first), bar_of(due, over.last)} <= {6, 7}


def quarters(
    count: int, page_bars: tuple[int, ...], bar_starts: tuple[float, ...]
) -> DuePart:
    """Give a part in quarter notes of a second, four in a bar."""
    return DuePart(
        notes=tuple(
            DueNote(Seconds(k), Seconds(k + 1), Seconds(k + 1), 48 + k % 4, 0.0)
            for k in range(count)
        ),
        bar_starts=tuple(map(Seconds, bar_starts)),
        page_bars=page_bars,
    )


def leg(first: int, count: int, at: float) -> TakenLeg:
    """Play some notes of it in a row."""
    return TakenLeg(
        tuple(
            TakenNote(first + k, at + k, at + k + 0.9, 48, 0.0, -20.0, -10.0, 0.0, 0.9)
            for k in range(count)
        )
    )


REPEATED = quarters(12, (0, 0, 2), (0.0, 4.0, 8.0))
"""A bar that is repeated, and another one."""


@pytest.mark.parametrize(
    ("first", "last", "is_repeat"),
    [(0, 3, True), (4, 7, True), (8, 11, False), (4, 11, False), (0, 7, False)],
)
def test_a_repeat_is_what_leaves_the_page_whole(
    first: int, last: int, is_repeat: bool
) -> None:
    assert leaves_out_repeat(REPEATED, first, last) is is_repeat


def test_nothing_is_a_repeat_where_nothing_is_known_of_the_page() -> None:
    assert not leaves_out_repeat(replace(REPEATED, page_bars=()), 0, 3)


@pytest.mark.parametrize(
    ("legs", "far"),
    [
        ([leg(0, 12, 1.0)], [0.0]),
        ([leg(4, 8, 1.0)], [-4.0]),
        ([leg(8, 4, 1.0)], [0.0]),
        ([leg(0, 4, 1.0), leg(8, 4, 5.2)], [0.0, -4.0]),
        ([leg(0, 4, 1.0), leg(8, 4, 7.0)], [0.0, 0.0]),
        ([leg(4, 8, 1.0), leg(0, 12, 9.0)], [-4.0, 8.0]),
    ],
)
def test_a_leap_is_told_where_the_beat_goes_on(
    legs: list[TakenLeg], far: list[float]
) -> None:
    assert leapt_s(legs, REPEATED) == far


def test_there_is_no_leap_on_a_page_without_bars() -> None:
    bare = replace(REPEATED, bar_starts=(), page_bars=())
    assert leapt_s([leg(4, 8, 1.0)], bare) == [0.0]


@cache
def looks() -> LookEvidence:
    """Give looks of which nothing is asked."""
    return evidence_of(48, np.zeros((1, 1)))


CLICKED = TakeStart(-1.0, ToldAgainst.CLICK)
ALONE = TakeStart(-1.0, ToldAgainst.OWN_AVERAGE)


@pytest.mark.parametrize(
    ("legs", "start", "over"),
    [
        ([leg(0, 12, 1.0)], CLICKED, []),
        ([leg(4, 8, 1.0)], CLICKED, [(0, 3, True)]),
        ([leg(4, 8, 5.0)], CLICKED, []),
        ([leg(8, 4, 5.0)], ALONE, [(0, 7, False)]),
        ([leg(1, 11, 2.0)], ALONE, []),
        ([leg(0, 4, 1.0), leg(8, 4, 5.0)], CLICKED, [(4, 7, True)]),
        ([leg(0, 4, 1.0), leg(8, 4, 9.0)], CLICKED, []),
        ([leg(0, 8, 1.0), leg(0, 2, 9.0), leg(8, 4, 11.0)], CLICKED, []),
        ([leg(0, 5, 1.0), leg(0, 2, 6.0), leg(8, 4, 8.0)], CLICKED, [(5, 7, False)]),
    ],
)
def test_what_there_was_no_time_for_is_passed_over(
    legs: list[TakenLeg], start: TakeStart, over: list[tuple[int, int, bool]]
) -> None:
    taken = Taken(looks(), tuple(legs), (), None)
    told = find_passed_over(taken, REPEATED, start)
    assert [(one.first, one.last, one.is_repeat) for one in told] == over


@pytest.mark.parametrize(
    ("first", "at", "over"),
    [
        (3, 0.4, [(0, 2)]),
        (2, 1.2, [(0, 0)]),
        (5, 0.4, [(0, 4)]),
        (2, 3.0, []),
        (0, 0.0, []),
    ],
)
def test_what_a_recording_began_after_is_not_missed(
    first: int, at: float, over: list[tuple[int, int]]
) -> None:
    page = quarters(12, (0, 1, 2), (0.0, 4.0, 8.0))
    taken = Taken(looks(), (leg(first, 12 - first, at),), (), None)
    told = find_passed_over(taken, page, ALONE)
    assert [(one.first, one.last) for one in told] == over
    assert not any(one.is_recorded or one.is_repeat for one in told)
    assert all(one.is_recorded for one in find_passed_over(taken, page, CLICKED))


def test_who_begins_with_the_second_time_through_left_out_the_first() -> None:
    taken = Taken(looks(), (leg(4, 8, 1.0),), (), None)
    (over,) = find_passed_over(taken, REPEATED, ALONE)
    assert (over.is_repeat, over.is_recorded) == (True, True)


def test_a_rest_before_what_is_passed_over_is_no_time_for_it() -> None:
    notes = quarters(10, (), ()).notes
    rested = quarters(7, (0, 1, 2), (0.0, 4.0, 8.0))
    rested = replace(rested, notes=(*notes[:3], *notes[6:]))
    legs = (leg(0, 3, 1.0), leg(5, 2, 7.0))
    (over,) = find_passed_over(Taken(looks(), legs, (), None), rested, CLICKED)
    assert (over.first, over.last) == (3, 4)


def test_what_is_passed_over_twice_is_told_once() -> None:
    legs = (leg(0, 4, 1.0), leg(8, 2, 5.0), leg(0, 4, 7.0), leg(8, 4, 11.0))
    (over,) = find_passed_over(Taken(looks(), legs, (), None), REPEATED, CLICKED)
    assert (over.first, over.last) == (4, 7)


def test_what_is_passed_over_on_a_page_without_bars_is_missed() -> None:
    bare = replace(REPEATED, bar_starts=(), page_bars=())
    taken = Taken(looks(), (leg(4, 8, 1.0),), (), None)
    assert find_passed_over(taken, bare, ALONE) == ()
