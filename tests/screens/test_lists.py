"""Lists and keys under the mouse, more than the screen holds, and help by purpose."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any, cast

import pytest
from textual.events import MouseScrollDown
from textual.pilot import Pilot
from textual.widget import Widget

from coach.rehearsal.run.run import Run
from coach.screens.app import CoachApp
from coach.screens.choose_screen import ChooseScreen
from coach.screens.keys_screen import KeysScreen
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.set_up.cautions_screen import CautionsScreen
from coach.screens.set_up.player_screen import PlayerScreen
from coach.screens.shelf.import_screen import ImportScreen
from coach.screens.shelf.log_screen import LogScreen
from coach.screens.shelf.shelf_list import ShelfList
from coach.screens.shelf.shelf_needs import Etude
from coach.screens.shelf.shelf_order import CHOICES, ORDERS, arrange
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import NEVER_SEEN, PaperStudio, make_part
from tests.screens.playing import press, screen_of, settle, text_of

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)


async def click_on(pilot: Pilot[Any], kind: type[Widget] | str, words: str) -> None:
    """Click on words that a widget of the screen shows."""
    widget = cast(Any, pilot.app.screen.query_one(kind))
    rows = [widget.sheet.text(y) for y in range(widget.sheet.height)]
    y = next(k for k, row in enumerate(rows) if words in row)
    await pilot.click(kind, offset=(rows[y].index(words), y))
    await settle(pilot)


async def test_each_key_in_the_bottom_row_can_be_clicked(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await click_on(pilot, KeyBar, "log")
        assert isinstance(screen_of(app), LogScreen)
        await click_on(pilot, KeyBar, "? keys")
        assert isinstance(screen_of(app), KeysScreen)
        await click_on(pilot, KeyBar, "esc")
        await click_on(pilot, KeyBar, "back")
        await click_on(pilot, KeyBar, "open")
        assert isinstance(screen_of(app), PhraseScreen)


async def test_a_click_between_two_keys_does_nothing(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        bar = text_of(app, KeyBar)
        await pilot.click(KeyBar, offset=(bar.index("open") + len("open") + 1, 0))
        await settle(pilot)
        assert isinstance(screen_of(app), ShelfScreen)


async def test_the_wheel_moves_along_the_shelf(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        shelf = app.screen.query_one(ShelfList)
        await pilot._post_mouse_events([MouseScrollDown], ShelfList, (3, 1))
        await settle(pilot)
        assert shelf.sheet.text(2).startswith("▌")


async def test_a_click_chooses_an_answer(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "enter")
        assert isinstance(screen_of(app), ChooseScreen)
        await click_on(pilot, Words, "trumpet")
        assert isinstance(screen_of(app), PlayerScreen)
        setup = app.screen.query_one("#setup", Words)
        assert "trumpet" in setup.text


async def test_a_click_chooses_a_file_and_another_opens_it(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i")
        assert isinstance(screen_of(app), ImportScreen)
        await click_on(pilot, Words, "one.musicxml")
        assert studio.imported == []
        await click_on(pilot, Words, "one.musicxml")
    assert studio.imported == ["/music/one.musicxml"]


async def test_a_full_shelf_says_how_many_more_there_are(studio: PaperStudio) -> None:
    for k in range(30):
        studio.parts[f"Etude {k:02}"] = make_part(f"Etude {k:02}")
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert "22 more ↓" in text_of(app, ShelfList)
        await press(pilot, "end")
        shown = text_of(app, ShelfList)
        assert "more" not in shown
        assert "Etude 29" in shown


async def test_the_shelf_is_put_in_order_and_filtered(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        for order in ORDERS[1:]:
            await press(pilot, "o")
            assert order.says in text_of(app, Heading)
        await press(pilot, "o")
        assert "tenor trombone" in text_of(app, Heading)
        studio.log.runs.clear()
        await press(pilot, "f", "f")
        assert "never rehearsed" in text_of(app, Heading)
        assert "River" in text_of(app, ShelfList)


def etude(title: str, **facts: Any) -> Etude:
    """Give an etude of which little is known."""
    return replace(Etude(title, title, goal_bpm=100.0), **facts)


SHELF = (
    etude("A", last_run=NOON, best_clean_bpm=100.0, notes_per_s=2.0, is_shipped=True),
    etude("B", last_run=NOON - timedelta(days=9), notes_per_s=5.0),
    etude("C", best_clean_bpm=50.0, notes_per_s=3.0, is_shipped=True),
)


@pytest.mark.parametrize(
    ("order", "titles"), list(enumerate(["ABC", "CBA", "BCA", "ACB", "ACB", "BCA"]))
)
def test_each_order_answers_its_question(order: int, titles: str) -> None:
    shown = arrange(SHELF, ORDERS[order], CHOICES[0], "")
    assert "".join(e.title for e in shown) == titles


@pytest.mark.parametrize(("choice", "titles"), list(enumerate(["ABC", "B", "C", "BC"])))
def test_each_filter_shows_what_it_says(choice: int, titles: str) -> None:
    shown = arrange(SHELF, ORDERS[0], CHOICES[choice], "")
    assert "".join(e.title for e in shown) == titles


@pytest.mark.parametrize(
    ("query", "found"), [("fuge", 1), ("fugue 3", 1), ("music", 0), ("abc", 0)]
)
def test_an_etude_is_found_by_its_title_or_the_name_of_its_file(
    query: str, found: int
) -> None:
    shelf = [replace(etude("Kleine Fuge"), path="/music/fugue 3.abc")]
    assert len(arrange(shelf, ORDERS[0], CHOICES[0], query)) == found


@pytest.mark.parametrize("key", ["enter", "space"])
async def test_cautions_are_read_to_the_end_before_they_are_understood(
    app: CoachApp, studio: PaperStudio, key: str
) -> None:
    studio.memory = replace(NEVER_SEEN, is_set_up=True)
    async with app.run_test(size=(40, 8)) as pilot:
        await settle(pilot)
        assert isinstance(screen_of(app), CautionsScreen)
        seen = ""
        for _ in range(8):
            if not isinstance(screen_of(app), CautionsScreen):
                break
            assert not studio.memory.has_seen_cautions
            seen += text_of(app, Words)
            await press(pilot, key)
        assert isinstance(screen_of(app), ShelfScreen)
        assert studio.memory.has_seen_cautions
        assert "break for the ears" in " ".join(seen.split())


async def test_sources_of_cautions_are_folded_away(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "c")
        assert "a source" not in text_of(app, Words)
        await press(pilot, "s")
        assert "a source" in text_of(app, Words)
        await press(pilot, "s")
        assert "a source" not in text_of(app, Words)


async def test_help_tells_keys_by_what_they_are_for(app: CoachApp) -> None:
    async with app.run_test(size=(80, 110)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", "question_mark")
        told = text_of(app, Words)
        purposes = ("play", "breaths", "positions", "your changes", "on every screen")
        places = [told.index(f"\n  {purpose} ") for purpose in purposes]
        assert places == sorted(places)
        breaths = told[places[1] : places[2]]
        assert "Always breathe after" in breaths
        assert "Never breathe after" in breaths
        assert "position" not in breaths.replace("\n  positions", "")


async def test_a_mistaken_run_is_struck_out_and_counts_again(
    app: CoachApp, studio: PaperStudio
) -> None:
    when = datetime(2026, 3, 1, 17, 0, tzinfo=UTC)
    for bpm in (80.0, 120.0):
        title = "River at Low Water"
        run = Run(when, title, 1, 8, bpm, is_completed=True, is_clean=True)
        studio.log.begin(replace(run, is_whole=True))
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", "l")
        story = app.screen.query_one("#story", Words)
        assert "whole: clean at ♩ 120" in story.text
        await press(pilot, "x")
        assert "struck out" in app.screen.query_one("#runs", Words).text
        assert "whole: clean at ♩ 80" in story.text
        await press(pilot, "x")
        assert "whole: clean at ♩ 120" in story.text
        await click_on(pilot, "#runs", "♩ 80")
        await press(pilot, "x")
    assert [run.set_aside for run in studio.log.list_runs()] == ["struck-out", None]


@pytest.mark.parametrize("is_plain", [False, True])
async def test_signs_of_the_staff_are_explained_the_first_time_and_in_help(
    studio: PaperStudio, is_plain: bool
) -> None:
    studio.memory = replace(NEVER_SEEN, is_set_up=True, has_seen_cautions=True)
    app = CoachApp(studio, is_plain=is_plain)
    async with app.run_test(size=(80, 110)) as pilot:
        await settle(pilot)
        await press(pilot, "enter")
        assert "natural slur" in app.screen.query_one(Notice).words
        await press(pilot, "question_mark")
        told = text_of(app, Words)
        assert "Slide position, and an alternate" in told
        await press(pilot, "escape", "escape", "enter")
        assert app.screen.query_one(Notice).words == ""


async def test_what_is_to_be_known_of_the_files_is_read_to_the_end(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.files_say = "The run log /home/me/a/long/way/runs.sqlite3 was damaged. " * 3
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        told = text_of(app, Notice)
        assert " ".join(told.split()).count("was damaged.") == 3
        assert "tenor trombone" in text_of(app, Heading)
