"""Etudes of one's own are renamed, thrown away and put back on the shelf."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.screens.app import CoachApp
from coach.screens.shelf.shelf_list import ShelfList
from coach.screens.shelf.shelf_needs import Etude
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.notice import Notice
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, settle, text_of

FIRST = "River at Low Water"


async def test_an_etude_gets_another_name(app: CoachApp, studio: PaperStudio) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "r")
        assert app.screen.query_one(AskLine).value == FIRST
        assert "Another name for “River at Low Water”?" in text_of(app, Notice)
        await press(pilot, "ctrl+u", *"Low", "enter")
        assert studio.renamed == [(FIRST, "Low")]
        assert "It is now “Low”." in text_of(app, Notice)
        assert "Low" in text_of(app, ShelfList)
        assert FIRST not in text_of(app, ShelfList)


async def test_the_same_name_or_none_changes_nothing(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        for keys in (("enter",), ("ctrl+u", "enter"), ("escape",)):
            await press(pilot, "r")
            assert "Type it." in app.screen.query_one(Notice).words
            await press(pilot, *keys)
            assert app.screen.query_one(Notice).words == ""
        assert studio.renamed == []
        await press(pilot, "r", "ctrl+u", *"a/b", "enter")
        assert "cannot be the name of an etude" in text_of(app, Notice)


async def test_throwing_away_is_asked_about_and_can_be_undone(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "u")
        assert "Nothing was thrown away." in text_of(app, Notice)
        await press(pilot, "d", "enter")
        await press(pilot, "d", "escape")
        assert studio.thrown_away == {}
        await press(pilot, "delete", "down", "enter")
        assert list(studio.thrown_away) == [f"/thrown-away/{FIRST}"]
        assert f"u puts “{FIRST}” back" in text_of(app, Notice)
        assert FIRST not in text_of(app, ShelfList)
        studio.is_full = True
        await press(pilot, "u")
        assert "It cannot be put back" in text_of(app, Notice)
        studio.is_full = False
        await press(pilot, "u")
        assert FIRST in text_of(app, ShelfList)


async def test_a_disk_that_refuses_is_told(app: CoachApp, studio: PaperStudio) -> None:
    studio.is_full = True
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "d", "down", "enter")
        assert "It cannot be thrown away" in text_of(app, Notice)


async def test_what_came_with_the_coach_stays(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    shipped: list[Etude] = [replace(e, is_shipped=True) for e in studio.list_etudes()]
    monkeypatch.setattr(studio, "list_etudes", lambda: shipped)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        for key, done in (("r", "renamed"), ("d", "thrown away")):
            await press(pilot, key)
            assert f"Only an etude of your own can be {done}" in text_of(app, Notice)
