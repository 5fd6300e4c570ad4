"""A rehearsal: what is asked for, and what the log says, without a sound."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.planning.edits import Edits
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.rehearsal import Rehearsal
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.etude_key import key_of
from coach.score.phrase import Part
from coach.wiring.rehearsal_numbers import read_rehearsal_settings
from tests.dry_music import endless
from tests.hand_rehearsal import (
    NINE_IN_THE_MORNING,
    HandPlanner,
    HandRehearsal,
    long,
    nothing_learned,
)


@pytest.fixture
def log() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


def sit_down(log: RunLogFile, part: Part | None = None) -> Rehearsal:
    """Ask for the first four bars of sixteen."""
    return Rehearsal(
        part or long(),
        HandPlanner(),
        log,
        lambda: NINE_IN_THE_MORNING,
        RunWishes(bpm=60, from_bar=1, to_bar=4, click=ClickWishes()),
        read_rehearsal_settings(),
    )


def test_what_is_asked_for_lies_on_the_stand_at_once(log: RunLogFile) -> None:
    rehearsal = sit_down(log)
    assert rehearsal.is_free
    rehearsal.step_tempo(1)
    assert (rehearsal.plan.bpm, rehearsal.notice) == (63, "Tempo 63")
    rehearsal.next_segment()
    assert (rehearsal.segment.from_bar, rehearsal.notice) == (5, "Bars 5 to 8")
    rehearsal.previous_segment()
    rehearsal.previous_segment()
    assert rehearsal.notice == "This is the first segment."
    rehearsal.set_whole()
    assert rehearsal.segment.is_whole
    rehearsal.next_segment()
    assert rehearsal.notice == "Bars 1 to 5", "to the downbeat of the next part"
    rehearsal.next_segment()
    assert rehearsal.notice == "Bars 5 to 9"
    rehearsal.set_segment(7, 7)
    assert (len(rehearsal.segment.part.bars), rehearsal.notice) == (1, "Bar 7")


def test_a_key_goes_no_further_than_half_as_quick_again_as_the_page(
    log: RunLogFile,
) -> None:
    rehearsal = sit_down(log)
    rehearsal.step_tempo(99)
    assert rehearsal.plan.bpm == 88
    told = "Tempo 88: no key goes further above the page's 60"
    assert rehearsal.notice == told
    rehearsal.set_tempo(200)
    rehearsal.step_tempo(1)
    assert rehearsal.plan.bpm == 200, "who asks for a tempo gets it"
    rehearsal.step_tempo(-1)
    assert (rehearsal.plan.bpm, rehearsal.notice) == (192, "Tempo 192")


def test_the_click_is_laid_anew_for_the_next_run(log: RunLogFile) -> None:
    rehearsal = sit_down(log)
    wishes = RunWishes(60, 1, 4, ClickWishes(count_in_bars=2))
    rehearsal.set_wishes(wishes)
    assert (rehearsal.track.starts, rehearsal.wishes) == (-8.0, wishes)
    rehearsal.set_wishes(RunWishes(60, 5, 6, ClickWishes()))
    assert rehearsal.segment.from_bar == 5


def test_edits_are_there_the_next_time(log: RunLogFile) -> None:
    softer = Edits(dynamic_shift=-1.0)
    sit_down(log).set_edits(softer)
    assert sit_down(log).edits == softer


def test_what_is_asked_for_may_be_laid_later_and_only_the_last_of_it_is_put_up(
    log: RunLogFile,
) -> None:
    rehearsal = sit_down(log)
    before = rehearsal.plan
    softer = Edits(dynamic_shift=-1.0)
    rehearsal.set_edits(softer, is_laid=False)
    rehearsal.step_tempo(1, is_laid=False)
    assert (rehearsal.edits, rehearsal.wishes.bpm) == (softer, 63)
    was_unkept = rehearsal.has_unkept_edits
    assert sit_down(log).edits == Edits(), "the answer to a key waits for no disk"
    rehearsal.keep_edits()
    assert (was_unkept, rehearsal.has_unkept_edits) == (True, False)
    assert sit_down(log).edits == softer, "kept before it is laid"
    assert rehearsal.plan is before
    laid = rehearsal.lay()
    assert rehearsal.plan is before
    rehearsal.set_tempo(90, is_laid=False)
    rehearsal.put_up(laid)
    assert rehearsal.plan is before, "another tempo was asked for since"
    rehearsal.put_up(rehearsal.lay())
    assert rehearsal.plan.bpm == 90
    assert rehearsal.lay().stand.plan is rehearsal.plan, "nothing waits any more"


def test_a_change_of_tempo_is_taken_back_as_open_as_it_was(log: RunLogFile) -> None:
    rehearsal = sit_down(log)
    before = replace(rehearsal.wishes, is_open=frozenset({"tempo"}))
    rehearsal.set_tempo(90)
    rehearsal.wish_as_before(before)
    assert rehearsal.wishes == before
    assert rehearsal.plan.bpm == 90, "the stand waits until it is laid"
    rehearsal.put_up(rehearsal.lay())
    assert rehearsal.plan.bpm == before.bpm


def test_what_is_kept_is_written_once(log: RunLogFile) -> None:
    rehearsal = sit_down(log)
    rehearsal.keep_edits()
    assert list(log.list_newest_edits()) == []
    rehearsal.set_edits(Edits(dynamic_shift=-1.0))
    kept = log.list_newest_edits()
    rehearsal.keep_edits()
    assert log.list_newest_edits() == kept


def test_the_log_is_summed_up_without_a_run(log: RunLogFile) -> None:
    HandRehearsal(long(), log=log).run_clean()
    rehearsal = sit_down(log)
    assert rehearsal.review(nothing_learned()).runs == 1
    assert "These bars are new" in rehearsal.advice().why
    assert rehearsal.gauge.plan is rehearsal.plan
    assert (rehearsal.part, rehearsal.first_note) == (long(), 0)
    assert rehearsal.etude == key_of(long())


def test_the_whole_has_a_tempo_of_its_own_beside_the_bars_on_the_stand(
    log: RunLogFile,
) -> None:
    rehearsal = sit_down(log)
    rehearsal.set_whole()
    slow = rehearsal.advice().bpm
    rehearsal.set_segment(1, 4)
    rehearsal.set_tempo(96)
    assert rehearsal.tempo_of_all() == slow
    assert rehearsal.wishes.bpm == 96


def test_it_is_known_where_the_air_runs_out_in_the_whole(log: RunLogFile) -> None:
    assert sit_down(log).runs_out_at(60) is None
    assert sit_down(log, endless()).runs_out_at(60) is not None
