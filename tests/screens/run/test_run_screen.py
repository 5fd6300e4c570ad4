"""The run as a player sees it: keys in, what is shown out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, cast

import pytest
from textual.binding import Binding

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.gear.gear import (
    ClickAwaited,
    GearLost,
    ManualClock,
    PedalPressed,
    SoundFound,
)
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.following.told import (
    BreathTold,
    RunTold,
    StartHeard,
    StopTold,
)
from coach.rehearsal.run.mark import mark_at
from coach.rehearsal.run.mark_kinds import KINDS, MarkKind
from coach.rehearsal.run.run_states import State
from coach.score.metre import Metre
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from coach.screens.after.after_keys import AFTER_KEYS
from coach.screens.after.after_screen import AfterScreen
from coach.screens.app import CoachApp
from coach.screens.phrase.phrase_keys import PHRASE_KEYS
from coach.screens.run.air_gauge import AirGauge
from coach.screens.run.bar_number import BarNumber
from coach.screens.run.countdown import Countdown
from coach.screens.run.run_keys import RUN_KEYS
from coach.screens.run.run_screen import RunScreen
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.widgets import key_bar
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.notice import Notice
from coach.wiring.player_planner import PlayerPlanner
from tests.dry_music import unbroken
from tests.hand_heard import HandEar
from tests.hand_made import part_of
from tests.hand_rehearsal import WaryPlanner, nothing_learned
from tests.screens.paper_studio import HandPlanner, PaperStudio
from tests.screens.playing import (
    go_to_run,
    play_until,
    press,
    run_time_of,
    screen_of,
    settle,
    state_of,
    text_of,
    wait_for,
)


async def test_three_keys_lead_from_the_shelf_to_the_first_click(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await settle(pilot)
        assert run_time_of(studio) is not None


async def test_the_count_in_is_counted_before_the_first_beat(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, -0.7)
        cue = app.screen.query_one(Countdown).cue
        assert (cue.kind, cue.number) == ("count", 3)


async def test_the_countdown_tells_the_beats_to_the_next_breath(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        breath = studio.conductors[0].plan.breaths.breaths[0]
        beat = 60 / 96
        await play_until(pilot, studio, clock, breath.start - 1.5 * beat)
        cue = app.screen.query_one(Countdown).cue
        assert (cue.kind, cue.number) == ("catch", 2)
        await play_until(pilot, studio, clock, breath.start + 0.01)
        assert app.screen.query_one(Countdown).cue.kind == "in-catch"


async def test_a_full_breath_and_a_top_off_differ_in_shape(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        seen = {}
        for breath in studio.conductors[0].plan.breaths.breaths:
            await play_until(pilot, studio, clock, breath.start - 0.3)
            seen[breath.kind] = text_of(app, Countdown)
        assert set(seen) == {"full", "catch"}
        assert seen["full"] != seen["catch"]


async def test_one_key_marks_running_out_at_the_beat_before_the_key(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 4.0)
        await press(pilot, "o")
        await settle(pilot)
        (mark,) = studio.log.runs[1].marks
        assert mark.kind is MarkKind.RAN_OUT
        assert mark.at == pytest.approx(3.7), "the reaction time is taken off"
        words = app.screen.query_one(KeyBar).words
        assert "before the key" in words, "and the player is told so"
        assert mark_sign(app.signs, MarkKind.RAN_OUT) in text_of(app, StaffStrip)


async def test_the_beat_that_is_shown_is_the_one_that_a_key_marks(
    clock: ManualClock,
) -> None:
    part = part_of("F3q. G3q. F3q. G3q.", metre=Metre(6, 8), bpm=60)
    studio = PaperStudio([part], clock, PlayerPlanner("tenor-trombone"))
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        shown = text_of(app, BarNumber)
        mark = mark_at(studio.conductors[0].plan, MarkKind.RUSHED, Seconds(3.0))
        assert f"beat {mark.beat:g}" in shown
        assert mark.beat > 2, "else groups are counted too"


@pytest.mark.parametrize("kind", MarkKind)
async def test_each_mark_has_a_key_of_its_own(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, kind: MarkKind
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        breath = studio.conductors[0].plan.breaths.breaths[0]
        await play_until(pilot, studio, clock, breath.start + 0.01)
        await press(pilot, KINDS[kind].key)
        await settle(pilot)
        assert [mark.kind for mark in studio.log.runs[1].marks] == [kind]
        assert KINDS[kind].sign in text_of(app, StaffStrip)


async def test_a_mark_can_be_taken_back(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 2.0)
        await press(pilot, "r", "backspace")
        assert studio.log.runs[1].marks == ()


async def test_a_missed_breath_moves_the_gauge_at_once(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        breath = studio.conductors[0].plan.breaths.breaths[0]
        await play_until(pilot, studio, clock, breath.next_note + 0.3)
        before = text_of(app, AirGauge)
        await press(pilot, "n")
        await settle(pilot)
        assert text_of(app, AirGauge) != before


async def test_the_gauge_can_be_hidden_to_test_oneself(
    app: CoachApp, studio: PaperStudio
) -> None:
    del studio
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        assert "air 100 %" in text_of(app, AirGauge)
        await press(pilot, "h")
        assert "air" not in text_of(app, AirGauge)
        await press(pilot, "h")
        assert "air 100 %" in text_of(app, AirGauge)


async def test_tempo_and_segment_change_with_one_key_each(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        conductor = studio.conductors[0]
        await press(pilot, "minus")
        assert conductor.wishes.bpm == 92
        await press(pilot, "plus")
        assert conductor.wishes.bpm == 96
        await press(pilot, "left_square_bracket")
        assert conductor.wishes.to_bar == 7
        await press(pilot, "w")
        assert conductor.wishes.to_bar == 8
        heading = text_of(app, Heading)
        assert "bars 1 to 8" in heading
        assert "96" in heading


async def test_a_tempo_asked_for_in_a_run_waits_for_the_next_one(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1.0)
        await press(pilot, "minus")
        assert studio.conductors[0].plan.bpm == 96
        assert "from the next run on" in app.screen.query_one(KeyBar).words


async def test_the_heading_keeps_to_the_run_that_plays(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        before = text_of(app, Heading)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1.0)
        await press(pilot, "minus")
        await press(pilot, "left_square_bracket")
        assert studio.conductors[0].wishes.bpm == 92
        assert text_of(app, Heading) == before
        await press(pilot, "space", "escape")
        assert "bars 1 to 7" in text_of(app, Heading)
        assert "92" in text_of(app, Heading)


async def test_wishes_for_the_next_run_have_one_key_each(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "3", "y", "e", "i", "j", "v", "s", "u", "c", "t", "k", "z")
        wishes = studio.conductors[0].wishes
        assert wishes.runs_in_a_row == 3
        assert wishes.is_ladder_on
        assert wishes.rest == Seconds(5)
        assert wishes.lead_in_bars == 1
        assert wishes.overlaps
        assert wishes.segment_by == "breath"
        assert wishes.click.subdivision == 2
        assert wishes.click.guide
        assert wishes.click.count_in_bars == 2
        assert wishes.click.drone
        assert wishes.click.cues
        assert (wishes.click.play_bars, wishes.click.silent_bars) == (2, 2)


async def test_after_the_last_beat_the_coach_asks_for_a_word(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        await settle(pilot)
        assert isinstance(screen_of(app), AfterScreen)
        await press(pilot, "c")
        await settle(pilot)
        assert studio.log.runs[1].is_clean
        assert studio.log.runs[1].is_completed
        assert isinstance(screen_of(app), RunScreen)


@pytest.mark.parametrize("key", ["ctrl+q", "ctrl+c"])
async def test_leaving_in_mid_run_ends_the_sound_and_keeps_the_run(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, key: str
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        await press(pilot, key)
        assert app.return_code == 0
    assert run_time_of(studio) is None
    assert not studio.log.runs[1].is_completed
    assert studio.log.runs[1].reached_bar == 2


async def test_escape_stops_and_asks_for_a_word_then_goes_back(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        await press(pilot, "escape")
        await settle(pilot)
        assert isinstance(screen_of(app), AfterScreen)
        await press(pilot, "escape")
        await settle(pilot)
        assert isinstance(screen_of(app), RunScreen)
        await press(pilot, "escape")
        await settle(pilot)
        assert not isinstance(screen_of(app), RunScreen)
        assert state_of(studio.conductors[0]) is State.READY


async def test_again_cuts_off_and_counts_in_anew(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        await press(pilot, "a")
        assert state_of(studio.conductors[0]) is State.COUNTING_IN
        assert len(studio.log.runs) == 2


async def test_a_pedal_starts_and_marks(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        studio.tell(PedalPressed(Seconds(0.0), "start-stop"))
        await settle(pilot)
        assert state_of(studio.conductors[0]) is State.COUNTING_IN
        await play_until(pilot, studio, clock, 3.0)
        studio.tell(PedalPressed(Seconds(3.0), "mark"))
        await settle(pilot)
        assert [mark.by for mark in studio.log.runs[1].marks] == ["pedal"]


async def test_a_knock_starts_where_the_player_wants_it_and_keys_are_no_knock(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        conductor = studio.conductors[0]
        ear = HandEar()
        conductor._takes._ear = ear
        assert text_of(app, Countdown).count("space starts") == 1
        knock = FollowWishes(start_by="knock")
        conductor.set_wishes(replace(conductor.wishes, listens=True, following=knock))
        await press(pilot, "right")
        assert ear.passed_over == 1
        assert "knock twice, or space, to begin" in text_of(app, Countdown)
        await press(pilot, "question_mark")
        await settle(pilot)
        assert not isinstance(screen_of(app), RunScreen)
        studio.tell(StartHeard("knock"))
        await settle(pilot)
        assert state_of(conductor) is State.READY, "help is on top of the run"
        await press(pilot, "escape")
        await settle(pilot)
        studio.tell(StartHeard("knock"))
        await settle(pilot)
        assert state_of(conductor) is State.COUNTING_IN


async def test_a_breath_heard_to_be_missed_is_told_and_taken_back_with_one_key(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        conductor = studio.conductors[0]
        conductor._takes._ear = HandEar()
        wishes = replace(conductor.wishes, listens=True)
        conductor.set_wishes(replace(wishes, following=FollowWishes(follows=True)))
        breath = conductor.plan.breaths.breaths[0]
        await press(pilot, "space")
        await play_until(pilot, studio, clock, breath.next_note + 0.3)
        told = BreathTold(breath.after_note, breath.next_note, is_taken=False)
        run = conductor.run_id
        assert run is not None
        studio.tell(RunTold(run, told))
        await settle(pilot)
        assert "as heard; a key takes it back" in app.screen.query_one(KeyBar).words
        assert [mark.by for mark in conductor.marks] == ["microphone"]
        await press(pilot, "backspace")
        assert [mark.by for mark in conductor.marks] == []
        studio.tell(RunTold(run, StopTold(Seconds(breath.next_note))))
        await settle(pilot)


async def test_lost_gear_is_told_in_words(app: CoachApp, studio: PaperStudio) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        studio.tell(GearLost("The synth is gone; the built-in click goes on."))
        await settle(pilot)
        assert "built-in click" in app.screen.query_one(KeyBar).words


async def test_a_click_that_is_waited_for_is_told_in_words(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        studio.tell(ClickAwaited("The count-in waits for the click."))
        await settle(pilot)
        assert "waits for the click" in app.screen.query_one(KeyBar).words
        studio.tell(ClickAwaited(""))
        await settle(pilot)
        assert "waits for the click" not in app.screen.query_one(KeyBar).words


async def test_gear_lost_elsewhere_is_told_where_the_player_is(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        studio.tell(GearLost("The synth is gone."))
        await settle(pilot)
        assert "synth is gone" in app.screen.query_one(Notice).words
        await press(pilot, "enter")
        studio.tell(GearLost("The synth is back.", is_back=True))
        await settle(pilot)
        assert "synth is back" in app.screen.query_one(Notice).words


async def test_a_run_that_ends_behind_the_list_of_keys_still_asks_for_a_word(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        await press(pilot, "question_mark")
        clock.wait_until(Seconds(clock.now() + 1000.0))
        await wait_for(pilot, lambda: isinstance(screen_of(app), AfterScreen))


async def test_the_screen_turns_in_the_middle_of_a_run(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        for size in [(80, 24), (40, 15), (200, 60), (80, 24)]:
            await pilot.resize_terminal(*size)
            now = run_time_of(studio)
            assert now is not None
            await play_until(pilot, studio, clock, now + 1.0)
            assert app.signs.playhead in text_of(app, StaffStrip)
            assert app.screen.query_one(AirGauge).size.width == size[0] - 2
            assert app.screen.query_one(KeyBar).region.bottom == size[1]


async def test_nothing_is_drawn_while_nothing_moves(
    app: CoachApp, studio: PaperStudio
) -> None:
    del studio
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        assert not is_drawing(app)
        await press(pilot, "space")
        assert is_drawing(app)
        await press(pilot, "space")
        assert not is_drawing(app)


def is_drawing(app: CoachApp) -> bool:
    """Tell whether pictures follow each other."""
    timer = next(
        screen._timer for screen in app.screen_stack if isinstance(screen, RunScreen)
    )
    return timer is not None and timer._active.is_set()


class SwitchingPlanner(HandPlanner):
    """Takes other positions all over as soon as a breath is refused."""

    def plan(
        self, segment: Part, bpm: float, edits: Edits, before: Plan | None = None
    ) -> Plan:
        plan = super().plan(segment, bpm, edits, before)
        if not edits.locks.must_not:
            return plan
        far = tuple(
            replace(placement, label="T6", is_alternate=True)
            for placement in plan.slide.placements
        )
        return replace(plan, slide=replace(plan.slide, placements=far))


async def test_notes_stay_under_the_eye_when_the_rest_is_planned_anew(
    part: Part, clock: ManualClock
) -> None:
    studio = PaperStudio([part], clock, SwitchingPlanner())
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        breath = studio.conductors[0].plan.breaths.breaths[0]
        await play_until(pilot, studio, clock, breath.next_note + 0.1)
        before = text_of(app, StaffStrip).split("\n")
        await press(pilot, "n")
        after = text_of(app, StaffStrip).split("\n")
        changed = [y for y, row in enumerate(before) if row != after[y]]
        assert any("T6" in row for row in after)
        staff = [y for y, row in enumerate(before) if "▁▁▁▁▁▁" in row]
        assert not set(staff) & set(changed), "only what stands over and under moves"


@pytest.mark.parametrize("keys", [RUN_KEYS, AFTER_KEYS, PHRASE_KEYS, ShelfScreen.KEYS])
def test_one_letter_is_the_log_everywhere(keys: Sequence[Binding]) -> None:
    named = {row.description for row in keys if "l" in row.key.split(",")}
    assert named <= {"log"}


async def test_two_halves_have_a_seam_and_the_one_that_waits_says_so(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        rows = text_of(app, StaffStrip).splitlines()
        seams = {row.index(app.signs.mark) for row in rows if app.signs.mark in row}
        assert len(seams) == 1, "one upright rule"
        (seam,) = seams
        (words,) = (row for row in rows if "next" in row)
        assert words.index("next") == seam + 1


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_what_will_be_spent_is_as_bright_as_what_stays(
    studio: PaperStudio, size: tuple[int, int]
) -> None:
    """Else the bright end would be read as the air in hand; a step tells them apart."""
    app = CoachApp(studio)
    async with app.run_test(size=size) as pilot:
        await go_to_run(pilot)
        runs = app.screen.query_one(AirGauge).sheet.runs(0)
        beside = {"", "gauge--track", "gauge--half", "gauge--seconds"}
        bar = [(style, text) for style, text in runs if style not in beside]
        assert {style for style, _ in bar} == {"gauge--top-half"}
        assert {"█", "▄"} <= {sign for _, text in bar for sign in text}


async def test_while_it_is_time_to_breathe_the_whole_place_is_lit_up(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    """A number that is gone says that nothing is near; now is something else."""
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        breath = studio.conductors[0].plan.breaths.breaths[0]
        countdown = app.screen.query_one(Countdown)
        lit = {}
        for time in (breath.start - 0.2, breath.start + 0.1):
            await play_until(pilot, studio, clock, time)
            rows = range(countdown.sheet.height)
            runs = [run for y in rows for run in countdown.sheet.runs(y)]
            lit[countdown.cue.kind] = {style for style, _ in runs}
        ahead, now = lit
        assert "" in lit[ahead], "dark behind the words"
        assert now.startswith("in-")
        assert lit[now] == {f"cue--{now}"}
        assert countdown.cue.number is None


async def test_the_gauge_says_how_surely_the_air_is_known(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        studio.estimate = nothing_learned()
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 4.0)
        shown = text_of(app, AirGauge)
        assert re.search(r"air \d\d \(\d\d–\d\d\) % · top half +half", shown)
        assert "▒" in shown


async def test_an_optional_breath_and_what_it_leaves_out_stand_in_brackets(
    clock: ManualClock,
) -> None:
    studio = PaperStudio([unbroken()], clock, WaryPlanner())
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        conductor = studio.conductors[-1]
        assert conductor.knows_optional
        await press(pilot, "space")
        breath = conductor.plan.breaths.breaths[0]
        await play_until(pilot, studio, clock, breath.start - 1.0)
        assert "(deep in 2 beats, leave out [D3 F3 D3])" in text_of(app, Countdown)
        await play_until(pilot, studio, clock, breath.next_note)
        strip = text_of(app, StaffStrip)
        assert "(0.5V)" in strip
        assert strip.count("[") >= len(breath.left_out)


async def test_which_run_of_how_many_plays_is_said(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "3")
        assert "3 in a row" in text_of(app, Heading)
        await press(pilot, "space")
        assert "run 1 of 3" in text_of(app, Heading)
        await press(pilot, "9")
        assert "run 1 of 3" in text_of(app, Heading), "what is asked for comes later"
        for run in (2, 3):
            await play_until(pilot, studio, clock, 1000.0)
            studio.conductors[0].start()
            cast(Any, app.screen)._wake()
            assert f"run {run} of 3" in text_of(app, Heading)


async def test_at_200_by_60_names_and_air_stay_and_no_window_is_empty(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(200, 60)) as pilot:
        await go_to_run(pilot)
        strip = app.screen.query_one(StaffStrip)
        for last in (8, 1):
            studio.conductors[0].set_segment(1, last)
            cast(Any, app.screen)._wake()
            rows = text_of(app, StaffStrip).split("\n")
            assert any("B♭" in row for row in rows), "names under the notes"
            assert any("████████" in row for row in rows), "air"
            assert len(strip._windows) <= len(strip._lines)


async def test_what_would_hold_up_pictures_waits_for_the_end_of_the_run(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 4.3)
        assert studio.pauses == 0
        await play_until(pilot, studio, clock, 1000.0)
        assert studio.pauses == 1


async def test_a_remark_gives_the_place_of_the_keys_back_and_what_is_wrong_stays(
    app: CoachApp,
    studio: PaperStudio,
    clock: ManualClock,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(key_bar, "REMARK_S", 0.05)
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        await pilot.press("o")
        await wait_for(pilot, lambda: "out of air" in text_of(app, KeyBar))
        assert studio.conductors[0].marks
        bar = app.screen.query_one(KeyBar)
        await wait_for(pilot, lambda: not bar.words)
        bar.show_words("a remark")
        bar.show_words("The port is gone.", is_wrong=True)
        await pilot.pause(0.2)
        assert bar.words == "The port is gone."
        bar.show_words("reading …", stays=True)
        await pilot.pause(0.2)
        assert bar.words == "reading …"


@pytest.mark.parametrize("size", [(80, 24), (70, 20)])
async def test_bars_and_tempo_stay_whatever_else_is_asked_for(
    app: CoachApp, size: tuple[int, int]
) -> None:
    """What is said beside them gives way first, one after the other."""
    async with app.run_test(size=size) as pilot:
        await go_to_run(pilot)
        await press(pilot, "u", "f", "i", "s", "g", "3")
        heading = text_of(app, Heading)
        assert "3 in a row · a beat of room · bars 1 to 8 · ♩ 60" in heading
        assert "guide" not in heading, "there is no room for it"


async def test_a_click_that_nobody_hears_is_not_waited_for(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        assert "no sound" not in text_of(app, Heading)
        assert "space starts the count-in" in text_of(app, Countdown)
        studio.player.says = "silent, the beat is shown"
        studio.tell(SoundFound(studio.player.says))
        await settle(pilot)
        assert "no sound · bars 1 to 8" in text_of(app, Heading)
        assert "no sound: space starts the count-in" in text_of(app, Countdown)
        await press(pilot, "space")
        assert "no sound: watch the beat" in text_of(app, Countdown)
        await play_until(pilot, studio, clock, 1.0)
        assert "no sound · bars 1 to 8" in text_of(app, Heading)


async def test_what_was_said_of_a_run_goes_with_the_count_in_of_the_next(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "3", "space")
        await play_until(pilot, studio, clock, 1.0)
        await press(pilot, "r")
        assert "Rushed: bar 1" in text_of(app, KeyBar)
        await play_until(pilot, studio, clock, 1000.0)
        conductor = studio.conductors[0]
        assert (conductor.state, conductor.run_in_a_row) == (State.COUNTING_IN, (2, 3))
        assert "Rushed" not in text_of(app, KeyBar)


async def test_a_rest_that_is_due_is_shown_as_one(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1000.0)
        conductor = studio.conductors[0]
        rest = replace(conductor.advice(), kind="rest", why="Rest, then go on.")
        conductor.advice = lambda *_: rest  # type: ignore[method-assign]
        await press(pilot, "t", "space")
        assert isinstance(screen_of(app), RunScreen)
        assert app.screen.query_one(Countdown).cue.words == ("REST",)
        assert "Rest, then go on." in text_of(app, KeyBar)
        await press(pilot, "space")
        assert app.screen.query_one(Countdown).cue.words != ("REST",)
