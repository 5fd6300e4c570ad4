"""Every screen at every size, without colours, in letters and dashes; and pictures."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator, Callable
from datetime import UTC, datetime
from inspect import getsource
from typing import Any

import pytest
from textual.pilot import Pilot

from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.coach_screen import CoachScreen
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.run.air_gauge import AirGauge
from coach.screens.run.countdown import Countdown
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import NEVER_SEEN, NOBODY, PaperStudio
from tests.screens.playing import go_to_run, play_until, press, settle, text_in, text_of
from tests.screens.test_needs import screens_of_the_coach

SIZES = [(20, 8), (40, 15), (100, 30), (110, 34), (120, 40), (200, 60)]
"""Smaller than promised, the smallest, usual ones, where the layout changes, the
largest; 80 by 24 is toured without colours."""
ROOMY = 80
"""From so many columns on no word is too long for its place."""


def keys_that_lead_on(screen: type[CoachScreen[Any]], *known: str) -> tuple[str, ...]:
    """Give the keys of a screen that put another one up, after those known."""
    actions = {
        row.key.split(",")[0]: f"action_{row.action.partition('(')[0]}"
        for row in screen.KEYS
        if "enter" not in row.key.split(",")
    }
    leading = (
        key
        for key, action in actions.items()
        if "push_screen(" in getsource(getattr(screen, action))
    )
    return (*known, *(key for key in leading if key not in known))


FROM_THE_SHELF = keys_that_lead_on(
    ShelfScreen, "c", "p", "g", "i", "slash", "l", "t", "question_mark"
)
FROM_THE_PHRASE = keys_that_lead_on(PhraseScreen, "r", "l", "question_mark")
IN_THE_PHRASE = ("right", "b", "down", "x", "c", "c")
TOUR = [
    *(key for first in FROM_THE_SHELF for key in (first, "escape")),
    *("w", "a", "enter", "f1", "escape", "escape"),
    "enter",
    *IN_THE_PHRASE,
    *(key for first in FROM_THE_PHRASE for key in (first, "escape")),
    *("enter", "question_mark", "escape", "space"),
]
"""Keys that lead through every screen, to a run that plays."""
ELSEWHERE = {"AfterScreen", "CalibrateScreen", "ChooseScreen", "FirstStartScreen"}
"""Screens that come by themselves or with gear: another tour leads there."""

PROMISED = [(40, 15), (80, 24), (120, 40), (200, 60)]
BY_THEMSELVES = (
    ("FirstStartScreen", ()),
    ("FirstStartScreen", ("enter",)),
    ("FirstStartScreen", ("enter",)),
    ("ShelfScreen", ("enter",)),
    ("ChooseScreen", ("p", "enter")),
    ("CalibrateScreen", ("escape", "escape", "g", "c")),
    ("GearScreen", ("escape",)),
    ("PhraseScreen", ("escape", "enter")),
    ("RunScreen", ("enter",)),
)
"""Screens with the keys that lead from each to the next."""


def parts_of(words: str) -> list[str]:
    """Give what words may be divided into at the end of a row."""
    return words.replace("-", " ").split()


def cut_words(app: CoachApp) -> list[str]:
    """Give what stands in rows of words and keys and is no whole word of theirs."""
    signs = app.signs
    cut: list[str] = []
    for words in app.screen.query(Words):
        known = set(parts_of(f"{words.text} page down {words._reader} more"))
        shown = text_in(words).replace(signs.edge, " ")
        last = f"{words.more_below} more {signs.below}"
        cut += set(parts_of(shown.replace(last, ""))) - known
    for notice in app.screen.query(Notice):
        cut += set(parts_of(text_in(notice))) - set(parts_of(f"! {notice.words}"))
    for bar in app.screen.query(KeyBar):
        keys = {f"{key.key} {key.does}" for key in bar._keys}
        told = set(parts_of(f"{bar.words} …"))
        shown_keys = set(re.findall(r"\S+(?: \S+)*", text_in(bar)))
        cut += set(parts_of(text_in(bar))) - told if bar.words else shown_keys - keys
    return cut


async def tour(
    app: CoachApp, pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock
) -> None:
    """Visit every screen; each keeps its row of keys at the bottom edge."""
    await settle(pilot)
    unseen = {screen.__name__ for screen in screens_of_the_coach()} - ELSEWHERE
    for key in TOUR:
        await press(pilot, key)
        unseen.discard(type(app.screen).__name__)
        if app.size.width >= ROOMY:
            assert cut_words(app) == [], key
        bar = app.screen.query(KeyBar)
        assert bar, key
        assert bar.first().region.bottom == app.size.height, key
    assert not unseen, "no key of shelf or phrase leads there: put one into the tour"
    await play_until(pilot, studio, clock, 3.0)
    assert app.screen.query_one(AirGauge).region.bottom < app.size.height
    assert app.screen.query_one(Countdown).region.height > 0
    await press(pilot, "o", "escape", "escape", "escape", "escape")


@pytest.mark.parametrize("size", SIZES)
async def test_every_screen_fits_every_size(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await tour(app, pilot, studio, clock)


async def test_the_tour_without_colours(
    studio: PaperStudio, clock: ManualClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await tour(app, pilot, studio, clock)


async def test_the_tour_in_letters_and_dashes_sends_nothing_else(
    studio: PaperStudio, clock: ManualClock
) -> None:
    app = CoachApp(studio, is_plain=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        for key in TOUR:
            await press(pilot, key)
            for strip in app.screen._compositor.render_strips():
                assert strip.text.isascii(), (key, strip.text)
        await play_until(pilot, studio, clock, 3.0)
        assert "#" in text_of(app, AirGauge)


async def tour_by_themselves(
    app: CoachApp, pilot: Pilot[Any], studio: PaperStudio, clock: ManualClock
) -> AsyncIterator[str]:
    """Visit the screens that come by themselves, to the word after a run."""
    await settle(pilot)
    for name, keys in BY_THEMSELVES:
        await press(pilot, *keys)
        assert type(app.screen).__name__ == name
        yield name
    await press(pilot, "space")
    await play_until(pilot, studio, clock, 4.3)
    await press(pilot, "o")
    await play_until(pilot, studio, clock, 1000.0)
    assert type(app.screen).__name__ == "AfterScreen"
    yield "AfterScreen"


@pytest.mark.parametrize("size", PROMISED)
async def test_screens_that_come_by_themselves_fit_every_promised_size(
    studio: PaperStudio, clock: ManualClock, size: tuple[int, int]
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio)
    seen = set()
    async with app.run_test(size=size) as pilot:
        async for name in tour_by_themselves(app, pilot, studio, clock):
            seen.add(name)
            assert size[0] < ROOMY or cut_words(app) == [], name
            bar = app.screen.query_one(KeyBar)
            assert bar.region.bottom == app.size.height, name
            for picture in app.screen.query(Picture):
                shown = picture.region
                assert shown.right <= size[0], (name, picture)
                assert shown.bottom <= size[1], (name, picture)
        words = text_of(app, Words)
        assert "not clean yet" in words
        assert "next: bars" in words or "more ↓" in words, "advice, or that it is below"
    assert seen >= ELSEWHERE


async def test_screens_that_come_by_themselves_are_ascii_in_letters_and_dashes(
    studio: PaperStudio, clock: ManualClock
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio, is_plain=True)
    async with app.run_test(size=(80, 24)) as pilot:
        async for name in tour_by_themselves(app, pilot, studio, clock):
            for strip in app.screen._compositor.render_strips():
                assert strip.text.isascii(), (name, strip.text)


Compare = Callable[..., bool]


def keep_runs(studio: PaperStudio, part: Part) -> None:
    """Put a few runs into the log."""
    for day in range(1, 8):
        marks = (
            Mark(MarkKind.RAN_OUT, 3, 1.0, Seconds(5.0)),
            Mark(MarkKind.RUSHED, 6, 2.0, Seconds(13.0)),
        )
        studio.log.begin(
            Run(
                datetime(2026, 3, day, 17, 0, tzinfo=UTC),
                part.title,
                1,
                8,
                60.0 + 4 * day,
                is_completed=True,
                is_clean=day % 2 == 0,
                marks=marks if day % 2 else (),
                is_whole=True,
            )
        )


def test_picture_of_the_shelf(snap_compare: Compare, app: CoachApp) -> None:
    assert snap_compare(app, terminal_size=(80, 24), run_before=settle)


def test_picture_of_the_phrase(snap_compare: Compare, app: CoachApp) -> None:
    async def prepare(pilot: Pilot[Any]) -> None:
        await settle(pilot)
        await press(pilot, "enter", "down", *["right"] * 11)

    assert snap_compare(app, terminal_size=(80, 24), run_before=prepare)


@pytest.mark.parametrize("size", [(40, 15), (80, 24), (120, 40)])
def test_picture_of_a_run_before_a_top_off(
    snap_compare: Compare,
    app: CoachApp,
    studio: PaperStudio,
    clock: ManualClock,
    size: tuple[int, int],
) -> None:
    async def prepare(pilot: Pilot[Any]) -> None:
        await go_to_run(pilot)
        await press(pilot, "space")
        breath = studio.conductors[0].plan.breaths.breaths[0]
        await play_until(pilot, studio, clock, breath.start - 1.0)

    assert snap_compare(app, terminal_size=size, run_before=prepare)


def test_picture_of_after_the_run(
    snap_compare: Compare, app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async def prepare(pilot: Pilot[Any]) -> None:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 4.3)
        await press(pilot, "o")
        await play_until(pilot, studio, clock, 1000.0)

    assert snap_compare(app, terminal_size=(80, 24), run_before=prepare)


@pytest.mark.parametrize("is_plain", [False, True])
def test_picture_of_a_clean_run_before_a_word(
    snap_compare: Compare, studio: PaperStudio, clock: ManualClock, *, is_plain: bool
) -> None:
    async def prepare(pilot: Pilot[Any]) -> None:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 4.3)
        await play_until(pilot, studio, clock, 1000.0)

    app = CoachApp(studio, is_plain=is_plain)
    assert snap_compare(app, terminal_size=(80, 24), run_before=prepare)


@pytest.mark.parametrize("size", [(40, 15), (80, 24), (120, 40)])
def test_picture_of_today(
    snap_compare: Compare, app: CoachApp, size: tuple[int, int]
) -> None:
    async def prepare(pilot: Pilot[Any]) -> None:
        await settle(pilot)
        await press(pilot, "t")

    assert snap_compare(app, terminal_size=size, run_before=prepare)


def test_picture_of_the_log(
    snap_compare: Compare, app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    async def prepare(pilot: Pilot[Any]) -> None:
        keep_runs(studio, part)
        await settle(pilot)
        await press(pilot, "enter", "l")

    assert snap_compare(app, terminal_size=(120, 40), run_before=prepare)
