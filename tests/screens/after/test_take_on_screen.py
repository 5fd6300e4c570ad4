"""A run played back on the screen after it: the pointer goes along, marks are put."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot

from coach.rehearsal.click.clicks import lay_take
from coach.rehearsal.gear.gear import ManualClock, TakeKept, TakeSilent, TrackEnded
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.tempo import Seconds
from coach.screens.after.after_screen import AfterScreen
from coach.screens.after.pointed_run import PLAYING
from coach.screens.after.run_bars import RunBars
from coach.screens.app import CoachApp
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.widgets.notice import Notice
from tests.screens.after.test_heard_on_screen import play_and_be_heard
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import go_to_run, play_until, press, settle, text_of

ENDS = Seconds(16.0)


async def hear(
    pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock, beats: float
) -> None:
    """Let the recording go on for so many beats."""
    quarter = 60.0 / studio.conductors[0].plan.bpm
    clock.wait_until(Seconds(clock.now() + beats * quarter))
    assert isinstance(pilot.app.screen, AfterScreen)
    pilot.app.screen.frame()
    await settle(pilot)


def pointer(app: CoachApp) -> tuple[int, int]:
    """Give the cell that the strip points at."""
    strip = app.screen.query_one(StaffStrip)
    rows = [strip.sheet.text(y) for y in range(strip.sheet.height)]
    (found,) = (
        (row.index(app.signs.playhead), y)
        for y, row in enumerate(rows)
        if app.signs.playhead in row
    )
    return found


async def play(pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock) -> None:
    """Play a run, be heard, and listen to it from the second beat on."""
    await play_and_be_heard(pilot, studio, clock, rushed=())
    await press(pilot, "right", "p")
    ((_, since),) = studio.ear.played
    studio.player.play(lay_take(since, ENDS))


async def test_the_pointer_goes_along_from_where_it_stands_until_it_is_stopped(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await play(pilot, studio, clock)
        conductor = studio.conductors[0]
        ((run_id, since),) = studio.ear.played
        assert run_id == conductor.run_id
        assert conductor.plan.tempo_map.beats_at(since) == pytest.approx(1.0)
        assert text_of(app, Notice).strip() == PLAYING
        stood = pointer(app)
        await hear(pilot, studio, clock, 1.5)
        assert pointer(app) > stood
        assert "bar 1, beat 3" in text_of(app, RunBars)
        await press(pilot, "p")
        assert studio.ear.times_hushed == 1
        assert text_of(app, Notice).strip() == ""
        await press(pilot, "p")
        ((_, again),) = studio.ear.played[1:]
        assert conductor.plan.tempo_map.beats_at(again) == pytest.approx(2.0)
        await press(pilot, "right")
        assert studio.ear.times_hushed == 2, "who points elsewhere has heard enough"
        await press(pilot, "p", "escape")
        assert studio.ear.times_hushed == 3


async def test_a_mark_is_put_at_what_is_heard_before_the_player_reacted(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await play(pilot, studio, clock)
        await hear(pilot, studio, clock, 3.1)
        assert "bar 2, beat 1" in text_of(app, RunBars)
        await press(pilot, "m")
        conductor = studio.conductors[0]
        ((kind, bar, beat),) = [(m.kind, m.bar, m.beat) for m in conductor.marks]
        assert (kind, bar, beat) == (MarkKind.MISSED, 1, 4.0)
        assert conductor.is_take_playing


async def test_the_end_of_the_recording_leaves_the_pointer_where_it_was(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await play(pilot, studio, clock)
        await hear(pilot, studio, clock, 2.0)
        studio.player.stop()
        studio.tell(TrackEnded(ENDS, Seconds(0.0), sent=0))
        await settle(pilot)
        assert not studio.conductors[0].is_take_playing
        assert "bar 1, beat 4" in text_of(app, RunBars)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_recording_that_is_gone_says_so_and_one_is_thrown_away_by_a_key(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await play_and_be_heard(pilot, studio, clock, rushed=())
        await press(pilot, "K")
        assert studio.ear.thrown_away == [studio.conductors[0].run_id]
        studio.tell(TakeKept("The recording of this run is thrown away."))
        await settle(pilot)
        assert "thrown away" in text_of(app, Notice)
        await press(pilot, "p")
        studio.tell(TakeSilent("The recording of this run is gone."))
        await settle(pilot)
        assert "is gone" in text_of(app, Notice)
        assert not studio.conductors[0].is_take_playing


async def test_a_run_that_nobody_recorded_cannot_be_played(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 0.5)
        await play_until(pilot, studio, clock, 1000.0)
        await press(pilot, "p")
        assert "There is no recording of this run." in text_of(app, Notice)
        assert studio.ear.played == []
