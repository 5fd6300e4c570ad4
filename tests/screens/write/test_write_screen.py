"""Typing an etude: saved at once, the staff drawn, the mistake marked."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from coach.errors import ScoreError
from coach.screens.app import CoachApp
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from coach.screens.write import write_screen
from coach.screens.write.help_page import HelpPage
from coach.screens.write.tune_text import TuneText
from coach.screens.write.typed_staff import TypedStaff
from coach.screens.write.write_needs import OwnText
from coach.screens.write.write_screen import WriteScreen, bar_at
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, screen_of, settle, text_of, wait_for


async def write(app: CoachApp, pilot: Pilot[None], notes: str) -> TuneText:
    """Begin an etude from the shelf and type notes."""
    await settle(pilot)
    await press(pilot, "w", *"low", "enter")
    await settle(pilot)
    screen = screen_of(app)
    assert isinstance(screen, WriteScreen)
    area = app.screen.query_one(TuneText)
    area.insert(notes)
    await pilot.pause()
    await wait_for(pilot, lambda: screen._rest is None)
    await settle(pilot)
    return area


async def test_what_is_typed_is_saved_and_drawn(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        area = await write(app, pilot, "B,,2D,2F,2B,2|C,8|]")
        assert "2 bars" in text_of(app, Heading)
        assert "B♭" in text_of(app, TypedStaff)
        assert studio.own["low"].text.endswith("|C,8|]")
        await press(pilot, "left", "escape")
        assert isinstance(screen_of(app), ShelfScreen)
        assert studio.typing_ended == 1, "what reads is let go"
        assert studio.own["low"].place == (8, area.document.lines[-1].index("]"))


async def test_the_first_mistake_is_told_marked_and_found(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        area = await write(app, pilot, "B,,4D#4|")
        told = app.screen.query_one(Notice).words
        assert told.startswith("Line 9, column 6 (bar 1): “D#”")
        assert "^D" in told
        spans = area.get_line(8).spans
        assert [(span.start, span.end) for span in spans[-2:]] == [(0, 8), (5, 6)]
        await press(pilot, "home", "f2")
        assert area.cursor_location == (8, 5)


async def test_a_tune_without_notes_is_no_mistake(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await write(app, pilot, "")
        assert "F1 tells how" in app.screen.query_one(Notice).words


async def test_what_was_typed_last_is_kept_however_the_screen_is_left(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fingers that never rest are not waited for by who closes the window."""
    monkeypatch.setattr(write_screen, "REST_S", 3600.0)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "w", *"low", "enter")
        await settle(pilot)
        screen = screen_of(app)
        assert isinstance(screen, WriteScreen)
        was_kept = not screen.keeps_at_end
        app.screen.query_one(TuneText).insert("B,,4")
        await pilot.pause()
        assert (was_kept, screen.keeps_at_end) == (True, True)
        await press(pilot, "ctrl+q")
    assert studio.own["low"].text.endswith("B,,4")


async def test_what_cannot_be_kept_on_the_way_out_is_told_after(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(write_screen, "REST_S", 3600.0)

    def fail(_: OwnText) -> None:
        raise ScoreError("The disk is full.")

    monkeypatch.setattr(studio, "save_own", fail)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "w", *"low", "enter")
        await settle(pilot)
        app.screen.query_one(TuneText).insert("B,,4")
        await pilot.pause()
        await press(pilot, "ctrl+q")
    with pytest.raises(ScoreError, match="disk is full"):
        app.raise_what_went_wrong()


async def test_undo_takes_back_and_redo_does_it_again(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        area = await write(app, pilot, "B,,4")
        await press(pilot, "ctrl+z")
        assert not area.text.endswith("B,,4")
        await press(pilot, "ctrl+y")
        assert area.text.endswith("B,,4")


async def test_what_cannot_be_saved_is_told_and_not_left(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        studio.is_full = True
        await write(app, pilot, "B,,4")
        await press(pilot, "escape")
        assert isinstance(screen_of(app), WriteScreen)
        assert "cannot be saved" in app.screen.query_one(Notice).words
        assert studio.typing_ended == 0


async def test_a_name_that_is_none_is_told(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "w", *"a/b", "enter")
        await settle(pilot)
        assert "cannot be the name" in app.screen.query_one(Notice).words
        await press(pilot, "x", "escape")
        assert isinstance(screen_of(app), ShelfScreen)


async def test_the_help_page_is_one_key_away(app: CoachApp) -> None:
    async with app.run_test(size=(80, 40)) as pilot:
        await write(app, pilot, "")
        await press(pilot, "f1")
        assert isinstance(screen_of(app), HelpPage)
        assert "!breath!" in text_of(app, Words)
        await press(pilot, "down", "escape")
        assert isinstance(screen_of(app), WriteScreen)


def test_the_bar_at_the_cursor_is_counted() -> None:
    tune = 'X:1\nK:C\nC8|"a|b"D8|[M:3/4]E6|\n% |||\nF6|]'
    assert [bar_at(tune, place) for place in ((0, 0), (2, 2), (2, 3), (4, 0))] == [
        0,
        0,
        1,
        3,
    ]
