"""A key of the phrase answers before the plan is made anew."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from threading import Event
from typing import Any

import pytest
from textual.pilot import Pilot

from coach.errors import PlanError
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Going, go_on
from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.gear.gear import ManualClock
from coach.score.etude_key import EtudeKey
from coach.score.phrase import Part
from coach.screens.app import CoachApp
from coach.screens.phrase import phrase_planning
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.run.run_screen import RunScreen
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.staff.staff_drawing import StaffDrawing
from coach.screens.staff.staff_pages import StaffPages
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.sheet import Sheet
from tests.dry_music import unbroken
from tests.hand_rehearsal import HandPlanner
from tests.screens.paper_studio import PaperStudio, RunsInMemory
from tests.screens.playing import press, settle, text_of, wait_for


class WaitingPlanner(HandPlanner):
    """Plans no further until it may, and counts second looks."""

    def __init__(self) -> None:
        super().__init__()
        self.may_plan = Event()
        self.may_plan.set()
        self.may_look = Event()
        self.may_look.set()
        self.refuses = False
        self.looks: list[Plan] = []
        self.ended_by: list[str] = []

    def plan(
        self, segment: Part, bpm: float, edits: Edits, before: Plan | None = None
    ) -> Plan:
        self.may_plan.wait()
        if self.refuses and edits != Edits():
            raise PlanError("No plan fits.")
        return super().plan(segment, bpm, edits, before)

    def tell_sure(self, plan: Plan, edits: Edits, before_each: Going = go_on) -> Plan:
        self.looks.append(plan)
        self.may_look.wait()
        try:
            before_each()
        except Exception as error:
            self.ended_by.append(type(error).__name__)
            raise
        return super().tell_sure(plan, edits, before_each)


@pytest.fixture
def planner() -> Iterator[WaitingPlanner]:
    waiting = WaitingPlanner()
    yield waiting
    waiting.may_plan.set()
    waiting.may_look.set()


@pytest.fixture
def studio(planner: WaitingPlanner, clock: ManualClock) -> PaperStudio:
    return PaperStudio([unbroken(4)], clock, planner)


async def open_phrase(app: CoachApp, pilot: Pilot[Any]) -> PhraseScreen:
    """Open the etude, look at its second note, and let nothing be planned any more."""
    await settle(pilot)
    await press(pilot, "enter", "right")
    screen = app.screen
    assert isinstance(screen, PhraseScreen)
    return screen


async def begin_look(
    app: CoachApp, pilot: Pilot[Any], planner: WaitingPlanner
) -> PhraseScreen:
    """Let a breath be changed, and hold the look that is taken at the new plan."""
    screen = await open_phrase(app, pilot)
    planner.looks.clear()
    planner.may_look.clear()
    await press_only(pilot, "b")
    await wait_for(pilot, lambda: len(planner.looks) == 1)
    return screen


async def press_only(pilot: Pilot[Any], *keys: str) -> None:
    """Press keys and wait for no plan."""
    for key in keys:
        await pilot.press(key)
    await pilot.pause()


async def test_a_key_shows_at_once_what_was_asked_for_and_its_plan_follows(
    app: CoachApp, studio: PaperStudio, planner: WaitingPlanner
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_phrase(app, pilot)
        before = screen.plan
        planner.may_plan.clear()
        await press_only(pilot, "b")
        assert "!V" in text_of(app, StaffPages)
        kept = studio.log.edits
        await wait_for(pilot, lambda: unbroken(4).title in kept)
        assert kept[unbroken(4).title].locks.must == {1}, "nothing is lost"
        await press_only(pilot, "right", "x", "right", "n", "right", "e", "plus")
        page = text_of(app, StaffPages)
        assert "×" in page
        assert "![" in page
        assert "♩ 104" in text_of(app, Heading)
        assert screen.plan is before
        planner.may_plan.set()
        await settle(pilot)
        assert screen.plan is not None
        assert screen.plan.bpm == 104
        assert 1 in [b.after_note for b in screen.plan.breaths.breaths]
        lies_there = studio.conductors[-1].plan_in_time.breaths.breaths
        told = screen.plan.breaths.breaths
        assert [replace(b, is_sure=True) for b in told] == [*lies_there]


FAILS_AFTER_S = 30.0
"""A test that fails is not to wait for ever."""


class WaitingLog(RunsInMemory):
    """A log on a disk that takes its time."""

    def __init__(self) -> None:
        super().__init__()
        self.may_write = Event()

    def save_edits(self, etude: EtudeKey, edits: Edits) -> None:
        self.may_write.wait(FAILS_AFTER_S)
        super().save_edits(etude, edits)


async def test_a_key_is_answered_before_the_disk_has_kept_it(
    planner: WaitingPlanner, clock: ManualClock
) -> None:
    studio, log = PaperStudio([unbroken(4)], clock, planner), WaitingLog()
    studio.runs = log
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_phrase(app, pilot)
        await press_only(pilot, "b")
        assert "!V" in text_of(app, StaffPages)
        assert log.edits == {}
        kept_at_end = screen.keeps_at_end
        log.may_write.set()
        await settle(pilot)
        assert log.edits[unbroken(4).title].locks.must == {1}
        assert (kept_at_end, screen.keeps_at_end) == (True, False), "leaving waits"


@pytest.mark.parametrize("keys", ["o", "escape", "ctrl+q"])
async def test_what_a_key_changed_is_kept_however_soon_its_screen_is_left(
    app: CoachApp, studio: PaperStudio, keys: str
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_phrase(app, pilot)
        screen.action_breathe()
        screen.workers.cancel_group(screen, "plan")
        await pilot.press(keys)
        await settle(pilot)
    assert studio.log.edits[unbroken(4).title].locks.must == {1}


async def test_a_breath_refused_and_a_position_chosen_are_drawn_before_the_plan(
    app: CoachApp, planner: WaitingPlanner
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "b")
        assert "’" in text_of(app, StaffPages)
        planner.may_plan.clear()
        await press_only(pilot, "x")
        assert "’" not in text_of(app, StaffPages)
        planner.may_plan.set()
        await press(pilot, "p")
        assert "!" in text_of(app, StaffPages)


async def test_a_wish_and_a_step_draw_no_line_that_stays_as_it_is(
    app: CoachApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plan may change all lines in view, a wish only the one that it stands in."""
    drawn: list[int] = []
    draw_line = StaffDrawing.draw_line

    def draw(self: StaffDrawing, sheet: Sheet, x: int, rows: Any, line: Any) -> None:
        drawn.append(line.bar)
        draw_line(self, sheet, x, rows, line)

    async with app.run_test(size=(80, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "enter")
        pages = app.screen.query_one(StaffPages)
        assert pages.lines_in_view > 1
        monkeypatch.setattr(StaffDrawing, "draw_line", draw)
        await press(pilot, "right")
        assert drawn == []
        before = pages.sheet
        pages.show_wishes(Edits(locks=Locks(must=frozenset({2}))))
        assert drawn == [pages._lines[0].bar]
        assert pages.sheet.change_since(before, 0) is not None
        pages.show_wishes(Edits())
        assert drawn == [pages._lines[0].bar] * 2
        assert [pages.sheet.text(y) for y in range(before.height)] == [
            before.text(y) for y in range(before.height)
        ]


async def test_keys_in_a_row_are_planned_once_and_looked_at_again_after_the_last(
    app: CoachApp, planner: WaitingPlanner, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(phrase_planning, "PAUSE_S", 3600.0)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_phrase(app, pilot)
        planner.plans.clear()
        planner.looks.clear()
        planner.may_plan.clear()
        await press_only(pilot, "b", "right", "b", "right", "b")
        planner.may_plan.set()
        await wait_for(pilot, lambda: not screen._is_planning)
        asked = {edits.locks.must for _, edits in planner.plans}
        assert frozenset({1, 2, 3}) in asked
        assert len(asked) <= 2, "what came while the first was made is planned once"
        monkeypatch.setattr(phrase_planning, "PAUSE_S", 0.0)
        assert not planner.looks
        await press(pilot, "right", "b")
        assert [plan.breaths.breaths[-1].after_note for plan in planner.looks] == [4]


async def test_a_key_ends_the_look_that_is_under_way(
    app: CoachApp, planner: WaitingPlanner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It would take half of the processor from the plan that the player waits for."""
    monkeypatch.setattr(phrase_planning, "PAUSE_S", 0.0)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin_look(app, pilot, planner)
        monkeypatch.setattr(phrase_planning, "PAUSE_S", 3600.0)
        await press_only(pilot, "right", "b")
        planner.may_look.set()
        await wait_for(pilot, lambda: len(planner.ended_by) == 1)
        assert planner.ended_by == ["ChangedMeanwhileError"]
        await wait_for(pilot, lambda: not screen._is_planning)
        assert screen.plan is not None
        assert screen.plan.edits.locks.must == {1, 2}


async def test_another_screen_ends_the_look_that_is_under_way(
    app: CoachApp, planner: WaitingPlanner, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(phrase_planning, "PAUSE_S", 0.0)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin_look(app, pilot, planner)
        await press_only(pilot, "question_mark")
        planner.may_look.set()
        await wait_for(pilot, lambda: len(planner.ended_by) == 1)
        await press(pilot, "escape")
        assert app.screen is screen
        assert len(planner.looks) > 1, "back here it is looked at after all"


async def test_what_cannot_be_planned_is_said_and_taken_back(
    app: CoachApp, studio: PaperStudio, planner: WaitingPlanner
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_phrase(app, pilot)
        before = screen.plan
        planner.refuses = True
        await press(pilot, "b")
        assert "No plan fits" in app.screen.query_one(Notice).words
        assert studio.conductors[-1].edits == Edits()
        assert studio.log.edits[unbroken(4).title] == Edits()
        assert screen.plan is before
        assert "!V" not in text_of(app, StaffPages)


async def test_who_rehearses_at_once_plays_what_was_asked_for(
    app: CoachApp, studio: PaperStudio, planner: WaitingPlanner
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        planner.may_plan.clear()
        await press_only(pilot, "b", "plus")
        planner.may_plan.set()
        await press(pilot, "enter")
        assert isinstance(app.screen, RunScreen)
        plan = studio.conductors[-1].plan
        assert 1 in [breath.after_note for breath in plan.breaths.breaths]


async def test_who_leaves_before_the_plan_keeps_the_change(
    app: CoachApp, studio: PaperStudio, planner: WaitingPlanner
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        planner.may_plan.clear()
        await press_only(pilot, "b", "escape")
        planner.may_plan.set()
        await settle(pilot)
        assert isinstance(app.screen, ShelfScreen)
        assert studio.log.edits[unbroken(4).title].locks.must == {1}
