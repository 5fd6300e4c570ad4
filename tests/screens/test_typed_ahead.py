"""What is typed or dropped faster than a line opens goes into that line."""

from __future__ import annotations

import pytest
from textual.events import Key, Paste
from textual.keys import _character_to_key

from coach.screens.app import CoachApp
from coach.screens.shelf.import_screen import ImportScreen
from coach.screens.widgets.ask_line import AskLine
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, screen_of, settle


def type_at_once(app: CoachApp, words: str) -> None:
    """Send keys as a terminal does that read all of them in one go."""
    names = {"\r": "enter", "\x1b": "escape"}
    for sign in words:
        app.post_message(Key(names.get(sign) or _character_to_key(sign), sign))


async def test_words_typed_at_once_are_looked_for(app: CoachApp) -> None:
    """On the shelf ``r`` would rename, ``d`` throw away, ``w`` write."""
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        type_at_once(app, "/rdw/id")
        await settle(pilot)
        (line,) = app.screen.query(AskLine)
        assert line.value == "rdw/id"


@pytest.mark.parametrize("typed", ["/music/one.musicxml", "//music/one.musicxml"])
async def test_a_path_typed_at_once_is_read(
    app: CoachApp, studio: PaperStudio, typed: str
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i")
        type_at_once(app, typed)
        await settle(pilot)
        (line,) = app.screen.query(AskLine)
        assert line.value == typed
        await press(pilot, "enter")
    assert studio.imported == ["/music/one.musicxml"]


async def test_a_line_is_taken_or_put_away_by_a_key_that_comes_before_it_opens(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i")
        type_at_once(app, "/music/no.musicxml\x1b")
        await settle(pilot)
        assert isinstance(screen_of(app), ImportScreen)
        assert not app.screen.query(AskLine)
        type_at_once(app, "/music/one.musicxml\r")
        await settle(pilot)
    assert studio.imported == ["/music/one.musicxml"]


@pytest.mark.parametrize(
    "dropped",
    [
        "/music/a b.abc",
        "'/music/a b.abc'",
        '"/music/a b.abc"',
        "/music/a\\ b.abc ",
        "file:///music/a%20b.abc\n",
    ],
)
@pytest.mark.parametrize("keys", [(), ("i",), ("i", "/")])
async def test_a_file_that_is_dropped_on_the_window_is_read(
    app: CoachApp, studio: PaperStudio, dropped: str, keys: tuple[str, ...]
) -> None:
    """As terminals write the name of a file that is dropped on them: bare, quoted
    for a shell, or as an address; common practice, no published source."""
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, *keys)
        app.post_message(Paste(dropped))
        await settle(pilot)
        assert isinstance(screen_of(app), ImportScreen)
        if studio.imported == []:
            await press(pilot, "enter")
    assert studio.imported == ["/music/a b.abc"]
