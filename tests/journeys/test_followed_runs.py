"""Runs that the microphone follows: breaths more or less, loudness, a stop, a start."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.hearing.due_part import due_part
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.following.told import (
    BreathTold,
    LoudnessTold,
    RunTold,
    StartHeard,
    StopTold,
    Told,
)
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run_states import State
from coach.score.tempo import Seconds
from tests.hand_heard import HandEar
from tests.hand_rehearsal import HandRehearsal, long

FOLLOWED = FollowWishes(follows=True, stops=True)


@pytest.fixture
def ear() -> HandEar:
    return HandEar()


@pytest.fixture
def log() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


def rehearsal(ear: HandEar, log: RunLogFile, **wishes: Any) -> HandRehearsal:
    given = {"listens": True, "following": FOLLOWED, **wishes}
    return HandRehearsal(long(), ear=ear, log=log, **given)


def state_of(hand: HandRehearsal) -> State:
    return hand.conductor.state


def marked_by(hand: HandRehearsal) -> list[str]:
    return [mark.by for mark in hand.conductor.marks]


def playing(hand: HandRehearsal, until: float) -> HandRehearsal:
    hand.conductor.start()
    hand.go_to(0.0)
    hand.go_to(until)
    return hand


def tell(hand: HandRehearsal, told: Told, run_id: int | None = None) -> None:
    known = hand.conductor.run_id
    assert known is not None
    hand.conductor.on_fact(RunTold(known if run_id is None else run_id, told))


def first_breath(hand: HandRehearsal) -> Any:
    return hand.conductor.plan.breaths.breaths[0]


def planned(hand: HandRehearsal) -> list[int]:
    return [breath.after_note for breath in hand.conductor.plan.breaths.breaths]


def test_a_breath_heard_to_be_missed_is_planned_anew_at_once_and_taken_back(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log)
    breath = first_breath(hand)
    playing(hand, breath.next_note + 0.3)
    assert ear.is_followed
    before = hand.conductor.plan
    tell(hand, BreathTold(breath.after_note, breath.next_note, is_taken=False))
    (mark,) = hand.conductor.marks
    assert (mark.kind, mark.by) == (MarkKind.MISSED_BREATH, "microphone")
    assert breath.after_note not in planned(hand)
    assert hand.conductor.glance().air < before.air.level_at(
        hand.conductor.glance().time
    )
    assert hand.conductor.notice.endswith("as heard; a key takes it back")
    assert ear.changed[-1].breaths == due_part(hand.conductor.plan).breaths
    hand.conductor.take_back_mark()
    assert breath.after_note in planned(hand)
    assert hand.conductor.marks == ()


def test_a_breath_heard_where_none_was_planned_gives_air(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log)
    gap = first_breath(hand).after_note // 2
    times = hand.conductor.plan.times
    playing(hand, times[gap + 1].start + 0.2)
    tell(hand, BreathTold(gap, times[gap + 1].start, is_taken=True))
    (mark,) = hand.conductor.marks
    assert (mark.kind, mark.by) == (MarkKind.BREATHED, "microphone")
    assert gap in planned(hand)


def test_what_is_as_planned_or_as_the_player_said_changes_nothing(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log)
    breath = first_breath(hand)
    playing(hand, breath.next_note + 0.3)
    tell(hand, BreathTold(breath.after_note, breath.next_note, is_taken=True))
    tell(hand, BreathTold(breath.after_note - 3, breath.start, is_taken=False))
    assert hand.conductor.marks == ()
    hand.conductor.mark(MarkKind.MISSED_BREATH)
    tell(hand, BreathTold(breath.after_note, breath.next_note, is_taken=True))
    assert marked_by(hand) == ["player"]


@pytest.mark.parametrize(
    "wishes",
    [
        {"following": FollowWishes()},
        {"following": FollowWishes(stops=True)},
        {"click": ClickWishes(guide=True)},
        {"click": ClickWishes(drone=True)},
    ],
)
def test_nothing_is_noted_that_nobody_asked_for_or_that_our_own_line_may_be(
    ear: HandEar, log: RunLogFile, wishes: dict[str, Any]
) -> None:
    hand = rehearsal(ear, log, **wishes)
    breath = first_breath(hand)
    playing(hand, breath.next_note + 0.3)
    tell(hand, BreathTold(breath.after_note, breath.next_note, is_taken=False))
    assert hand.conductor.marks == ()


def test_what_is_told_of_an_older_run_or_before_the_first_beat_is_passed_over(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log)
    breath = first_breath(hand)
    told = BreathTold(breath.after_note, breath.next_note, is_taken=False)
    hand.conductor.start()
    tell(hand, StopTold(Seconds(-1.0)))
    assert state_of(hand) is State.COUNTING_IN
    hand.go_to(0.0)
    hand.go_to(breath.next_note + 0.3)
    tell(hand, told, run_id=999)
    assert hand.conductor.marks == ()


def test_a_player_who_has_stopped_stops_the_run_where_the_sound_ended(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log, runs_in_a_row=3)
    playing(hand, 9.0)
    tell(hand, StopTold(Seconds(6.2)))
    conductor = hand.conductor
    assert state_of(hand) is State.ENDED
    assert conductor.runs_left == 0
    assert conductor.notice == "Stopped: nothing was heard after bar 2, beat 3."
    assert ear.until == 6.2
    run = conductor.finish()
    assert (run.is_completed, run.lasted) == (False, 6.2)
    assert hand.player.run_time() is None


def test_a_run_goes_on_where_stopping_by_itself_is_off(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log, following=FollowWishes(follows=True))
    playing(hand, 9.0)
    tell(hand, StopTold(Seconds(6.2)))
    assert state_of(hand) is State.PLAYING


def test_louder_empties_the_gauge_faster_where_the_player_wants_that(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log, following=FollowWishes(drives_gauge=True))
    page = due_part(hand.conductor.plan)
    playing(hand, 4.0)
    before = hand.conductor.plan
    tell(hand, LoudnessTold(Seconds(4.0), 2.0))
    after = hand.conductor.plan
    now = hand.conductor.glance().time
    assert after.air.level_at(now) == pytest.approx(before.air.level_at(now), abs=0.03)
    assert after.breaths.flow_lps[-1] > before.breaths.flow_lps[-1]
    assert after.breaths.flow_lps[0] == before.breaths.flow_lps[0]
    assert hand.conductor.notice == "2.0 steps louder than at the beginning."
    assert [note.loud for note in ear.changed[-1].notes] == [
        note.loud for note in page.notes
    ]
    tell(hand, LoudnessTold(Seconds(4.0), -1.0))
    assert hand.conductor.notice == "1.0 steps softer than at the beginning."
    softer = hand.conductor.plan.breaths.flow_lps[-1]
    assert softer < before.breaths.flow_lps[-1]
    hand.conductor.stop()
    hand.conductor.finish()
    assert hand.conductor.plan.breaths.flow_lps == before.breaths.flow_lps


def test_a_sound_begins_a_run_only_where_the_player_wants_that(
    ear: HandEar, log: RunLogFile
) -> None:
    hand = rehearsal(ear, log)
    hand.conductor.on_fact(StartHeard("note"))
    assert state_of(hand) is State.READY
    wishes = hand.conductor.wishes
    by_knock = replace(FOLLOWED, start_by="knock")
    hand.conductor.set_wishes(replace(wishes, following=by_knock))
    assert ear.wish is not None
    assert (ear.wish.by, ear.wish.lowest, ear.wish.highest) == ("knock", 46, 62)
    hand.conductor.pass_over_key()
    assert ear.passed_over == 1
    hand.conductor.on_fact(StartHeard("knock"))
    assert state_of(hand) is State.COUNTING_IN
    run = hand.conductor.run_id
    hand.conductor.on_fact(StartHeard("knock"))
    assert hand.conductor.run_id == run, "a run that plays is not begun anew"


def test_a_sound_ends_a_rest_between_two_runs(ear: HandEar, log: RunLogFile) -> None:
    hand = rehearsal(
        ear,
        log,
        following=FollowWishes(start_by="note"),
        runs_in_a_row=2,
        rest=Seconds(30.0),
    )
    hand.conductor.open_ear()
    assert ear.wish is not None
    hand.play_to_end()
    assert state_of(hand) is State.RESTING
    hand.conductor.on_fact(StartHeard("note"))
    assert state_of(hand) is State.COUNTING_IN
