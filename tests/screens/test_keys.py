"""The tables of keys: no key stands for two things, and each does something."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import Any

import pytest

from coach.rehearsal.run.run_states import State
from coach.screens.app import CoachApp
from coach.screens.coach_screen import CoachScreen
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.run.run_screen import RunScreen
from coach.screens.set_up.cautions_screen import CautionsScreen
from coach.screens.set_up.first_start_screen import FirstStartScreen
from coach.screens.set_up.gear_screen import GearScreen
from coach.screens.set_up.player_screen import PlayerScreen
from coach.screens.shelf.import_screen import ImportScreen
from coach.screens.shelf.log_screen import LogScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, screen_of, settle, text_of
from tests.screens.test_needs import screens_of_the_coach

WHERE_ONE_TYPES = {"WriteScreen": {"ctrl+z"}}
"""Every text area takes back with it what was typed; the shell can wait."""


@pytest.mark.parametrize("screen", screens_of_the_coach(), ids=lambda s: s.__name__)
class TestKeysOfAScreen:
    def test_no_key_stands_for_two_things(self, screen: type[CoachScreen[Any]]) -> None:
        bound = defaultdict(list)
        for binding in (*screen.KEYS, *screen.HELP_KEYS):
            for key in binding.key.split(","):
                bound[key].append(binding.action)
        everywhere = {binding.key for binding in CoachApp.BINDINGS}  # type: ignore[union-attr]
        assert everywhere
        taken = {key: actions for key, actions in bound.items() if len(actions) > 1}
        assert taken == {}, f"a key of {screen.__name__} has two actions"
        assert (everywhere - WHERE_ONE_TYPES.get(screen.__name__, set())).isdisjoint(
            bound
        )

    def test_each_key_has_its_action_on_the_screen(
        self, screen: type[CoachScreen[Any]]
    ) -> None:
        actions = {
            binding.action.partition("(")[0]
            for binding in (*screen.KEYS, *screen.HELP_KEYS)
        }
        assert actions
        missing = [f"action_{a}" for a in actions if not hasattr(screen, f"action_{a}")]
        assert missing == [], f"{screen.__name__} lacks what its keys do"

    def test_space_does_the_next_thing(self, screen: type[CoachScreen[Any]]) -> None:
        keys = [key for binding in screen.KEYS for key in binding.key.split(",")]
        assert "space" in keys or screen.__name__ in WHERE_ONE_TYPES

    def test_it_says_what_it_is_for(self, screen: type[CoachScreen[Any]]) -> None:
        assert screen.ABOUT.endswith(".")


async def test_home_and_end_scroll_help_to_its_ends(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "question_mark", "end")
        words = app.screen.query_one(Words)
        assert "fg comes back" in text_of(app, Words)
        assert words.more_below == 0
        await press(pilot, "home")
        assert app.screen.query_one(Words).more_below > 0


async def test_space_alone_leads_from_the_shelf_into_a_run(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "space")
        assert isinstance(screen_of(app), PhraseScreen)
        assert "space rehearse" in text_of(app, KeyBar)
        await press(pilot, "space")
        assert isinstance(screen_of(app), RunScreen)
        await press(pilot, "space")
        assert studio.conductors[-1].state is State.COUNTING_IN


async def test_all_keys_of_one_thing_are_told_whole(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "l", "question_mark")
        assert "esc q l space Back to where you were" in text_of(app, Words)


@pytest.mark.parametrize(
    "make",
    [
        FirstStartScreen,
        CautionsScreen,
        PlayerScreen,
        GearScreen,
        ImportScreen,
        lambda: LogScreen(None),
        lambda: PhraseScreen("River at Low Water"),
    ],
)
async def test_keys_that_come_before_a_screen_stands_wait_for_it(
    app: CoachApp, make: Callable[[], CoachScreen[Any]]
) -> None:
    """On a busy machine a screen is asked for some time before it stands."""
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        for at_first in make().KEYS:
            screen = make()
            app.push_screen(screen)
            await app.run_action(at_first.action, screen)
            await settle(pilot)
            while app.screen_stack[1:]:
                app.pop_screen()
            await settle(pilot)


async def test_a_key_that_comes_before_a_screen_stands_does_what_it_does(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        screen = FirstStartScreen()
        app.push_screen(screen)
        await app.run_action("move(1)", screen)
        await settle(pilot)
        assert "question 2 of 3" in text_of(app, Heading)
