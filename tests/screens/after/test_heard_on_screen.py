"""What the microphone heard, on screen: its sign, and marks taken or waved off."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from textual.pilot import Pilot

from coach.rehearsal.gear.gear import GearLost, ManualClock, SoundHeard, TakeKept
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.heard import Heard, RanOut, Stretch
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_states import State
from coach.score.tempo import Seconds
from coach.screens.after.after_screen import AfterScreen
from coach.screens.after.run_bars import RunBars
from coach.screens.app import CoachApp
from coach.screens.run.run_screen import RunScreen
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import (
    go_to_run,
    play_until,
    press,
    screen_of,
    settle,
    state_of,
    text_of,
)

RUSHED = Stretch(4, 9, Seconds(-0.07))
DRAGGED = Stretch(60, 66, Seconds(0.06))
OUT = RanOut(80, Seconds(13.0))


async def play_and_be_heard(
    pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock, **heard: Any
) -> None:
    """Turn the microphone on, play to the end, and let the ear have its say."""
    await go_to_run(pilot)
    await press(pilot, "p", "space")
    await play_until(pilot, studio, clock, 0.5)
    await play_until(pilot, studio, clock, 1000.0)
    if heard:
        studio.tell(studio.ear.answer(**heard))
        await settle(pilot)


def saved(studio: PaperStudio) -> Run:
    (run,) = studio.log.list_runs()
    return run


def is_open(studio: PaperStudio) -> bool:
    """Ask anew whether the microphone is open."""
    return studio.ear.is_open


async def test_a_sign_stands_there_as_long_as_the_microphone_is_on(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        assert "mic" not in text_of(app, Heading)
        assert not is_open(studio)
        await press(pilot, "p")
        assert "● mic" in text_of(app, Heading)
        assert is_open(studio)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        studio.tell(SoundHeard(Seconds(3.0), 48_000.0, b""))
        await press(pilot, "p")
        assert "mic" not in text_of(app, Heading)
        assert not is_open(studio)
        await press(pilot, "p", "escape", "escape", "escape")
        assert not isinstance(screen_of(app), RunScreen)
        assert not is_open(studio), "the microphone goes with the screen"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_what_was_heard_is_proposed_on_bars_and_strip(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await play_and_be_heard(pilot, studio, clock)
        assert "Listening to the run" in app.screen.query_one(Words).text
        assert "clean?" in app.screen.query_one(Words).text
        studio.tell(studio.ear.answer(rushed=(RUSHED,)))
        await settle(pilot)
        words = app.screen.query_one(Words).text
        assert "not clean yet" in words
        assert "heard: » rushed at bar 1, beat 2, 70 ms ahead?" in words
        assert "y takes it over" in words
        assert "95 % sure" in words
        assert "rushed?" in text_of(app, RunBars)
        assert mark_sign(app.signs, MarkKind.RUSHED) in text_of(app, StaffStrip)
        assert "● mic" in text_of(app, Heading)


async def test_marks_are_taken_over_and_waved_off_one_by_one(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await play_and_be_heard(
            pilot, studio, clock, rushed=(RUSHED,), dragged=(DRAGGED,), ran_out=OUT
        )
        conductor = studio.conductors[0]
        await press(pilot, "y")
        assert [mark.kind for mark in conductor.marks] == [MarkKind.RUSHED]
        assert "1 mark taken over" in text_of(app, Notice)
        await press(pilot, "x")
        assert [mark.kind for mark in conductor.proposed] == [MarkKind.RAN_OUT]
        await press(pilot, "left", "y")
        assert "No mark stands here" in text_of(app, Notice)
        await press(pilot, "down", "down", "y")
        assert [mark.kind for mark in conductor.marks] == [
            MarkKind.RUSHED,
            MarkKind.RAN_OUT,
        ]
        await press(pilot, "escape")
        assert [(mark.kind, mark.by) for mark in saved(studio).marks] == [
            (MarkKind.RUSHED, "microphone"),
            (MarkKind.RAN_OUT, "microphone"),
        ]


async def test_another_mark_stands_in_the_place_of_what_was_heard_there(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await play_and_be_heard(pilot, studio, clock, rushed=(RUSHED,))
        await press(pilot, "m")
        conductor = studio.conductors[0]
        assert [(mark.kind, mark.by) for mark in conductor.marks] == [
            (MarkKind.MISSED, "player")
        ]
        assert conductor.proposed == ()


@pytest.mark.parametrize(
    ("keys", "kinds", "is_clean"),
    [
        (("Y", "escape"), [MarkKind.RUSHED, MarkKind.DRAGGED], False),
        (("X", "escape"), [], None),
        (("space",), [MarkKind.RUSHED, MarkKind.DRAGGED], False),
        (("c",), [], True),
        (("escape",), [], None),
    ],
)
async def test_all_marks_at_once(
    app: CoachApp,
    studio: PaperStudio,
    clock: ManualClock,
    keys: tuple[str, ...],
    kinds: list[MarkKind],
    is_clean: bool | None,
) -> None:
    """*Next* takes the run as it stands on screen; *clean* is the player's own word;
    who leaves without a word has accepted nothing."""
    async with app.run_test(size=(80, 24)) as pilot:
        await play_and_be_heard(
            pilot, studio, clock, rushed=(RUSHED,), dragged=(DRAGGED,)
        )
        await press(pilot, *keys)
        run = next(run for run in studio.log.list_runs() if run.is_completed)
        assert [mark.kind for mark in run.marks] == kinds
        assert run.is_clean is is_clean


async def test_who_goes_on_before_the_ear_is_done_is_asked_once(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_and_be_heard(pilot, studio, clock)
        await press(pilot, "space")
        assert "being listened to" in text_of(app, Notice)
        assert isinstance(screen_of(app), AfterScreen)
        await press(pilot, "space")
        assert state_of(studio.conductors[0]) is State.COUNTING_IN


async def test_the_take_is_kept_by_a_key_and_it_is_said_where(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_and_be_heard(pilot, studio, clock, rushed=(RUSHED,))
        await press(pilot, "k")
        assert studio.ear.kept == [studio.conductors[0].run_id]
        studio.tell(TakeKept("Kept as run-1.wav, 3.1 MB."))
        await settle(pilot)
        assert "Kept as run-1.wav, 3.1 MB." in text_of(app, Notice)


async def test_what_was_heard_of_several_runs_is_told_in_the_log(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "p")
        for _ in range(3):
            await press(pilot, "space")
            await play_until(pilot, studio, clock, 0.5)
            await play_until(pilot, studio, clock, 1000.0)
            answer = studio.ear.answer()
            assert isinstance(answer.said, Heard)
            notes = tuple(
                replace(note, behind=Seconds(0.05)) for note in answer.said.notes
            )
            studio.tell(replace(answer, said=replace(answer.said, notes=notes)))
            await settle(pilot)
            await press(pilot, "escape")
        await press(pilot, "escape", "l")
        words = app.screen.query_one("#story", Words).text
        assert "50 ms behind the click, as heard in 3 runs" in words
        assert "Evenness: notes within" in words


async def test_a_knock_after_a_run_is_told_whether_it_counts(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        conductor = studio.conductors[0]
        knock = FollowWishes(start_by="knock")
        conductor.set_wishes(replace(conductor.wishes, listens=True, following=knock))
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 0.5)
        await play_until(pilot, studio, clock, 1000.0)
        assert "two knocks: not yet" in app.screen.query_one(Words).text
        studio.tell(studio.ear.answer(rushed=(RUSHED,)))
        await settle(pilot)
        assert "two knocks: the same again" in app.screen.query_one(Words).text


async def test_a_microphone_that_is_not_there_is_not_said_to_be_on(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "p")
        gone = "This machine has no microphone."
        studio.tell(GearLost(gone, is_microphone=True))
        await settle(pilot)
        assert "mic" not in text_of(app, Heading)
        back = "The microphone “one” is back."
        studio.tell(GearLost(back, is_back=True, is_microphone=True))
        await settle(pilot)
        assert "● mic" in text_of(app, Heading)
