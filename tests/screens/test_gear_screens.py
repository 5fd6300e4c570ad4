"""Calibrating from the gear screen: what is said before, meanwhile and after."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from queue import SimpleQueue
from threading import Event
from typing import Any

import pytest
from textual.pilot import Pilot

from coach.rehearsal.gear.gear import GearLost, LevelHeard
from coach.rehearsal.gear.gear_choice import TakeChoice
from coach.rehearsal.hearing.calibration import Calibration, RoundTrip
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.set_up.calibration_screen import CalibrateScreen
from coach.screens.set_up.gear_screen import GearScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from tests.jack_stand import PATIENCE_S
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, screen_of, settle, text_of, wait_for

MADE = Calibration(
    trip=RoundTrip(Seconds(0.0334), Seconds(0.00031), heard=15),
    played=16,
    whole=Seconds(0.12344),
    output="Laptop",
    microphone="Headset",
)


class Clicks:
    """Clicks that sound one by one, when the test says so."""

    def __init__(self) -> None:
        self.steps: SimpleQueue[float | Calibration] = SimpleQueue()
        self.taken = Event()

    def __iter__(self) -> Iterator[float | Calibration]:
        while True:
            step = self.steps.get(timeout=PATIENCE_S)
            yield step
            self.taken.set()

    async def play(self, pilot: Pilot[Any], step: float) -> None:
        """Let it come so far."""
        self.steps.put(step)
        while not self.taken.is_set():
            await pilot.pause()


def shown(app: CoachApp) -> str:
    return app.screen.query_one(Words).text


async def test_nothing_sounds_before_the_player_has_read_what_will(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g", "c")
        assert "Clicks will sound" in shown(app)
        assert "one cup to the microphone" in shown(app)
        studio.tell(LevelHeard(-20.0, is_overloaded=False))
        await settle(pilot)
        assert "-20 dB" in shown(app)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), GearScreen)
    assert not studio.gave_up


@pytest.mark.parametrize("is_plain", [False, True])
async def test_all_of_the_gear_can_be_read_in_a_low_terminal(
    studio: PaperStudio, is_plain: bool
) -> None:
    app = CoachApp(studio, is_plain=is_plain)
    missing = tuple(f"What is missing, part {k}." for k in range(20))
    studio.gear = replace(studio.gear, notices=missing)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g")
        seen = text_of(app, Words)
        assert "page down " in seen, "the key that reads on stands where words are cut"
        for _ in range(6):
            await press(pilot, "pagedown")
            studio.tell(LevelHeard(-20.0, is_overloaded=False))
            await settle(pilot)
            seen += text_of(app, Words)
        assert all(words in seen for words in missing)
        await press(pilot, "question_mark")
        assert "More of the words" in shown(app)


async def test_what_was_measured_is_told_with_its_spread(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.calibrates = (0.0, 0.5, MADE)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g", "c", "enter")
        assert "heard 123.4 ms after it is made" in shown(app)
        assert "15 of 16 clicks agree within 0.3 ms" in shown(app)
        assert "“Laptop” heard by “Headset”" in shown(app)


async def test_too_few_clicks_are_refused_in_a_sentence_and_may_be_tried_again(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.calibrates = (0.0, 1.0)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g", "c", "enter")
        assert "heard 3 of 16 clicks" in app.screen.query_one(Notice).words
        assert "Nothing is kept" in shown(app)
        studio.calibrates = (MADE,)
        await press(pilot, "enter")
        assert "123.4 ms" in shown(app)
        assert app.screen.query_one(Notice).words == ""


async def test_progress_is_shown_and_escape_ends_the_clicks(
    app: CoachApp, studio: PaperStudio
) -> None:
    clicks = Clicks()
    studio.calibrates = clicks
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g")
        await pilot.press("c", "enter", "enter")
        await clicks.play(pilot, 0.5)
        await pilot.pause()
        assert "listening" in shown(app)
        assert shown(app).count("█") == 12
        await pilot.press("escape")
        clicks.steps.put(0.75)
        await settle(pilot)
        assert isinstance(screen_of(app), GearScreen)
        await wait_for(pilot, lambda: studio.gave_up)


async def test_gear_that_goes_is_told_on_the_gear_screen(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g")
        studio.tell(GearLost("The click engine does not answer; it is started anew."))
        await settle(pilot)
        assert "does not answer" in app.screen.query_one(Notice).words
        assert not isinstance(screen_of(app), CalibrateScreen)


async def test_hearing_runs_is_switched_on_and_recordings_are_thrown_away(
    app: CoachApp, studio: PaperStudio
) -> None:
    kept = "2 takes, 6.1 MB, in /home/ann/takes"
    studio.gear = replace(studio.gear, takes=TakeChoice(False, False, kept))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g")
        assert "mic" not in text_of(app, Heading)
        studio.tell(LevelHeard(-20.0, is_overloaded=False))
        await settle(pilot)
        assert "● mic" in text_of(app, Heading), "as long as it is open here"
        assert "runs are heard" in shown(app)
        assert "none kept unless you say so" in shown(app)
        assert f"Recordings: {kept}." in shown(app)
        ways = next(row for row in shown(app).splitlines() if "runs are heard" in row)
        assert "choose" not in ways, "a switch is no list"
        await press(pilot, *("down",) * 4, "enter")
        assert "none" not in shown(app).split()
        await press(pilot, "down", "enter")
        assert studio.take_words == ["on"]
        await press(pilot, "down", "enter", "down", "down", "enter")
        assert studio.take_words == ["on", f"throw away {kept}"]
