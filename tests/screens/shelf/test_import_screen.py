"""Putting a score on the shelf where another has the same runs already."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.errors import ScoreError
from coach.screens.app import CoachApp
from coach.screens.choose_screen import ChooseScreen
from coach.screens.shelf.import_screen import ImportScreen
from coach.screens.shelf.shelf_needs import Twin
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, screen_of, settle, text_of

ONE = "/music/one.musicxml"


@pytest.fixture
def own(studio: PaperStudio) -> Twin:
    """An etude of the player's that the file has the music of."""
    twin = Twin("River at Low Water", "river.abc", 12, True, "River at Low Water (2)")
    studio.twins[ONE] = twin
    return twin


async def test_a_twin_is_asked_about_before_anything_is_put_on_the_shelf(
    app: CoachApp, studio: PaperStudio, own: Twin
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "down", "enter")
        assert isinstance(screen_of(app), ChooseScreen)
        assert "on the shelf already, with 12 runs" in text_of(app, Heading)
        answers = app.screen.query_one(Words).text
        assert "keep both apart: this one as “River at Low Water (2)”" in answers
        assert "replace “River at Low Water”: 12 runs and your changes stay" in answers
        assert studio.imported == []
        await press(pilot, "enter")
        assert isinstance(screen_of(app), ImportScreen)
        assert own.other_title in text_of(app, Heading)
        assert (studio.imported, studio.replaced) == ([ONE], [""])


async def test_a_twin_of_ones_own_is_replaced_if_wanted(
    app: CoachApp, studio: PaperStudio, own: Twin
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "down", "enter", "down", "enter")
        assert studio.replaced == [own.path]


async def test_one_that_has_only_the_title_is_not_promised_the_runs(
    app: CoachApp, studio: PaperStudio, own: Twin
) -> None:
    studio.twins[ONE] = replace(own, shares_runs=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "down", "enter")
        answers = app.screen.query_one(Words).text
        assert "replace “River at Low Water”: its bars are others" in answers
        assert "stay" not in answers


@pytest.mark.parametrize("keys", [("escape",), ("up", "enter")])
async def test_nothing_is_put_on_the_shelf_if_not_wanted(
    app: CoachApp, studio: PaperStudio, own: Twin, keys: tuple[str, ...]
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "down", "enter", *keys)
        assert own.path
        assert studio.imported == []
        assert "Nothing was put" in app.screen.query_one(Notice).words
        await press(pilot, "enter")
        assert isinstance(screen_of(app), ChooseScreen), "it may be tried again"


async def test_a_twin_that_came_with_the_coach_is_not_offered_to_go(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.twins[ONE] = Twin("Tide", "tide.musicxml", 0, False, "Tide (2)")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "down", "enter")
        assert "replace" not in app.screen.query_one(Words).text
        await press(pilot, "down", "enter")
        assert studio.imported == []


@pytest.mark.parametrize(
    ("typed", "path"),
    [
        ("music/a.mid", "/music/a.mid"),
        ("/music/a.mid", "/music/a.mid"),
        ("~/a.mid", "~/a.mid"),
        ("C:\\a.mid", "C:\\a.mid"),
    ],
)
async def test_a_typed_path_begins_with_the_key_that_asks_for_it(
    app: CoachApp, studio: PaperStudio, typed: str, path: str
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "slash")
        ask = app.screen.query_one(AskLine)
        assert ask.value == "/"
        for sign in typed:
            await pilot.press({"/": "slash", "~": "tilde"}.get(sign, sign))
        await press(pilot, "enter")
        assert studio.imported == [path]
        assert not app.screen.query(AskLine)


async def test_a_path_that_leads_nowhere_stays_to_be_mended(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "slash", *"b.pdf", "enter")
        assert app.screen.query_one(AskLine).value == "/b.pdf"
        await press(pilot, *["backspace"] * 3)
        assert "is no score" in app.screen.query_one(Notice).words, "while it is mended"
        await press(pilot, *"mid", "enter")
        assert studio.imported == ["/b.mid"]


@pytest.mark.parametrize("slash", ["", "/"])
async def test_a_folder_that_is_typed_is_opened(app: CoachApp, slash: str) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "slash", *"music", "slash", *"duets")
        await press(pilot, *(["slash"] if slash else []), "enter")
        assert "/music/duets" in text_of(app, Heading)
        assert not app.screen.query(AskLine)
        assert app.screen.query_one(Notice).words == ""
        await press(pilot, "down", "enter")
        assert "Imported" in text_of(app, Heading)


async def test_what_is_neither_a_score_nor_a_folder_is_told_as_no_score(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    def find_twin(path: str) -> None:
        raise ScoreError(f"{path} is gone.", "Check the name.")

    monkeypatch.setattr(studio, "find_twin", find_twin)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "slash", *"gone.abc", "enter")
        assert app.screen.query_one(Notice).words.startswith("/gone.abc is gone.")
        assert app.screen.query_one(AskLine).value == "/gone.abc"


async def test_the_bottom_row_names_the_keys_of_what_is_shown(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i")
        assert "folder above" in text_of(app, KeyBar)
        await press(pilot, "slash")
        assert "enter take it" in text_of(app, KeyBar)
        assert "folder above" not in text_of(app, KeyBar)
        await press(pilot, "escape")
        assert "folder above" in text_of(app, KeyBar)
        await press(pilot, "down", "enter")
        assert studio.imported == [ONE]
        assert "enter to the shelf" in text_of(app, KeyBar)
        assert "folder above" not in text_of(app, KeyBar)
        await press(pilot, "question_mark")
        assert "folder above" not in app.screen.query_one(Words).text


async def test_the_very_same_file_again_was_on_the_shelf_already(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "down", "enter")
        assert "It is on the shelf." in app.screen.query_one(Notice).words
        await press(pilot, "enter", "i", "down", "enter")
        assert "It was on the shelf already." in app.screen.query_one(Notice).words
