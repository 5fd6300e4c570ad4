"""What to play today, on screen."""

from __future__ import annotations

from coach.screens.app import CoachApp
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.shelf.today_screen import TodayScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.text_lines import Words
from tests.screens.playing import press, screen_of, settle, text_of


async def test_the_shelf_leads_to_what_to_play_and_that_to_the_etude(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "t")
        screen = screen_of(app)
        assert isinstance(screen, TodayScreen)
        assert "20 minutes" in text_of(app, Heading)
        words = screen.query_one(Words).text
        assert "new, bars 1 to 8 at 72" in words
        assert "These bars are new: begin at 72." in words
        await press(pilot, "plus")
        assert "30 minutes" in text_of(app, Heading)
        assert "rest the lips" in screen.query_one(Words).text
        for _ in range(4):
            await press(pilot, "minus")
        assert "10 minutes" in text_of(app, Heading)
        await press(pilot, "down", "up", "enter")
        assert isinstance(screen_of(app), PhraseScreen)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)


async def test_a_rest_is_not_opened(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "t", "plus")
        screen = screen_of(app)
        assert isinstance(screen, TodayScreen)
        turns = screen._turns
        rest = next(k for k, turn in enumerate(turns) if turn.work is None)
        screen.action_move(rest - screen._chosen)
        await press(pilot, "enter")
        assert screen_of(app) is screen
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)
