"""After the run: the player's word, the coach's advice."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any, cast

import pytest
from textual.pilot import Pilot

from coach.conductor import Conductor
from coach.rehearsal.gear.gear import ManualClock, PedalPressed
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import KINDS, KindOfMark, MarkKind
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_states import State
from coach.score.tempo import Seconds
from coach.screens.after.after_screen import AfterScreen
from coach.screens.after.beat_places import beat_places, nearest_place
from coach.screens.after.last_runs import say_bar
from coach.screens.after.run_bars import RunBars
from coach.screens.app import CoachApp
from coach.screens.run.run_screen import RunScreen
from coach.screens.signs import FULL, PLAIN
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.plot import ColumnPlot
from coach.screens.widgets.text_lines import Words
from tests.hand_rehearsal import HandRehearsal
from tests.screens.paper_studio import PaperStudio, make_part
from tests.screens.playing import (
    go_to_run,
    play_until,
    press,
    screen_of,
    settle,
    state_of,
    text_of,
)
from tests.screens.test_pictures import shown


async def play_with_marks(
    app: CoachApp, pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock
) -> None:
    """Play to the end; run out in bar 2, rush in bar 4."""
    await go_to_run(pilot)
    await press(pilot, "space")
    await play_until(pilot, studio, clock, 4.3)
    await press(pilot, "o")
    await play_until(pilot, studio, clock, 8.8)
    await press(pilot, "r")
    await play_until(pilot, studio, clock, 1000.0)
    assert isinstance(screen_of(app), AfterScreen)


async def test_what_was_marked_is_listed_and_stands_on_the_strip(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        words = app.screen.query_one(Words).text
        assert "not clean yet" in words
        assert "ran out at bar 2" in words
        assert "rushed at bar 4" in words
        assert "next: bars" in words, "the coach says what comes next"
        assert mark_sign(app.signs, MarkKind.RAN_OUT) in text_of(app, StaffStrip)
        await press(pilot, "down")
        assert mark_sign(app.signs, MarkKind.RUSHED) in text_of(app, StaffStrip)


async def test_on_a_low_screen_the_place_stands_in_names_below(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(70, 20)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        strip = text_of(app, StaffStrip)
        assert "E♭3" in strip
        assert app.signs.playhead in strip
        assert "next: bars" in text_of(app, Words)


async def test_a_run_is_named_after_it_as_while_it_played(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    """The bars that lead in are no part of its name."""
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        conductor = studio.conductors[-1]
        conductor.set_wishes(replace(conductor.wishes, lead_in_bars=1))
        conductor.set_segment(3, 4)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 0.5)
        assert "bars 3 to 4" in text_of(app, Heading)
        await play_until(pilot, studio, clock, 1000.0)
        assert isinstance(screen_of(app), AfterScreen)
        assert "bars 3 to 4" in text_of(app, Heading)


async def test_a_run_counts_as_clean_only_once_it_was_called_so(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        conductor = await play_through(pilot, studio, clock)
        words = app.screen.query_one(Words).text
        assert "clean?" in words
        assert "? ○ ○  0 of 3 clean" in words
        assert "if it was clean: 1 clean in a row" in words
        assert "1 of 3" not in words
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        words = app.screen.query_one(Words).text
        assert "● ? ○  1 of 3 clean" in words
        await press(pilot, "t")
        words = app.screen.query_one(Words).text
        assert "○ ○ ○  0 of 3 clean" in words
        assert "if it was clean" not in words
    assert conductor.last_run is not None


async def test_a_late_entry_after_a_breath_is_marked_beside_the_space_bar(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    """The comma is the page's own sign for a breath, and lies under the thumb."""
    async with app.run_test(size=(120, 40)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 8.8)
        await press(pilot, "comma")
        (mark,) = studio.conductors[0].marks
        assert (str(mark.kind), mark.bar) == ("late-after-breath", 4)
        assert mark.at == pytest.approx(8.5)
        await play_until(pilot, studio, clock, 1000.0)
        assert isinstance(screen_of(app), AfterScreen)
        words = app.screen.query_one(Words).text
        assert "not clean yet" in words
        assert "late after the breath at bar 4" in words
        assert mark_sign(app.signs, MarkKind.LATE_AFTER_BREATH) in text_of(
            app, StaffStrip
        )
        await press(pilot, "escape", "escape", "l")
        await settle(pilot)
        story = app.screen.query_one("#story", Words).text
        assert "late after the breath at bar 4" in story
        assert "░" in text_of(app, ColumnPlot)


