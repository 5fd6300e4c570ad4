"""The engraving process on real lines, on rubbish, hanging and crashing."""

from __future__ import annotations

import sys
import threading
from collections.abc import Mapping
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
import verovio
from PIL import Image

from coach.edges.engraving.engraver import Engraver
from coach.edges.engraving.in_child import engraver_child
from coach.edges.engraving.in_child.engraved_svg import Look
from coach.edges.scores.score_files import read_part
from coach.screens.staff.engraved.staff_mei import write_mei
from coach.screens.staff.staff_drawing import prefix_width
from coach.screens.staff.staff_lines import break_lines
from coach.screens.staff.staff_slots import cut_slots
from tests.edges.engraving.in_child.test_sixels import read_tiles
from tests.screens.paper_studio import make_part

ETUDES = sorted((Path(__file__).parents[3] / "etudes").glob("*.musicxml"))
CELL = (9, 18)
ROWS = 12
COLOURS = ("#f1ecda", "#8b8678", "#15171c")
Line = tuple[str, int, bool]


def documents(columns: int = 120, etude: Path | None = None) -> list[Line]:
    """Write the lines of an etude as the screens do."""
    part = make_part() if etude is None else read_part(etude)
    prefix = prefix_width(max(abs(bar.fifths) for bar in part.bars))
    lines = break_lines(part, cut_slots(part), [columns - prefix])
    width = columns * CELL[0]
    return [
        (write_mei(line, part), width, k == len(lines) - 1)
        for k, line in enumerate(lines)
    ]


def test_a_staff_stands_at_the_same_height_in_every_line() -> None:
    """The bottom line is the lowest row of pixels that is drawn all the way."""
    lines = documents()
    sizes = engraver_child.size_lines(lines, ROWS * CELL[1], CELL)
    heights = set()
    for (mei, _, _), width in zip(lines, sizes["widths"], strict=True):
        words, _ = engraver_child.draw(
            mei,
            (width, ROWS * CELL[1]),
            (sizes["space"], sizes["top"]),
            Look(*COLOURS),
            "sixel",
            CELL[0],
        )
        rows = read_tiles(words, width, ROWS * CELL[1], CELL[0])
        paper = max(set(rows[0]), key=rows[0].count)
        ruled = [y for y, row in enumerate(rows) if row.count(paper) < width / 10]
        heights.add(tuple(ruled))
        assert len(ruled) == 5
        gaps = {b - a for a, b in pairwise(ruled)}
        assert gaps == {sizes["space"]}
    assert len(heights) == 1


