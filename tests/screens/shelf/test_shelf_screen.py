"""The shelf: what is on it, and finding one's way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from threading import Event

import pytest

from coach.errors import CoachError
from coach.planning.player_facts import PlayerFacts
from coach.rehearsal.gear.gear import ManualClock
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.remembered import ScreenFacts
from coach.screens.run.run_screen import RunScreen
from coach.screens.set_up.cautions_screen import CautionsScreen
from coach.screens.set_up.first_start_screen import FirstStartScreen
from coach.screens.set_up.gear_screen import GearScreen
from coach.screens.set_up.player_screen import PlayerScreen
from coach.screens.shelf import shelf_view
from coach.screens.shelf.import_screen import ImportScreen
from coach.screens.shelf.log_screen import LogScreen
from coach.screens.shelf.opening import Opening
from coach.screens.shelf.shelf_list import ShelfList, etude_facts
from coach.screens.shelf.shelf_needs import Etude
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.signs import FULL
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import NEVER_SEEN, NOBODY, PaperStudio, make_part
from tests.screens.playing import press, screen_of, settle, text_of, wait_for

FULL_DISK = CoachError("The settings cannot be written.", "Make room on the disk.")


async def test_the_shelf_tells_of_each_etude_what_a_player_asks(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        shown = text_of(app, ShelfList)
        for fact in ("River at Low Water", "B flat major", "4/4", "8 bars", "♩ 96"):
            assert fact in shown
        assert "B♭2 to F4" in shown
        assert "your own · not rehearsed yet" in shown


async def test_search_finds_an_etude_by_a_part_of_its_title(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "slash", *"stairs")
        shown = text_of(app, ShelfList)
        assert "Slow Stairs" in shown
        assert "River" not in shown
        await press(pilot, "enter")
        assert isinstance(screen_of(app), PhraseScreen)


async def test_escape_ends_a_search_and_shows_all_again(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "slash", *"zzz")
        nothing = "nothing by the name “zzz”: escape shows all"
        assert nothing in text_of(app, ShelfList)
        await press(pilot, "escape")
        assert "River" in text_of(app, ShelfList)
        await press(pilot, "slash", *"zzz", "enter")
        assert nothing in text_of(app, ShelfList)
        await press(pilot, "escape")
        assert "River" in text_of(app, ShelfList)


async def test_where_nothing_is_found_keys_for_an_etude_say_so(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "slash", *"zzz", "enter")
        for key in ("down", "space", "r", "d"):
            await press(pilot, "g", "escape")
            assert not app.screen.query_one(Notice).words
            await press(pilot, key)
            told = "Nothing by the name “zzz”: escape shows all."
            assert app.screen.query_one(Notice).words == told


async def test_escape_ends_a_filter_and_keeps_what_is_chosen(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "down", "f", "escape")
        assert "2 etudes" in text_of(app, Heading)
        await press(pilot, "f", "f", "escape", "enter")
        assert isinstance(screen_of(app), PhraseScreen)


async def test_enter_while_nothing_is_read_yet_opens_the_first_that_is(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_read, lists = Event(), studio.list_etudes

    def list_slowly() -> Sequence[Etude]:
        may_read.wait()
        return lists()

    monkeypatch.setattr(studio, "list_etudes", list_slowly)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: "reading" in text_of(app, ShelfList))
        await pilot.press("enter")
        await pilot.pause()
        may_read.set()
        await settle(pilot)
        assert isinstance(screen_of(app), PhraseScreen)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen), "it is opened once"


@pytest.mark.parametrize(
    ("key", "kind"),
    [
        ("i", ImportScreen),
        ("l", LogScreen),
        ("p", PlayerScreen),
        ("g", GearScreen),
        ("c", CautionsScreen),
    ],
)
async def test_everything_is_one_key_from_the_shelf_and_escape_comes_back(
    app: CoachApp, key: str, kind: type
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, key)
        assert isinstance(screen_of(app), kind)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)


async def test_a_new_player_hears_the_first_click_after_fifteen_keys_at_most(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    answers = ("enter", *"172", "space", *"30", "space", "f", "enter", "enter")
    keys = (*answers, "enter", "enter", "space")
    assert len(keys) <= 15
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert isinstance(screen_of(app), FirstStartScreen)
        await press(pilot, *answers)
        assert isinstance(screen_of(app), ShelfScreen)
        await press(pilot, *keys[len(answers) :])
        assert studio.player.run_time() is not None, "the click runs"
    assert studio.memory == replace(
        NEVER_SEEN, is_set_up=True, has_seen_cautions=True, has_seen_legend=True
    )
    assert studio.facts == replace(NOBODY, height_cm=172.0, age=30.0, sex="female")


async def test_what_a_new_player_has_told_is_called_open_no_more(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY

    def asked() -> str:
        return app.screen.query_one("#what", Words).text

    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter")
        assert "leaves it open" in asked()
        await press(pilot, *"172", "space", *"30", "space", "f", "enter")
        assert "leaves it open" in asked()
        await press(pilot, "2", "2", "enter")
        assert "leaves it open" not in asked()
        await press(pilot, "up")
        assert "Enter alone keeps them" in asked()
        await press(pilot, "enter", "space")
        assert isinstance(screen_of(app), ShelfScreen)
    assert (studio.facts.height_cm, studio.facts.long_tone_s) == (172.0, 22.0)


@pytest.mark.parametrize(
    "memory", [NEVER_SEEN, replace(NEVER_SEEN, is_set_up=True)], ids=["new", "cautions"]
)
async def test_nobody_is_held_up_before_the_shelf_by_a_disk_that_is_full(
    app: CoachApp,
    studio: PaperStudio,
    monkeypatch: pytest.MonkeyPatch,
    memory: ScreenFacts,
) -> None:
    """It is told once, and the next time the screen goes; it does not come again."""
    studio.memory, studio.facts = memory, NOBODY

    def save_memory(facts: ScreenFacts) -> None:
        studio.memory = facts  # for now, as the real studio has it
        raise FULL_DISK

    def save_player(_: PlayerFacts) -> None:
        raise FULL_DISK

    monkeypatch.setattr(studio, "save_memory", save_memory)
    monkeypatch.setattr(studio, "save_player", save_player)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), FirstStartScreen | CautionsScreen)
        told = app.screen.query_one(Notice).words
        assert "cannot be written" in told
        assert "once more" in told
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)
        await press(pilot, "p", "right", "escape")
        assert isinstance(screen_of(app), PlayerScreen), "an answer may be lost"
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)


async def test_a_new_player_may_leave_everything_open(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert "Dizzy? Stop." in app.screen.query_one("#what", Words).text
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)
    assert studio.facts == NOBODY
    assert studio.memory.is_set_up


async def test_what_a_new_player_mistypes_stays_to_be_mended(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "right", "enter", *"4x8", "enter")
        assert app.screen.query_one(AskLine).value == "4x8"
        assert "litres" in app.screen.query_one("#what", Words).text.splitlines()[0]
        await press(pilot, "backspace", "backspace", "enter")
        assert not app.screen.query(AskLine)
        await press(pilot, "space", "up", "space")
        assert "0.1 s is no long tone" in app.screen.query_one(Notice).words
        await press(pilot, "escape")
    assert studio.facts == replace(NOBODY, instrument="trumpet", capacity_l=4.0)


async def test_a_file_named_on_the_command_line_is_ready_to_play(
    studio: PaperStudio,
) -> None:
    app = CoachApp(studio, open_path="River at Low Water")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await settle(pilot)
        assert isinstance(screen_of(app), RunScreen)
        await press(pilot, "space")
        assert studio.player.run_time() is not None, "one key to the first click"


@pytest.mark.parametrize("memory", [NEVER_SEEN, replace(NEVER_SEEN, is_set_up=True)])
async def test_what_was_asked_for_is_opened_after_a_key_that_came_before_the_questions(
    studio: PaperStudio, memory: ScreenFacts
) -> None:
    studio.memory = memory
    app = CoachApp(studio, open_path="Slow Stairs", typed=" ")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert isinstance(screen_of(app), FirstStartScreen | CautionsScreen)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), RunScreen)
        assert "Slow Stairs" in text_of(app, Heading)


async def test_the_shelf_opens_nothing_once_what_was_asked_for_is_put_away(
    studio: PaperStudio,
) -> None:
    app = CoachApp(studio, open_path="Slow Stairs", typed=" ")
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: isinstance(screen_of(app), RunScreen))
        await press(pilot, "escape", "escape")
        await wait_for(pilot, lambda: "Slow Stairs" in text_of(app, ShelfList))
        await settle(pilot)
        assert isinstance(screen_of(app), ShelfScreen)


async def test_a_key_before_the_questions_of_a_first_start_opens_nothing_over_them(
    studio: PaperStudio,
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio, typed=" ")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert isinstance(screen_of(app), FirstStartScreen)
        await press(pilot, "escape")
        assert isinstance(screen_of(app), ShelfScreen)


async def test_a_key_before_the_shelf_is_read_opens_its_first_etude(
    studio: PaperStudio,
) -> None:
    app = CoachApp(studio, typed=" ")
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: isinstance(screen_of(app), PhraseScreen))


async def test_the_shelf_is_read_when_the_player_comes_to_it_not_beside_what_was_asked(
    studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[bool] = []
    read = studio.list_etudes

    def list_etudes() -> Sequence[Etude]:
        asked.append(True)
        return read()

    monkeypatch.setattr(studio, "list_etudes", list_etudes)
    app = CoachApp(studio, open_path="River at Low Water")
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: isinstance(screen_of(app), RunScreen))
        await settle(pilot)
        assert asked == []
        await press(pilot, "escape", "escape")
        assert isinstance(screen_of(app), ShelfScreen)
        await wait_for(pilot, lambda: "Slow Stairs" in text_of(app, ShelfList))


async def test_an_etude_that_cannot_be_read_says_why(
    app: CoachApp, studio: PaperStudio
) -> None:
    del studio.parts["River at Low Water"]
    studio.parts["Gone"] = make_part("Elsewhere")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "down", "enter")
        assert "cannot be read" in app.screen.query_one(Notice).words


async def test_where_there_is_room_the_opening_bars_are_shown(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await wait_for(pilot, lambda: app.screen.query(Opening))
        await wait_for(pilot, lambda: "F:" in text_of(app, Opening))


async def test_a_run_is_told_of_on_the_shelf(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", "enter", "space")
        now = studio.player.run_time()
        assert now is not None
        clock.wait_until(Seconds(clock.now() + 4.0))
        await press(pilot, "escape", "escape", "escape", "escape")
        assert isinstance(screen_of(app), ShelfScreen)
        assert "last run" in text_of(app, ShelfList)


EVIL = (
    "[b]x[/b] [red]$background[/] \x1b[31mred\x1b]0;t\x07 \u202eback\r\nnew\x9b2J"
    " [@click=app.quit]q[/]"
)


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
async def test_no_title_can_inject_markup_or_escapes(
    studio: PaperStudio, size: tuple[int, int]
) -> None:
    part = replace(
        make_part(EVIL), name=EVIL, key_name=EVIL, remarks=(EVIL,), title=EVIL
    )
    studio.parts = {EVIL: part}
    app = CoachApp(studio)
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await all_is_literal(app)
        for key in ("enter", "l", "escape", "enter", "space", "question_mark"):
            await press(pilot, key)
            await all_is_literal(app)
        await press(pilot, "escape")
        app.notify(EVIL, markup=False)
        await settle(pilot)


async def all_is_literal(app: CoachApp) -> None:
    """Hold every cell on the screen to plain text without a meaning of its own."""
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            assert segment.text.isprintable(), repr(segment.text)
            style = segment.style
            assert style is None or not style.meta.get("@click"), segment
            assert style is None or style.link is None
    screen = app.export_screenshot()
    assert "\x1b" not in screen


async def test_etudes_stand_on_the_shelf_as_soon_as_each_is_read(
    app: CoachApp, studio: PaperStudio
) -> None:
    rest = Event()
    first, second = list(studio.list_etudes())

    def one_by_one() -> Iterator[Etude]:
        yield first
        rest.wait(0.25)
        yield second
        rest.wait(60.0)

    studio.list_etudes = one_by_one  # type: ignore[method-assign,assignment]
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: first.title in text_of(app, ShelfList))
        assert "reading" in text_of(app, Heading)
        rest.set()
        await settle(pilot)
        assert "2 etudes" in text_of(app, Heading)


async def test_a_player_who_has_chosen_nothing_stands_at_the_top_of_the_shelf(
    app: CoachApp, studio: PaperStudio
) -> None:
    first, second = list(studio.list_etudes())
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        studio.list_etudes = lambda: [second, first]  # type: ignore[method-assign]
        await press(pilot, "p", "escape", "enter")
        assert second.title in text_of(app, Heading)


async def test_an_etude_that_the_player_chose_stays_chosen_wherever_it_comes_to_stand(
    app: CoachApp, studio: PaperStudio
) -> None:
    first, second = list(studio.list_etudes())
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        studio.list_etudes = lambda: [second, first]  # type: ignore[method-assign]
        await press(pilot, "down", "up", "p", "escape", "enter")
        assert first.title in text_of(app, Heading)


async def test_how_many_etudes_are_shown_is_said(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert " 2 etudes" in text_of(app, Heading)
        await press(pilot, "slash", *"stairs")
        assert "1 of 2 etudes" in text_of(app, Heading)
        await press(pilot, "x")
        assert "0 of 2 etudes" in text_of(app, Heading)


async def test_a_shelf_that_cannot_be_read_says_why_and_reads_no_more(
    app: CoachApp, studio: PaperStudio
) -> None:
    (first, *_) = studio.list_etudes()

    def stop_short() -> Iterator[Etude]:
        yield first
        raise CoachError("The log is gone.", "Put it back.")

    studio.list_etudes = stop_short  # type: ignore[method-assign,assignment]
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert first.title in text_of(app, ShelfList)
        assert "reading" not in text_of(app, Heading)
        assert "The log is gone." in text_of(app, Notice)


async def test_what_was_found_and_opened_stands_among_all_others_again(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "slash", *"slow")
        assert "1 of 2 etudes" in text_of(app, Heading)
        await press(pilot, "enter")
        assert isinstance(screen_of(app), PhraseScreen)
        await press(pilot, "escape")
        assert "2 etudes" in text_of(app, Heading)
        assert "of 2" not in text_of(app, Heading)
        shelf = app.screen
        assert isinstance(shelf, ShelfScreen)
        assert shelf._shown[shelf._chosen].title == "Slow Stairs"


async def test_where_nothing_is_found_no_opening_bars_stand_below(
    app: CoachApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shelf_view, "REST_S", 0.001)
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await wait_for(pilot, lambda: app.screen.query(Opening))
        await press(pilot, "slash", *"xyz")
        assert "nothing by the name “xyz”" in text_of(app, ShelfList)
        await wait_for(pilot, lambda: not app.screen.query(Opening))


def test_a_tempo_in_halves_has_room_for_its_number() -> None:
    chorale = Etude("A", "a", goal_bpm=66, beat_quarters=Fraction(2))
    fact, width = etude_facts(chorale, FULL)[-1]
    assert fact[:width] == "half = 66"
    quarters = replace(chorale, beat_quarters=Fraction(1))
    assert etude_facts(quarters, FULL)[-1][1] == 6, "one column for all of them"


def test_one_bar_is_no_bars() -> None:
    said = [etude_facts(Etude("A", "a", bars=bars), FULL)[2][0] for bars in (0, 1, 2)]
    assert said == ["", "1 bar", "2 bars"]