async def test_a_word_of_harm_is_answered_by_a_stop_and_space_may_go_on(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    """Of a run without a mark too, whose advice else begins with *if it was clean*."""
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        await press(pilot, "w", *"dizzy", "enter")
        words = app.screen.query_one(Words).text
        assert "next: a rest" in words
        assert "You said “dizzy”: stop for now" in words
        assert "if it was clean" not in words
        await press(pilot, "space")
        assert isinstance(screen_of(app), RunScreen)
        assert "stop for now" in text_of(app, KeyBar)
        await press(pilot, "space")
        assert studio.conductors[0].state is State.COUNTING_IN


async def test_a_note_is_kept_with_the_run(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        await press(pilot, "w", *"lips", "space", *"tired", "enter")
        assert "“lips tired”" in app.screen.query_one(Words).text
        notice = app.screen.query_one(Notice)
        assert notice.words == "Kept as a note: “lips tired”."
        await press(pilot, "w", *["backspace"] * 10, *"clean", "enter")
        assert notice.words == ""
        await press(pilot, "w", *"lips", "space", *"tired", "enter", "t")
        await press(pilot, "escape")
        (run,) = studio.log.list_runs()
        assert run.note == "lips tired"
        assert not run.is_clean
        assert isinstance(screen_of(app), RunScreen)


async def test_what_was_said_of_a_run_is_kept_when_the_coach_is_left_at_once(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        await press(pilot, "w", *"yes,sore", "enter", "ctrl+q")
    assert studio.log.runs[1].is_clean
    assert studio.log.runs[1].note == "sore"


async def test_again_and_slower_count_in_at_once(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        await press(pilot, "s")
        conductor = studio.conductors[0]
        assert state_of(conductor) is State.COUNTING_IN
        assert conductor.plan.bpm == 92
        await play_until(pilot, studio, clock, 1000.0)
        await press(pilot, "a")
        assert state_of(conductor) is State.COUNTING_IN
        assert conductor.plan.bpm == 92


async def test_a_run_that_was_cut_off_is_called_so(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 5.2)
        await press(pilot, "b", "space")
        words = app.screen.query_one(Words).text
        assert "cut off in bar 3" in words
        assert "breathed at bar 3" in words, "a breath is told of and is no fault"
        await press(pilot, "c")
        (run,) = studio.log.list_runs()
        assert not run.is_completed
        assert run.is_clean, "the player's word counts"


@pytest.mark.parametrize("key", ["space", "enter"])
async def test_space_does_what_the_coach_says(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, key: str
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        advice = studio.conductors[0].advice()
        await press(pilot, key)
        assert state_of(studio.conductors[0]) is State.COUNTING_IN
        assert studio.conductors[0].plan.bpm == advice.bpm
        assert studio.conductors[0].wishes.from_bar == advice.from_bar


@pytest.mark.parametrize("keys", [("space",), ("c", "space")])
async def test_a_clean_run_is_followed_by_what_is_next_with_c_as_with_space(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, keys: tuple[str, ...]
) -> None:
    for day in (1, 2):
        when = datetime(2026, 3, day, 17, 0, tzinfo=UTC)
        studio.log.begin(
            Run(
                when, "River at Low Water", 1, 8, 92.0, is_completed=True, is_clean=True
            )
        )
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "-")
        conductor = studio.conductors[0]
        played = conductor.wishes.bpm
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        advice = conductor.advice({conductor.run_id: True})
        assert advice.bpm != played, "else nothing is tried here"
        for key in keys:
            await press(pilot, key)
            asked = conductor.wishes
            assert (asked.bpm, asked.from_bar) == (advice.bpm, advice.from_bar)
            if key == "c":
                assert state_of(conductor) is State.READY
                told = text_of(app, KeyBar)
                assert f"at ♩ {advice.bpm:g}. Space starts it." in told
        assert state_of(conductor) is State.COUNTING_IN
    assert studio.log.runs[1].is_clean


async def test_leaving_without_a_word_leaves_all_as_it_was_and_says_so(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        conductor = studio.conductors[0]
        before = conductor.wishes
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        await press(pilot, "escape")
        assert conductor.wishes == before
        told = text_of(app, KeyBar)
        assert f"at ♩ {before.bpm:g}. Space starts it." in told
        assert "No word on that run" in told


async def test_a_run_without_marks_may_still_be_called_unclean(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        assert "clean?\n" in app.screen.query_one(Words).text
        await press(pilot, "t")
        words = app.screen.query_one(Words).text
        assert "not clean yet" in words
        assert "Not clean yet: once more" in words, "the advice follows the word"
        await press(pilot, "escape")
        (run,) = studio.log.list_runs()
        assert run.is_completed
        assert not run.is_clean


@pytest.mark.parametrize(
    ("keys", "is_clean"),
    [
        (("c",), True),
        (("enter",), True),
        (("t", "a"), False),
        (("escape",), None),
        (("a",), None),
        (("s",), None),
        (("ctrl+q",), None),
        (("t", "ctrl+q"), False),
    ],
)
async def test_a_run_is_clean_or_not_only_if_the_player_says_so(
    app: CoachApp,
    studio: PaperStudio,
    clock: ManualClock,
    keys: tuple[str, ...],
    is_clean: bool | None,
) -> None:
    """Enter takes what stands on the screen; leaving or playing on says nothing."""
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        assert "clean?\n" in app.screen.query_one(Words).text
        await press(pilot, *keys)
    assert studio.log.runs[1].is_completed
    assert studio.log.runs[1].is_clean is is_clean


async def test_several_runs_are_asked_about_one_by_one(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "3", "space")
        conductor = studio.conductors[0]
        await play_until(pilot, studio, clock, 2.0)
        await press(pilot, "o")
        for _ in range(2):
            await play_until(pilot, studio, clock, 1000.0)
            conductor.start()
        await play_until(pilot, studio, clock, 1000.0)
        assert isinstance(screen_of(app), AfterScreen)
        words = app.screen.query_one(Words)
        assert "run 1 of 3: not clean yet" in words.text
        assert "ran out at bar" in words.text
        await press(pilot, "t")
        assert "run 2 of 3: clean?" in words.text
        assert "nothing marked" in words.text
        await press(pilot, "c")
        assert "run 3 of 3: clean?" in words.text
        await press(pilot, "escape")
        assert isinstance(screen_of(app), RunScreen)
    assert [run.is_clean for run in studio.log.runs.values()] == [False, True, None]


async def test_what_is_typed_after_a_run_is_understood(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        await press(pilot, "w")
        cast(Any, app.focused).value = "Not clean! Ran out 3.2; lips \x1b[31mtired"
        await press(pilot, "enter")
        words = app.screen.query_one(Words).text
        assert "not clean yet" in words
        assert "ran out at bar 3, beat 2" in words
        assert "“lips tired”" in words
        await press(pilot, "escape")
    run = studio.log.runs[1]
    assert run.is_clean is False
    assert [(mark.bar, mark.beat) for mark in run.marks] == [(3, 2.0)]


async def play_through(
    pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock
) -> Conductor:
    """Play a run to its end and mark nothing in it."""
    await go_to_run(pilot)
    await press(pilot, "space")
    await play_until(pilot, studio, clock, 1000.0)
    return studio.conductors[0]


def rows_with(app: CoachApp, words: str) -> list[str]:
    """Give the rows of the picture over the bars that hold some words."""
    return [row for row in text_of(app, RunBars).split("\n") if words in row]


@pytest.mark.parametrize(("bars", "apart"), [(8, 1), (28, 2), (36, 2), (100, 8)])
async def test_bars_are_numbered_evenly(bars: int, apart: int) -> None:
    """A number that is left out between two others is looked for."""
    part = make_part("Long Day", "\n" + "Bb2/4 D3/4 F3/4 Bb3/4\n" * bars)
    assert part.bar_count == bars
    picture = RunBars(FULL)
    plan = HandRehearsal(part).conductor
    text = await shown(
        picture, lambda run: run.show_run(plan.plan, plan.gauge, Seconds(1.0)), 80, 9
    )
    numbers = [int(word) for word in text.splitlines()[0].split()[1:]]
    assert numbers == list(range(1, numbers[-1] + 1, apart))
    assert numbers[-1] > bars - 2 * apart


async def test_marks_whose_beats_share_a_cell_stand_side_by_side(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        conductor = await play_through(pilot, studio, clock)
        bars = app.screen.query_one(RunBars)
        kinds = (MarkKind.MISSED, MarkKind.RAN_OUT, MarkKind.RUSHED)
        marks = [
            Mark(kind, 1, 1.0, Seconds(2.0 + k / 100)) for k, kind in enumerate(kinds)
        ]
        bars.show_marks(tuple(marks))
        signs = [mark_sign(app.signs, kind) for kind in kinds]
        assert "".join(signs) in bars.sheet.text(1)
        assert not conductor.marks


@pytest.mark.parametrize(
    ("kind", "row"), [(k, row) for k, row in KINDS.items() if row.is_fault]
)
async def test_a_place_is_marked_afterwards_with_the_key_of_the_run(
    app: CoachApp,
    studio: PaperStudio,
    clock: ManualClock,
    kind: MarkKind,
    row: KindOfMark,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        conductor = await play_through(pilot, studio, clock)
        assert "? ○ ○  0 of 3" in app.screen.query_one(Words).text
        await press(pilot, *["right"] * 6, "left", row.key)
        (mark,) = conductor.marks
        assert (mark.kind, mark.bar, mark.beat) == (kind, 2, 2.0)
        words = app.screen.query_one(Words).text
        assert "not clean yet" in words
        assert "○ ○ ○  0 of 3 clean" in words
        (flag,) = rows_with(app, row.words)
        (place,) = rows_with(app, "bar 2, beat 2")
        assert flag.index(row.sign) == place.index(app.signs.cursor)
        await press(pilot, "backspace")
        assert not conductor.marks
        assert "clean?" in app.screen.query_one(Words).text
    assert studio.log.runs[1].marks == ()


async def test_a_breath_missed_is_said_afterwards_and_the_air_shows_it(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        conductor = await play_through(pilot, studio, clock)
        assert not rows_with(app, "played"), "as planned, so played"
        first = conductor.plan.breaths.breaths[0]
        places = beat_places(conductor.plan, Seconds(99.0))
        at = nearest_place(places, first.start)
        await press(pilot, *["right"] * at, "n")
        assert [mark.kind for mark in conductor.marks] == [MarkKind.MISSED_BREATH]
        assert first.after_note not in {
            breath.after_note for breath in conductor.plan.breaths.breaths
        }
        assert rows_with(app, "planned")
        assert rows_with(app, "played")
        await press(pilot, "backspace")
        assert not rows_with(app, "played")
        await press(pilot, "n", "space")
    evidence = studio.log.evidence[1]
    taken = {breath.after_note for breath in evidence.breaths}
    assert first.after_note not in taken


async def test_a_key_that_changes_nothing_afterwards_says_so(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        conductor = await play_through(pilot, studio, clock)
        clock.wait_until(Seconds(clock.now() + 1.0))
        await press(pilot, "n")
        assert not conductor.marks
        assert "nothing is changed" in text_of(app, Notice)


async def test_the_staff_stands_in_page_order_and_its_bars_are_numbered(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_through(pilot, studio, clock)
        for _ in range(26):
            await press(pilot, "right")
            first_row = text_of(app, StaffStrip).split("\n")[0]
            numbers = [
                int(word)
                for word in first_row.replace("’", " ").split()
                if word.isdigit()
            ]
            assert numbers == sorted(numbers), first_row
            assert first_row[:2].strip().isdigit(), "the first bar has a number"


async def test_the_pedal_plays_the_same_again(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        studio.tell(PedalPressed(Seconds(0.0), "start-stop"))
        await settle(pilot)
        assert state_of(studio.conductors[0]) is State.COUNTING_IN
        assert isinstance(screen_of(app), RunScreen)


async def test_runs_in_a_row_rest_and_go_on_by_themselves(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "2", "e", "space")
        await play_until(pilot, studio, clock, 1000.0)
        conductor = studio.conductors[0]
        assert state_of(conductor) is State.RESTING
        screen = screen_of(app)
        assert isinstance(screen, RunScreen)
        clock.wait_until(Seconds(clock.now() + 6.0))
        screen.frame()
        assert state_of(conductor) is State.COUNTING_IN
        await play_until(pilot, studio, clock, 1000.0)
        assert isinstance(screen_of(app), AfterScreen)
        assert len(studio.log.runs) == 2


async def test_g_plays_the_same_again_with_room_to_breathe(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        await press(pilot, "g")
        conductor = studio.conductors[-1]
        assert state_of(studio.conductors[-1]) is State.COUNTING_IN
        assert conductor.room_beats == 1.0
        assert conductor.plan.part.end > conductor.part.end


async def test_any_mark_is_struck_where_it_stands(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        conductor = studio.conductors[0]
        ran_out, rushed = conductor.marks
        await press(pilot, "x")
        assert conductor.marks == (rushed,), "the pointer stood at the first"
        assert "Taken back: ran out" in app.screen.query_one(Notice).words
        await press(pilot, "x")
        assert conductor.marks == (rushed,)
        assert "No mark stands here" in app.screen.query_one(Notice).words
        await press(pilot, "down", "x")
        assert ran_out.kind is MarkKind.RAN_OUT
        assert not studio.log.list_runs()[0].marks


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_last_runs_stand_under_their_bars(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        assert "last" not in text_of(app, RunBars), "there is no run before"
        await press(pilot, "escape", "space")
        await play_until(pilot, studio, clock, 1000.0)
        rows = text_of(app, RunBars).splitlines()
        (last,) = [row for row in rows if row.startswith("last 1")]
        assert last.count("▪") == 2, "out of air in one bar, rushed in another"
        assert last.count("▫") == 6
        assert last.index("▪") == rows[0].index("2")


async def test_what_does_not_fit_after_a_run_can_be_scrolled_to(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(40, 10)) as pilot:
        await play_with_marks(app, pilot, studio, clock)
        seen = text_of(app, Words)
        assert "more ↓" in seen
        for _ in range(6):
            await press(pilot, "pagedown")
            seen += text_of(app, Words)
        assert "next: bars" in seen


def run_of(from_bar: int, to_bar: int, reached: int | None, *wrong: int) -> Run:
    """Give a run with something wrong in some bars."""
    marks = tuple(Mark(MarkKind.RUSHED, bar, 1.0, Seconds(1.0)) for bar in wrong)
    when = datetime(2026, 3, 1, tzinfo=UTC)
    run = Run(when, "A", from_bar, to_bar, 60.0, is_completed=False, is_clean=False)
    return replace(run, reached_bar=reached, marks=marks)


async def test_a_key_that_comes_as_the_run_ends_is_about_its_last_beat(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        conductor = await play_through(pilot, studio, clock)
        await press(pilot, "o")
        last = conductor.plan.times[-1].end
        (mark,) = conductor.marks
        assert mark.bar == conductor.segment.to_bar
        assert last - 2.0 < mark.at < last
        assert "0.3 s before the key" in app.screen.query_one(Notice).words
        clock.wait_until(Seconds(clock.now() + 1.0))
        await press(pilot, *["left"] * 99, "r")
        assert [mark.bar for mark in conductor.marks] == [1, conductor.segment.to_bar]


async def test_after_a_while_a_key_marks_what_is_pointed_at(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        conductor = await play_through(pilot, studio, clock)
        clock.wait_until(Seconds(clock.now() + 1.0))
        await press(pilot, "o")
        (mark,) = conductor.marks
        assert (mark.bar, mark.beat) == (1, 1.0)


async def test_a_run_that_was_cut_off_is_looked_at_where_it_ended(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 8.8)
        await press(pilot, "space")
        clock.wait_until(Seconds(clock.now() + 9.0))
        conductor = studio.conductors[0]
        await press(pilot, "o")
        (mark,) = conductor.marks
        assert 0.0 <= conductor.glance().time - mark.at < 1.0


async def test_a_key_for_the_last_of_several_runs_marks_no_other(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "2", "space")
        await play_until(pilot, studio, clock, 1000.0)
        studio.conductors[0].start()
        await play_until(pilot, studio, clock, 1000.0)
        await press(pilot, "o")
        assert (
            app.screen.query_one(Notice).words
            == "Not marked: this is run 1, and run 2 has just ended."
        )
        assert studio.conductors[0].marks == ()


def test_a_bar_tells_of_each_run_that_came_to_it() -> None:
    runs = [run_of(1, 4, 4, 2), run_of(1, 8, 8), run_of(5, 8, 6, 6), run_of(1, 8, None)]
    assert [say_bar(runs, bar, 8, FULL) for bar in (2, 6, 7)] == [
        "▪▫  ",
        " ▫▪ ",
        " ▫  ",
    ]
    assert [say_bar(runs, bar, 3, FULL) for bar in (2, 7)] == ["1", ""]
    assert say_bar(runs, 2, 8, PLAIN) == "x.  "


async def test_what_space_plays_is_seen_however_much_there_is_to_say(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        for time in (2.0, 4.0, 6.0, 8.0, 10.0, 12.0):
            await play_until(pilot, studio, clock, time)
            await press(pilot, "r", "d")
        await play_until(pilot, studio, clock, 1000.0)
        await press(pilot, "w", *"tired", "enter")
        shown = text_of(app, Words)
        assert "more ↓" in shown, "else nothing is tried here"
        assert "next: bars" in shown


async def test_a_run_that_was_cut_off_is_never_called_clean(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 4.3)
        await press(pilot, "escape", "w", *"CLEAN", "enter")
        words = app.screen.query_one(Words).text
        assert "cut off in bar 2, clean so far" in words
        assert "0 of 3 clean" in words
