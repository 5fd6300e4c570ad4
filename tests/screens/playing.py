"""Play on the screens as a player does, and read what they show."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any, cast

from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from coach.conductor import Conductor
from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.run.run_states import State
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.widgets.picture import Picture
from tests.screens.paper_studio import PaperStudio

LOOK_S = 0.02
LOOKS = 3000
"""A minute: far more than any screen takes."""


async def settle(pilot: Pilot[Any]) -> None:
    """Let everything that was begun come to its end, or be ended by what followed."""
    await pilot.pause()
    while running := [worker for worker in pilot.app.workers if not worker.is_finished]:
        for worker in running:
            with suppress(WorkerCancelled):
                await worker.wait()
    await pilot.pause()


async def wait_for(pilot: Pilot[Any], come: Callable[[], object]) -> None:
    """Let the app go on until something has come, however slow the machine is."""
    for _ in range(LOOKS):
        if come():
            return
        await pilot.pause(LOOK_S)
    raise AssertionError(f"it never came: {pilot.app.screen!r}")


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Press keys and let them take effect."""
    for key in keys:
        await pilot.press(key)
    await settle(pilot)


async def go_to_run(pilot: Pilot[Any]) -> None:
    """Go from the shelf to the run."""
    await settle(pilot)
    await press(pilot, "enter")
    await press(pilot, "enter")


async def play_until(
    pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock, time: float
) -> None:
    """Let the run go on until a run time."""
    now = studio.player.run_time()
    assert now is not None, "nothing plays"
    clock.wait_until(Seconds(clock.now() + time - now))
    screen = cast(Any, pilot.app.screen)
    screen.frame()
    await settle(pilot)


def text_of(app: CoachApp, kind: type[Picture], selector: str = "") -> str:
    """Give what a picture shows."""
    return text_in(app.screen.query_one(selector or kind.__name__, kind))


def text_in(picture: Picture) -> str:
    """Give the rows of a picture."""
    sheet = picture.sheet
    return "\n".join(sheet.text(y) for y in range(sheet.height))


def state_of(conductor: Conductor) -> State:
    """Ask for the state anew: the type checker takes it for unchanging."""
    return conductor.state


def run_time_of(studio: PaperStudio) -> float | None:
    """Ask for the run time anew."""
    return studio.player.run_time()


def screen_of(app: CoachApp) -> object:
    """Ask for the screen anew."""
    return app.screen
