"""Staves that are engraved: pictures come, words stand under their heads, cells go."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Iterable, Mapping
from itertools import pairwise
from typing import Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.geometry import Region
from textual.pilot import Pilot
from textual.strip import Strip

from coach.rehearsal.gear.gear import ManualClock
from coach.screens.app import CoachApp
from coach.screens.keys_screen import KeysScreen
from coach.screens.shelf.opening import Opening
from coach.screens.staff.engraved.engraved_lines import follow_heads
from coach.screens.staff.engraved.engraved_picture import EngravedPicture
from coach.screens.staff.engraved.graphics import (
    FIRST_IMAGE,
    PLACEHOLDER,
    PlacedPicture,
    lay_placeholders,
    lay_sixels,
)
from coach.screens.staff.staff_lines import StaffLine, break_lines
from coach.screens.staff.staff_pages import StaffPages
from coach.screens.staff.staff_slots import cut_slots
from coach.screens.staff.staff_strip import StaffStrip
from tests.screens.paper_studio import PaperStudio, make_part
from tests.screens.playing import go_to_run, play_until, press, settle, text_of

CELL = (10, 20)
Tell = Callable[[int, int, str, Mapping[str, float]], None]


class HandEngraver:
    """Draws nothing, and tells heads that stand as far apart as they can."""

    def __init__(self, graphics: Literal["sixel", "kitty"] = "sixel") -> None:
        self.graphics = graphics
        self.cell: tuple[int, int] | None = CELL
        self.asked: list[tuple[list[tuple[str, int, bool]], int, tuple[str, ...]]] = []
        self.is_slow = False
        self.tell: Tell | None = None

    def cell_pixels(self) -> tuple[int, int] | None:
        return self.cell

    def engrave(
        self,
        lines: Iterable[tuple[str, int, bool]],
        height: int,
        colours: tuple[str, str, str],
        tell: Tell,
    ) -> None:
        self.asked.append((list(lines), height, colours))
        self.tell = tell
        if not self.is_slow:
            self.deliver()

    def deliver(self) -> None:
        """Tell of every line."""
        lines = self.asked[-1][0]
        assert self.tell is not None
        for k, (mei, width, _) in enumerate(lines):
            names = [f"s{n}" for n in range(200) if f'"s{n}"' in mei]
            heads = {
                name: width * (n + 1) / (len(names) + 1) for n, name in enumerate(names)
            }
            self.tell(k, width, f"picture {k} of {len(self.asked)}", heads)


@pytest.fixture
def engraver(studio: PaperStudio) -> HandEngraver:
    studio.maker_of_pictures = made = HandEngraver()
    return made


async def open_phrase(pilot: Pilot[Any]) -> StaffPages:
    """Open the first etude."""
    await settle(pilot)
    await press(pilot, "enter")
    return pilot.app.screen.query_one(StaffPages)


def sent(staff: EngravedPicture) -> str:
    """Give all that a staff sends to the terminal when it is drawn whole."""
    area = Region(0, 0, *staff.size)
    return "".join(seg.text for strip in staff.render_lines(area) for seg in strip)


async def test_pictures_take_the_place_of_the_cells(
    app: CoachApp, engraver: HandEngraver
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        pages = await open_phrase(pilot)
        shown = text_of(app, StaffPages)
        assert "F:" not in shown
        assert "╧" not in shown
        assert "B♭" in shown
        assert "picture 0 of 1" in sent(pages)
        (lines, height, colours) = engraver.asked[0]
        assert height % CELL[1] == 0
        assert max(width for _, width, _ in lines) == pages.size.width * CELL[0]
        assert [is_last for _, _, is_last in lines][-1]
        assert colours == ("#f1ecda", "#8b8678", "#15171c")


async def test_the_cell_staff_stands_until_pictures_come_and_where_none_do(
    app: CoachApp, engraver: HandEngraver
) -> None:
    engraver.is_slow = True
    async with app.run_test(size=(80, 24)) as pilot:
        pages = await open_phrase(pilot)
        assert "F:" in text_of(app, StaffPages)
        assert "picture" not in sent(pages)
        engraver.deliver()
        await settle(pilot)
        assert "F:" not in text_of(app, StaffPages)


async def test_without_an_engraver_or_a_cells_size_cells_stay(
    app: CoachApp, engraver: HandEngraver
) -> None:
    engraver.cell = None
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(pilot)
        assert "F:" in text_of(app, StaffPages)
        assert engraver.asked == []


async def test_names_stand_for_the_staff_where_it_has_no_room(
    app: CoachApp, engraver: HandEngraver
) -> None:
    async with app.run_test(size=(40, 15)) as pilot:
        await open_phrase(pilot)
        assert engraver.asked == [] or "picture" in sent(
            app.screen.query_one(StaffPages)
        )


async def test_an_edit_of_the_plan_asks_for_no_picture(
    app: CoachApp, engraver: HandEngraver
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(pilot)
        await press(pilot, "right", "right", "b", "right", "x", "down", "up")
        assert len(engraver.asked) == 1


async def test_a_phrase_left_before_its_pictures_came_gets_them_on_return(
    app: CoachApp, engraver: HandEngraver
) -> None:
    engraver.is_slow = True
    async with app.run_test(size=(80, 24)) as pilot:
        pages = await open_phrase(pilot)
        await press(pilot, "enter")
        engraver.is_slow = False
        await press(pilot, "escape")
        assert "picture 0" in sent(pages)
        assert len(engraver.asked) == 3


async def test_other_colours_and_another_size_ask_anew(
    app: CoachApp, engraver: HandEngraver
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        pages = await open_phrase(pilot)
        await press(pilot, "ctrl+t")
        await settle(pilot)
        assert engraver.asked[-1][2] == ("#1f1b14", "#766c5a", "#f4eee0")
        assert f"of {len(engraver.asked)}" in sent(pages)
        await pilot.resize_terminal(100, 30)
        await settle(pilot)
        assert engraver.asked[-1][0][0][1] == pages.size.width * CELL[0]


async def test_pictures_that_are_no_longer_wanted_are_not_shown(
    app: CoachApp, engraver: HandEngraver
) -> None:
    engraver.is_slow = True
    async with app.run_test(size=(80, 24)) as pilot:
        pages = await open_phrase(pilot)
        old = engraver.tell
        await press(pilot, "ctrl+t")
        await settle(pilot)
        assert old is not None
        old(0, 800, "old picture", {"s0": 100.0})
        await settle(pilot)
        assert "old picture" not in sent(pages)


async def test_a_click_under_a_head_finds_its_note(
    app: CoachApp, engraver: HandEngraver
) -> None:
    del engraver
    async with app.run_test(size=(80, 24)) as pilot:
        pages = await open_phrase(pilot)
        line = pages._shown(0)
        placed = [p for p in line.places if p.slot.kind == "note"][3]
        await pilot.click(StaffPages, offset=(pages._prefix + placed.head, 3))
        await settle(pilot)
        assert pages._cursor == placed.slot.note


async def test_a_picture_is_sent_once_and_not_with_the_cursor(
    app: CoachApp, engraver: HandEngraver
) -> None:
    del engraver
    async with app.run_test(size=(80, 24)) as pilot:
        pages = await open_phrase(pilot)
        refreshed: list[Region] = []
        refresh = pages.refresh

        def note(*regions: Region, **more: Any) -> StaffPages:
            refreshed.extend(regions or [Region(0, 0, *pages.size)])
            return refresh(*regions, **more)

        pages.refresh = note  # type: ignore[method-assign]
        pages.show_cursor(1, None)
        assert refreshed
        (placed,) = pages._placed[:1]
        assert all(
            y not in placed.rows
            for region in refreshed
            for y in range(region.y, region.bottom)
        )


async def test_no_line_turns_into_a_picture_while_it_is_read(
    app: CoachApp, engraver: HandEngraver, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        engraver.is_slow = True
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 0.5)
        strip = app.screen.query_one(StaffStrip)
        assert "F:" in text_of(app, StaffStrip)
        engraver.deliver()
        await play_until(pilot, studio, clock, 0.6)
        assert "picture" not in sent(strip)
        await play_until(pilot, studio, clock, 6.0)
        assert "picture" in sent(strip)
        assert "F:" not in text_of(app, StaffStrip)


async def test_a_run_shows_pictures_and_points_below_them(
    app: CoachApp, engraver: HandEngraver, studio: PaperStudio, clock: ManualClock
) -> None:
    engraver.graphics = "kitty"
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 0.1)
        strip = app.screen.query_one(StaffStrip)
        words = sent(strip)
        assert "picture 0" in words
        assert words.count("\x1b_Ga=T") == 2, "one for each half"
        assert PLACEHOLDER in words
        assert "▲" in text_of(app, StaffStrip)


PARTS = [make_part(), make_part("Slow", "\nBb2/8 D3/8\nF3/16\n")]


def a_line(part_number: int = 0) -> StaffLine:
    """Give the first line of a part."""
    part = PARTS[part_number]
    return break_lines(part, cut_slots(part), [70])[0]


@given(st.lists(st.floats(0, 900), min_size=60, max_size=60), st.integers(0, 1))
def test_heads_keep_their_order_and_stay_inside(
    wanted: list[float], number: int
) -> None:
    line = a_line(number)
    heads = {
        f"{kind}{k}": sorted(wanted)[k]
        for k in range(len(line.places))
        for kind in "sm"
    }
    labels = [(0, 2)] * len(line.places)
    moved = follow_heads(line, heads, labels, cell=10, prefix=6, width=84)
    at = [placed.head for placed in moved.places]
    assert at == sorted(at)
    assert at[0] >= 0
    assert at[-1] < 84
    assert all(b - a >= 2 for a, b in pairwise(at))
    assert sum(p.width for p in moved.places) >= 84 - moved.places[0].x
    assert [p.slot.note for p in moved.places] == [p.slot.note for p in line.places]


def test_a_head_with_room_stands_in_the_cell_under_it() -> None:
    line = a_line(1)
    heads = {"s0": 105.0, "s1": 300.0, "m2": 500.0, "s3": 611.0}
    moved = follow_heads(line, heads, [(1, 3)] * 4, cell=10, prefix=6, width=84)
    assert [placed.head for placed in moved.places] == [4, 24, 44, 55]


def test_sixels_are_painted_with_the_last_of_their_rows() -> None:
    strips = [Strip.blank(20) for _ in range(5)]
    placed = PlacedPicture(2, 1, 10, 3, "SIXELS", 0)
    lay_sixels(strips, placed, Region(3, 7, 20, 5))
    words = ["".join(segment.text for segment in strip) for strip in strips]
    assert [len(word) for word in words[:3]] == [20, 20, 20]
    assert words[3] == " " * 20 + "\x1b[9;6HSIXELS\x1b[11;24H"
    assert [strip.cell_length for strip in strips] == [20] * 5


def test_placeholders_of_two_pictures_share_rows() -> None:
    strips = [Strip.blank(20) for _ in range(3)]
    picture = b64encode(bytes(6000)).decode()
    pictures = [
        PlacedPicture(1, 0, 4, 2, picture, 0),
        PlacedPicture(8, 0, 5, 2, "other", 1),
    ]
    lay_placeholders(strips, pictures)
    shown = [
        "".join(segment.text for segment in strip if not segment.control)
        for strip in strips
    ]
    assert [row.count(PLACEHOLDER) for row in shown] == [9, 9, 0]
    assert shown[1].index(PLACEHOLDER) == 1
    assert [strip.cell_length for strip in strips] == [20, 20, 20]
    messages = "".join(segment.text for segment in strips[0] if segment.control)
    assert f"i={FIRST_IMAGE},c=4,r=2" in messages
    assert f"i={FIRST_IMAGE + 1},c=5,r=2" in messages
    blocks = messages.split("\x1b\\")
    assert [block.split(";")[0][-3:] for block in blocks[:3]] == ["m=1", "m=0", "m=0"]
    assert all(len(block.partition(";")[2]) <= 4096 for block in blocks)


async def test_keys_typed_before_the_screens_stood_are_obeyed(
    studio: PaperStudio,
) -> None:
    """They were read while the terminal was asked what it can show."""
    words = "This terminal shows no pictures."
    app = CoachApp(studio, typed="?", words=words)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await settle(pilot)
        assert isinstance(app.screen, KeysScreen)
        assert [note.message for note in app._notifications] == [words]


async def test_the_opening_bars_on_the_shelf_are_engraved_too(
    app: CoachApp, engraver: HandEngraver
) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        for _ in range(50):
            await pilot.pause(0.05)
            if app.screen.query(Opening) and engraver.asked:
                break
        await settle(pilot)
        shown = text_of(app, Opening)
        assert "F:" not in shown, "the clef is in the picture"
        assert len(engraver.asked[-1][0]) == 1
