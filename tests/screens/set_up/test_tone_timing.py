"""One long tone, timed on the screens that ask for it."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot

from coach.rehearsal.gear.gear import ManualClock
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.set_up.player_screen import PlayerScreen
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import NEVER_SEEN, NOBODY, PaperStudio
from tests.screens.playing import press, screen_of, settle


async def hold(pilot: Pilot[Any], clock: ManualClock, seconds: float) -> None:
    """Hold a tone, with space as it starts and as it ends."""
    await press(pilot, "space")
    clock.wait_until(Seconds(clock.now() + seconds))
    await press(pilot, "space")


def lines(app: CoachApp) -> str:
    return app.screen.query_one("#setup", Words).text


async def test_a_tone_too_short_is_refused_on_the_first_start_and_nothing_is_lost(
    studio: PaperStudio, clock: ManualClock
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", *"4.8", "enter")
        await hold(pilot, clock, 2.9)
        assert "2.9 s is no long tone" in app.screen.query_one(Notice).words
        assert "long tone open" in lines(app)
        await hold(pilot, clock, 12.0)
        assert "long tone 12 seconds" in lines(app)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)
    assert (studio.facts.capacity_l, studio.facts.long_tone_s) == (4.8, 12.0)


async def test_a_tone_that_was_no_full_breath_is_timed_again_by_one_key(
    studio: PaperStudio, clock: ManualClock
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", *"4.8", "enter")
        await hold(pilot, clock, 5.6)
        assert "a times it again" in app.screen.query_one("#what", Words).text
        await press(pilot, "a")
        clock.wait_until(Seconds(clock.now() + 14.0))
        await press(pilot, "space")
        assert "long tone 14 seconds" in lines(app)
        await press(pilot, "space")
        assert isinstance(screen_of(app), ShelfScreen)
    assert studio.facts.long_tone_s == 14.0


@pytest.fixture
async def player(app: CoachApp) -> Any:
    """Open the player's screen."""
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p")
        assert isinstance(screen_of(app), PlayerScreen)
        yield pilot


async def test_what_cannot_be_kept_never_stands_in_the_list(
    app: CoachApp, player: Pilot[Any], clock: ManualClock, studio: PaperStudio
) -> None:
    before = studio.facts
    await hold(player, clock, 2.6)
    assert "2.6 s is no long tone" in app.screen.query_one(Notice).words
    assert "2.6 seconds" not in lines(app)
    await press(player, "escape")
    assert isinstance(screen_of(app), ShelfScreen), "nothing keeps the player there"
    assert studio.facts == before


async def test_while_a_tone_is_timed_the_line_stays_and_leaving_ends_it(
    app: CoachApp, player: Pilot[Any], clock: ManualClock, studio: PaperStudio
) -> None:
    await press(player, "space", "down", "down")
    clock.wait_until(Seconds(clock.now() + 9.0))
    assert "playing" in app.screen.query_one(Notice).words
    await press(player, "enter")
    assert "long tone 9 seconds" in lines(app)
    await press(player, "space", "x")
    assert app.screen.query_one(Notice).words == ""
    assert "long tone open" in lines(app)
    await press(player, "space", "escape")
    assert isinstance(screen_of(app), ShelfScreen)
    assert studio.facts.long_tone_s == 0.0


async def test_a_tone_that_is_known_is_typed_on_the_first_start(
    studio: PaperStudio,
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", "enter", *"16,5")
        await press(pilot, "enter")
        assert "long tone 16.5 seconds" in lines(app)
        await press(pilot, *"2", "enter")
        assert "2 s is no long tone" in app.screen.query_one("#what", Words).text
        assert "long tone 16.5 seconds" in lines(app)
        await press(pilot, "backspace", *"1x", "enter")
        assert "“1x” is no number" in app.screen.query_one("#what", Words).text
        await press(pilot, "escape", "enter")
        assert isinstance(screen_of(app), ShelfScreen)
    assert studio.facts.long_tone_s == 16.5


async def test_a_tone_that_is_known_is_typed_on_its_line(
    app: CoachApp, player: Pilot[Any], studio: PaperStudio
) -> None:
    await press(player, "7")
    assert not app.screen.query("AskLine"), "the instrument is no number"
    await press(player, "up", *"14", "enter")
    assert "long tone 14 seconds" in lines(app)
    await press(player, "escape")
    assert studio.facts.long_tone_s == 14.0
