"""The app as a whole: what it loads at the start, and how it ends."""

from __future__ import annotations

import gc
import os
import signal
import subprocess
import sys
from typing import Any

import pytest
from textual._styles_cache import StylesCache
from textual.pilot import Pilot

from coach.errors import RunLogError
from coach.rehearsal.gear.gear import ManualClock, SoundHeard
from coach.rehearsal.run.run import RunEnd
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.leaving import leaving_app
from coach.screens.leaving.quick_leaving import QuickLeaving
from coach.screens.messages import FactCame
from tests.screens.paper_studio import PaperStudio, RunsInMemory
from tests.screens.playing import go_to_run, play_until, press, settle

HEAVY = {
    "numpy",
    "mido",
    "rtmidi",
    "music21",
    "sounddevice",
    "sqlite3",
    "coach.conductor",
    "coach.planning.plan",
    "coach.score.phrase",
}


def test_the_first_picture_loads_nothing_heavy() -> None:
    """Planning, sound, the log and the page are loaded once the shelf stands."""
    code = (
        "import sys, coach.cli, coach.screens.app, coach.screens.shelf.shelf_screen;"
        "import coach.commands.screens_command, coach.wiring.studio.real_studio;"
        "print(' '.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert not HEAVY & set(done.stdout.split())


def test_a_fault_ends_the_app_without_a_traceback_and_is_raised_after(
    app: CoachApp, capsys: pytest.CaptureFixture[str]
) -> None:
    async def break_it(pilot: Pilot[Any]) -> None:
        def fail() -> None:
            raise ZeroDivisionError("no music left")

        pilot.app.call_later(fail)
        await pilot.pause(0.2)

    app.run(headless=True, auto_pilot=break_it)
    assert "Traceback" not in capsys.readouterr().err
    assert app.return_code == 1
    with pytest.raises(ZeroDivisionError, match="no music left"):
        app.raise_what_went_wrong()


def test_an_app_that_ends_well_raises_nothing(app: CoachApp) -> None:
    async def leave(pilot: Pilot[Any]) -> None:
        await pilot.press("q")

    app.run(headless=True, auto_pilot=leave)
    app.raise_what_went_wrong()
    assert app.return_code == 0


class FullDisk(RunsInMemory):
    """A log that cannot keep how a run came to its end."""

    def end(self, run_id: int, how: RunEnd) -> None:
        del how
        raise RunLogError(f"Run {run_id} cannot be kept: the disk is full.")


async def test_a_run_that_cannot_be_kept_on_the_way_out_is_told_after(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    studio.runs = FullDisk()
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        await press(pilot, "ctrl+q")
    with pytest.raises(RunLogError, match="disk is full"):
        app.raise_what_went_wrong()


async def test_a_fact_that_comes_when_the_screens_have_gone_is_passed_over(
    app: CoachApp,
) -> None:
    """The microphone goes on for a moment after the last screen."""
    async with app.run_test() as pilot:
        await pilot.pause()
    assert not app.screen_stack
    app.on_fact_came(FactCame(SoundHeard(Seconds(0.0), 48_000.0, b"")))


async def test_screens_that_keep_something_at_their_end_are_not_left_from_outside(
    app: CoachApp,
    studio: PaperStudio,
    clock: ManualClock,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """They are busy as the key to quit is heard, and come to it later."""
    given_back, left = [], []
    monkeypatch.setattr(leaving_app, "BUSY_S", 0.0)
    monkeypatch.setattr(studio, "leave_now", lambda _code: left.append(app.screen))

    def give_back() -> None:
        given_back.append(app.screen)

    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        app.leave_if_busy(give_back)
        assert given_back == left == [app.screen], "no run was begun"
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 3.0)
        app.leave_if_busy(give_back)
        assert len(left) == 1, "the run has an end to be kept"
        await press(pilot, "ctrl+q")
        app.leave_if_busy(give_back)
        assert len(left) == 1, "it is being left"


async def test_leaving_waits_for_no_reader_of_keys_and_going_away_for_a_while_does(
    app: CoachApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While another program has the terminal, its keys are its own."""
    monkeypatch.setattr(signal, "signal", lambda *_: None)
    assert app.get_driver_class() is QuickLeaving
    waited_for = []

    class Reader:
        def join(self) -> None:
            waited_for.append(self)

    driver = QuickLeaving(app, mouse=False)
    monkeypatch.setattr(driver, "write", lambda _: None)
    monkeypatch.setattr(driver, "flush", lambda: None)
    reader = Reader()
    monkeypatch.setattr(driver, "_key_thread", reader)
    driver.suspend_application_mode()
    assert waited_for == [reader]
    assert not driver.exit_event.is_set(), "it may be started again"
    driver.stop_application_mode()
    driver.stop_application_mode()
    assert waited_for == [reader]
    assert driver.exit_event.is_set(), "the reader must end: Python waits for it"


def pictures() -> int:
    """Count the pictures that are kept of widgets, those that are gone too."""
    gc.collect()
    return sum(isinstance(one, StylesCache) for one in gc.get_objects())


async def test_nothing_is_kept_of_screens_that_are_gone(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "question_mark", "escape")
        before = pictures()
        for _ in range(5):
            await press(pilot, "question_mark", "escape")
        assert pictures() == before
