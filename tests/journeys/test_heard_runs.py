"""Runs that the microphone hears: from the count-in to marks that are accepted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from coach.conductor import Conductor
from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.errors import GearError
from coach.plain.review_lines import review_lines
from coach.plain.run_json import review_as_dict
from coach.rehearsal.click.clicks import lay_take
from coach.rehearsal.gear.gear import (
    GearLost,
    RunHeard,
    TakeKept,
    TakeSilent,
    TrackEnded,
)
from coach.rehearsal.gear.listener import NoListener
from coach.rehearsal.hearing.due_part import due_part
from coach.rehearsal.hearing.following.told import StartWish
from coach.rehearsal.hearing.heard import (
    Doubt,
    Heard,
    RanOut,
    Refusal,
    Refused,
    Stretch,
    ToldAgainst,
)
from coach.rehearsal.run.evidence import SoundedNote
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run_states import State
from coach.rehearsal.run.take_book import LISTENING
from coach.score.tempo import Seconds
from tests.hand_heard import HandEar
from tests.hand_rehearsal import HandRehearsal, long, nothing_learned

RUSHED = (Stretch(20, 25, Seconds(-0.07)),)


@pytest.fixture
def ear() -> HandEar:
    return HandEar()


@pytest.fixture
def log() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


@pytest.fixture
def hand(ear: HandEar, log: RunLogFile) -> HandRehearsal:
    return HandRehearsal(long(), ear=ear, log=log, listens=True)


def test_a_run_is_taken_from_its_count_in_and_heard_at_its_end(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = hand.conductor
    conductor.start()
    assert ear.run_id == conductor.run_id
    assert not conductor.heard_lines
    hand.go_to(0.0)
    hand.go_to(conductor.track.ends)
    ((run_id, due, clicks),) = ear.asked
    assert run_id == conductor.run_id
    assert due == due_part(conductor.plan)
    assert clicks[0].at == conductor.track.starts
    assert conductor.heard_lines == (LISTENING,)
    conductor.on_fact(ear.answer(rushed=RUSHED, doubts=(Doubt.NOISY,)))
    assert conductor.heard_lines[0].endswith("told against the click.")
    assert conductor.heard_lines[-1].startswith("The room is noisy")
    (mark,) = conductor.proposed
    assert (mark.kind, mark.by, mark.amount) == ("rushed", "microphone", -0.07)
    assert not conductor.marks


def test_a_mark_counts_once_it_is_accepted(hand: HandRehearsal, ear: HandEar) -> None:
    conductor = hand.conductor
    hand.play_to_end()
    conductor.on_fact(ear.answer(rushed=RUSHED, missed=(40,), wrong=(60,)))
    first, second, third = conductor.proposed
    conductor.accept((second,))
    assert list(conductor.marks) == [second]
    assert list(conductor.proposed) == [first, third]
    assert conductor.notice == "1 mark taken over."
    conductor.wave_off((third,))
    assert list(conductor.proposed) == [first]
    assert conductor.notice == "1 mark waved off."
    conductor.accept(conductor.proposed)
    run = conductor.finish()
    assert run.marks == (first, second)
    assert run.is_clean is False


def test_a_mark_that_the_player_made_is_not_proposed_again(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = hand.conductor
    hand.play_to_end()
    at = conductor.plan.times[20].start
    conductor.mark(MarkKind.RUSHED, Seconds(at + 1.0))
    conductor.on_fact(ear.answer(rushed=RUSHED))
    assert not conductor.proposed
    conductor.take_back_mark()
    assert len(conductor.proposed) == 1


def test_a_breath_that_is_accepted_is_what_is_learned_from(
    hand: HandRehearsal, ear: HandEar, log: RunLogFile
) -> None:
    conductor = hand.conductor
    hand.play_to_end()
    (_, due, _) = ear.asked[-1]
    planned = conductor.plan.breaths.breaths[0].after_note
    heard = ear.answer()
    assert heard.said is not None
    assert not isinstance(heard.said, Refused)
    without = replace(heard.said, breaths=heard.said.breaths[1:])
    conductor.on_fact(replace(heard, said=without))
    (mark,) = conductor.proposed
    assert mark.kind is MarkKind.MISSED_BREATH
    conductor.accept(conductor.proposed)
    assert not conductor.proposed
    conductor.finish()
    (played,) = log.list_played(1, Like("", "tenor-trombone"))
    assert planned not in [breath.after_note for breath in played.evidence.breaths]
    assert [mark.by for mark in played.run.marks] == ["microphone"]
    assert len(due.breaths) > len(played.evidence.breaths)


@pytest.mark.parametrize(
    ("said", "message", "lines"),
    [
        (
            Refused(Refusal.SILENT),
            "",
            (
                "The run cannot be judged: it is hardly louder than silence.",
                "Put the microphone nearer, or turn its level up.",
            ),
        ),
        (None, "The microphone was not there.", ("The microphone was not there.",)),
    ],
)
def test_what_cannot_be_judged_is_said_and_nothing_proposed(
    hand: HandRehearsal,
    said: Refused | None,
    message: str,
    lines: tuple[str, ...],
) -> None:
    conductor = hand.conductor
    hand.play_to_end()
    assert conductor.run_id is not None
    conductor.on_fact(RunHeard(conductor.run_id, said, message))
    assert conductor.heard_lines == lines
    assert not conductor.proposed


def test_runs_in_a_row_are_each_told_their_own(ear: HandEar) -> None:
    hand = HandRehearsal(long(), ear=ear, listens=True, runs_in_a_row=2)
    conductor = hand.conductor
    hand.play_to_end()
    first = ear.answer(rushed=RUSHED)
    hand.tick()
    conductor.on_fact(first)
    hand.go_to(0.0)
    hand.go_to(conductor.track.ends)
    assert conductor.state is State.ENDED
    assert [mark.kind for mark in conductor.proposed] == [MarkKind.RUSHED]
    conductor.finish()
    assert not conductor.proposed
    conductor.on_fact(ear.answer(ran_out=RanOut(90, Seconds(40.0))))
    assert [mark.kind for mark in conductor.proposed] == [MarkKind.RAN_OUT]


def test_a_run_that_is_cut_off_is_heard_and_a_count_in_is_not(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = hand.conductor
    conductor.start()
    conductor.stop()
    assert (ear.run_id, ear.asked) == (None, [])
    conductor.start()
    hand.go_to(0.0)
    hand.go_to(7.0)
    conductor.stop()
    assert len(ear.asked) == 1
    assert ear.until == pytest.approx(7.0)
    assert conductor.is_being_heard


def test_who_does_not_want_to_be_heard_is_not(ear: HandEar) -> None:
    hand = HandRehearsal(long(), ear=ear)
    conductor = hand.conductor
    conductor.open_ear()
    hand.play_to_end()
    assert (ear.is_open, ear.run_id, ear.asked) == (False, None, [])
    assert conductor.heard_lines == ()
    conductor.keep_take()
    assert conductor.notice == "There is no recording of this run."
    conductor.finish()
    conductor.set_wishes(replace(conductor.wishes, listens=True))
    assert ear.is_open


def test_the_microphone_is_let_go_at_once_in_the_middle_of_a_run(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = hand.conductor
    conductor.start()
    hand.go_to(0.0)
    conductor.set_wishes(replace(conductor.wishes, listens=False))
    assert (ear.is_open, ear.run_id) == (False, None)
    conductor.set_wishes(replace(conductor.wishes, listens=True))
    assert not ear.is_open, "no click may suffer: it opens for the next run"
    hand.go_to(conductor.track.ends)
    assert ear.asked == []
    conductor.finish()
    conductor.start()
    assert ear.run_id == conductor.run_id


def test_the_sound_is_kept_when_the_player_says_so(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = hand.conductor
    hand.play_to_end()
    conductor.keep_take()
    assert (ear.kept, conductor.notice) == ([], "The run is still being listened to.")
    conductor.on_fact(ear.answer())
    conductor.keep_take()
    assert ear.kept == [conductor.run_id]
    conductor.on_fact(TakeKept("Kept as take.wav, 3 MB."))
    assert conductor.notice == "Kept as take.wav, 3 MB."
    conductor.shut_ear()
    assert not ear.is_open


def heard(hand: HandRehearsal, ear: HandEar) -> Conductor:
    """Give a conductor whose run was heard."""
    hand.play_to_end()
    hand.conductor.on_fact(ear.answer())
    return hand.conductor


def plays(conductor: Conductor) -> bool:
    """Ask anew whether the recording is played."""
    return conductor.is_take_playing


def test_a_run_is_played_back_in_its_own_time(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = heard(hand, ear)
    assert conductor.take_time is None
    assert conductor.play_take(Seconds(3.0))
    assert ear.played == [(conductor.run_id, 3.0)]
    assert plays(conductor)
    assert conductor.take_time is None, "it has not come yet"
    hand.player.play(lay_take(Seconds(3.0), Seconds(9.0)))
    hand.clock.wait_until(Seconds(hand.clock.now() + 1.5))
    assert conductor.take_time == pytest.approx(4.5)
    assert conductor.glance().time == conductor.track.ends, "the run itself is over"
    assert conductor.reaction == 0.3
    hand.player.stop()
    conductor.on_fact(TrackEnded(Seconds(9.0), Seconds(0.0), sent=0))
    assert not plays(conductor)
    conductor.hush_take()
    assert ear.times_hushed == 1


@pytest.mark.parametrize(
    "fact", [TakeSilent("It is gone."), GearLost("The click engine has stopped.")]
)
def test_a_run_that_cannot_be_played_back_says_why(
    hand: HandRehearsal, ear: HandEar, fact: TakeSilent | GearLost
) -> None:
    conductor = heard(hand, ear)
    conductor.play_take(Seconds(3.0))
    conductor.on_fact(fact)
    assert not plays(conductor)
    assert conductor.notice == fact.message


def test_the_next_run_ends_what_is_played_back(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = heard(hand, ear)
    conductor.play_take(Seconds(3.0))
    conductor.start()
    assert (plays(conductor), ear.times_hushed) == (False, 1)
    assert conductor.state is State.COUNTING_IN


def test_how_a_run_sounded_is_kept_with_it_as_far_as_it_is_sure(
    hand: HandRehearsal, ear: HandEar, log: RunLogFile
) -> None:
    """And what three runs agree on is told in their review."""
    conductor = hand.conductor
    for _ in range(3):
        hand.play_to_end()
        answer = ear.answer()
        assert isinstance(answer.said, Heard)
        first, unsure, *others = answer.said.notes
        late = [replace(note, behind=Seconds(0.06)) for note in (first, *others[:6])]
        unsure = replace(unsure, confidence=0.5)
        notes = (late[0], unsure, *late[1:], *others[6:])
        conductor.on_fact(replace(answer, said=replace(answer.said, notes=notes)))
        conductor.finish()
    played = log.list_played(3, Like("", "tenor-trombone"))
    assert len(played) == 3
    sounded = played[0].evidence.sounded
    assert len(sounded) == len(played[0].evidence.notes)
    assert sounded[0] == SoundedNote(1, 0.06, -20.0)
    assert sounded[1] == SoundedNote(1, None, None)
    told = conductor.review(nothing_learned())
    (spot,) = told.sounded
    assert (spot.kind, spot.from_bar, spot.runs) == ("late", 1, 3)
    assert spot.says in list(review_lines(told, "", ()))
    assert review_as_dict(told)["heard"][0]["unit"] == "s"


@pytest.mark.parametrize(
    "changes",
    [
        {"confidence": 0.5},
        {"said": Refused(Refusal.SILENT)},
    ],
)
def test_nothing_is_kept_of_the_sound_of_a_run_that_is_not_sure(
    hand: HandRehearsal, ear: HandEar, log: RunLogFile, changes: dict[str, Any]
) -> None:
    hand.play_to_end()
    answer = ear.answer()
    assert isinstance(answer.said, Heard)
    said = changes.get("said") or replace(answer.said, **changes)
    hand.conductor.on_fact(replace(answer, said=said))
    hand.conductor.finish()
    (played,) = log.list_played(1, Like("", "tenor-trombone"))
    assert played.evidence.sounded == ()


def test_against_the_own_average_no_lateness_is_kept(
    hand: HandRehearsal, ear: HandEar, log: RunLogFile
) -> None:
    hand.play_to_end()
    answer = ear.answer(told_against=ToldAgainst.OWN_AVERAGE)
    assert isinstance(answer.said, Heard)
    lost = replace(answer.said.notes[0], heard=None, level_db=None, behind=None)
    silent = replace(answer.said.notes[1], level_db=None)
    notes = (lost, silent, *answer.said.notes[2:])
    hand.conductor.on_fact(replace(answer, said=replace(answer.said, notes=notes)))
    hand.conductor.finish()
    (played,) = log.list_played(1, Like("", "tenor-trombone"))
    assert played.evidence.sounded[:3] == (
        SoundedNote(1, None, None),
        SoundedNote(1, None, None),
        SoundedNote(1, None, -20.0),
    )


def test_a_recording_is_thrown_away_when_the_player_says_so(
    hand: HandRehearsal, ear: HandEar
) -> None:
    conductor = heard(hand, ear)
    run_id = conductor.run_id
    conductor.play_take(Seconds(3.0))
    conductor.throw_take_away()
    assert (plays(conductor), ear.thrown_away) == (False, [run_id])
    conductor.finish()
    conductor.throw_take_away()
    assert not conductor.play_take(Seconds(3.0))
    assert conductor.notice == "There is no recording of this run."
    assert ear.thrown_away == [run_id]


def test_nothing_is_accepted_where_no_run_is(hand: HandRehearsal, ear: HandEar) -> None:
    conductor = hand.conductor
    hand.play_to_end()
    answer = ear.answer(rushed=RUSHED)
    conductor.on_fact(answer)
    marks = conductor.proposed
    conductor.finish()
    conductor.accept(marks)
    conductor.wave_off(marks)
    assert not conductor.proposed
    assert conductor.heard_lines == ()
    assert not conductor.is_being_heard
    conductor.on_fact(RunHeard(999, answer.said))


def test_where_nobody_listens_nobody_can_be_asked_to() -> None:
    hand = HandRehearsal(long())
    conductor = hand.conductor
    with pytest.raises(GearError, match="Start without --silent"):
        conductor.set_wishes(replace(conductor.wishes, listens=True))
    assert not conductor.wishes.listens
    deaf, due = NoListener(), due_part(conductor.plan)
    deaf.begin(1, due, is_followed=True)
    deaf.change(due)
    deaf.await_start(StartWish("note", 40, 60))
    deaf.pass_over()
    deaf.hear(1, due, (), Seconds(0.0))
    deaf.keep(1)
    deaf.throw_away(1)
    deaf.play(1, Seconds(0.0))
    deaf.hush()
    deaf.drop()
    deaf.close()
    assert not conductor.heard_lines


def test_a_sound_that_was_never_taken_is_not_thrown_away(hand: HandRehearsal) -> None:
    conductor = hand.conductor
    hand.play_to_end()
    assert conductor.run_id is not None
    conductor.on_fact(RunHeard(conductor.run_id, None, "No sound.", has_take=False))
    conductor.throw_take_away()
    assert conductor.notice == "There is no recording of this run."


def test_a_microphone_that_comes_back_is_on_again(hand: HandRehearsal) -> None:
    conductor = hand.conductor
    is_on = [conductor.is_listening]
    for fact in (
        GearLost("None.", is_microphone=True),
        GearLost("A port is gone."),
        GearLost("Back.", is_back=True, is_microphone=True),
    ):
        conductor.on_fact(fact)
        is_on.append(conductor.is_listening)
    assert is_on == [True, False, False, True]