@pytest.mark.usefixtures("read_etudes")
@pytest.mark.parametrize("etude", ETUDES, ids=lambda path: path.stem)
def test_every_etude_is_engraved_without_a_warning(
    etude: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """Heads stand in the order of the line and inside the picture."""
    lines = documents(etude=etude)
    engraver_child.toolkit()
    verovio.enableLog(verovio.LOG_WARNING)
    try:
        sizes = engraver_child.size_lines(lines, ROWS * CELL[1], CELL)
        for (mei, _, _), width in zip(lines, sizes["widths"], strict=True):
            picture, heads = engraver_child.draw(
                mei,
                (width, ROWS * CELL[1]),
                (sizes["space"], sizes["top"]),
                Look(*COLOURS),
                "kitty",
                CELL[0],
            )
            assert picture
            in_order = [
                heads[f"s{k}"] for k in range(len(heads) * 2) if f"s{k}" in heads
            ]
            assert in_order == sorted(set(in_order))
            assert in_order[0] > 0
            assert in_order[-1] < width
            assert mei.count('xml:id="s') - mei.count("<mRest") >= len(in_order)
    finally:
        verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""


def test_a_warning_would_be_seen(capfd: pytest.CaptureFixture[str]) -> None:
    engraver_child.toolkit()
    verovio.enableLog(verovio.LOG_WARNING)
    engraver_child.toolkit().loadData("<mei/>")
    verovio.enableLog(verovio.LOG_OFF)
    assert "[Warning]" in capfd.readouterr().err


def test_every_note_of_a_line_has_its_head() -> None:
    mei, width, _ = documents()[0]
    space = 15
    _, heads = engraver_child.draw(
        mei, (width, 216), (space, 60.5), Look(*COLOURS), "kitty", CELL[0]
    )
    names = {name for name in heads if name.startswith("s") and "t" not in name}
    assert len(names) == mei.count("<note ")


def test_a_picture_for_kitty_is_transparent_but_for_its_ink() -> None:
    from base64 import b64decode

    mei, width, _ = documents()[0]
    picture, _ = engraver_child.draw(
        mei, (width, 216), (15, 60.5), Look(*COLOURS), "kitty", CELL[0]
    )
    image = Image.open(BytesIO(b64decode(picture)))
    assert image.size == (width, 216)
    alpha = image.getchannel("A").histogram()
    assert alpha[0] > alpha[255] > 0


@pytest.mark.parametrize("mei", ["", "rubbish", "<mei/>", "<a><b></a>"])
def test_rubbish_is_refused_in_words(mei: str) -> None:
    said = engraver_child.answer(
        {"do": "size", "lines": [(mei, 900, False)], "height": 200, "cell": CELL}
    )
    assert list(said) == ["refused"]


def test_too_little_room_is_refused() -> None:
    said = engraver_child.answer(
        {"do": "size", "lines": documents(), "height": 40, "cell": CELL}
    )
    assert said == {"refused": "There is too little room."}
    with pytest.raises(engraver_child.EngravingError, match="does not fit"):
        engraver_child.engrave_into(documents()[0][0], 20)


class Heard:
    """Takes pictures from the engraver's thread."""

    def __init__(self, wanted: int) -> None:
        self.wanted = wanted
        self.pictures: dict[int, str] = {}
        self.done = threading.Event()

    def tell(
        self, line: int, width: int, picture: str, heads: Mapping[str, float]
    ) -> None:
        assert width > 0
        assert heads
        self.pictures[line] = picture
        if len(self.pictures) == self.wanted:
            self.done.set()


def test_the_process_engraves_and_ends_with_the_program() -> None:
    engraver = Engraver("sixel", CELL)
    lines = documents()
    heard = Heard(len(lines))
    engraver.engrave(lines, ROWS * CELL[1], COLOURS, heard.tell)
    assert heard.done.wait(60)
    process = engraver._process
    assert process is not None
    engraver.close()
    assert process.poll() is not None
    engraver.engrave(lines, ROWS * CELL[1], COLOURS, heard.tell)
    assert engraver._process is None


def test_what_is_asked_later_takes_the_place_of_what_waits() -> None:
    engraver = Engraver("kitty", CELL)
    lines = documents()
    early, late = Heard(len(lines)), Heard(len(lines))
    for _ in range(20):
        engraver.engrave(lines, ROWS * CELL[1], COLOURS, early.tell)
    engraver.engrave(lines, ROWS * CELL[1], COLOURS[::-1], late.tell)
    assert late.done.wait(60)
    engraver.close()
    assert len(late.pictures) == len(lines)


BROKEN = {
    "crashes": "raise SystemExit(3)",
    "talks rubbish": "input(); print('rubbish', flush=True)",
    "talks of something else": "input(); print('{}', flush=True)",
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_process_that_fails_twice_is_left_alone(what: str) -> None:
    engraver = Engraver("kitty", CELL, (sys.executable, "-c", BROKEN[what]))
    heard = Heard(1)
    for _ in range(2):
        engraver.engrave(documents(), 216, COLOURS, heard.tell)
        while engraver._waiting is not None and engraver._thread is not None:
            engraver._thread.join(0.01)
    thread = engraver._thread
    assert thread is not None
    thread.join(30)
    assert not thread.is_alive()
    assert engraver._process is None
    assert heard.pictures == {}
    engraver.engrave(documents(), 216, COLOURS, heard.tell)
    assert engraver._waiting is None
    engraver.close()


def test_a_hanging_process_is_ended_and_holds_nobody_up() -> None:
    engraver = Engraver("kitty", CELL, (sys.executable, "-c", "input(); input()"))
    engraver.engrave(documents(), 216, COLOURS, Heard(1).tell)
    while engraver._process is None:
        threading.Event().wait(0.01)
    process = engraver._process
    engraver.close()
    assert process.poll() is not None


def test_a_process_that_takes_too_long_is_ended() -> None:
    engraver = Engraver("kitty", CELL, (sys.executable, "-c", "input(); input()"))
    with pytest.raises(ValueError, match="Expecting value"):
        engraver._ask({}, 0.5)
    engraver.close()


def test_nothing_is_engraved_where_nobody_knows_a_cells_size() -> None:
    engraver = Engraver("kitty", None)
    if engraver.cell_pixels() is None:
        engraver.engrave(documents(), 216, COLOURS, Heard(1).tell)
        assert engraver._thread is None
    engraver.close()
