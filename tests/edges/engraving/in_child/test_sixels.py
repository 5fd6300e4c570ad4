"""Sixels, read back by a small reader of the form as its manual tells it."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from coach.edges.engraving.in_child.sixels import write_sixels, write_tiles

COLOURS = [(0, 0, 0), (255, 255, 255), (51, 102, 153)]


def read_sixels(words: str, width: int, height: int) -> list[list[int]]:
    """Paint sixels: the numbers of the colours, row by row; -1 where nothing is.

    Digital Equipment Corporation, VT330/VT340 Programmer Reference Manual, volume 2,
    chapter 14: ``#n`` takes a colour, ``!n`` repeats, ``$`` goes back, ``-`` goes on.
    """
    pixels = [[-1] * width for _ in range(height)]
    assert words.startswith("\x1bP")
    assert words.endswith("\x1b\\")
    body = words[words.index("q") + 1 : -2]
    x, y, colour = 0, 0, 0
    for token in re.findall(r'"[\d;]+|#[\d;]+|!\d+.|.', body):
        if token.startswith('"'):
            assert token == f'"1;1;{width};{height}'
        elif token.startswith("#"):
            if ";" not in token:
                colour = int(token[1:])
        elif token == "$":
            x = 0
        elif token == "-":
            x, y = 0, y + 6
        else:
            times = int(token[1:-1]) if token.startswith("!") else 1
            bits = ord(token[-1]) - 63
            for k in range(6):
                if bits >> k & 1:
                    pixels[y + k][x : x + times] = [colour] * times
            x += times
    return pixels


def read_tiles(words: str, width: int, height: int, cell: int) -> list[list[int]]:
    """Paint pictures that stand side by side, each begun where the cursor is then.

    The same manual, volume 1, "Text Programming": DECSC, DECRC, CUF.
    """
    pixels: list[list[int]] = [[] for _ in range(height)]
    for tile in words.split("\x1b8"):
        place = re.match(r"\x1b7(?:\x1b\[(\d+)C)?", tile)
        assert place is not None
        assert int(place[1] or 0) * cell == len(pixels[0])
        sixels = tile[place.end() :]
        told = re.search(r'"1;1;(\d+);', sixels)
        assert told is not None
        for row, more in zip(
            pixels, read_sixels(sixels, int(told[1]), height), strict=True
        ):
            row.extend(more)
    assert len(pixels[0]) == width
    return pixels


@given(st.integers(1, 60), st.integers(1, 9), st.integers(1, 30), st.data())
def test_a_wide_picture_comes_back_in_tiles_that_meet_where_cells_do(
    width: int, cell: int, most: int, data: st.DataObject
) -> None:
    drawn = data.draw(
        st.lists(st.integers(0, 2), min_size=width * 7, max_size=width * 7).map(bytes)
    )
    words = write_tiles(drawn, width, COLOURS, cell, most)
    told = [int(found) for found in re.findall(r'"1;1;(\d+);', words)]
    assert max(told) <= max(most, cell)
    assert read_tiles(words, width, 7, cell) == [
        list(drawn[y * width : (y + 1) * width]) for y in range(7)
    ]


@given(st.integers(1, 40), st.integers(1, 20), st.data())
def test_every_pixel_comes_back(width: int, height: int, data: st.DataObject) -> None:
    count = width * height
    drawn = data.draw(
        st.lists(st.integers(0, 2), min_size=count, max_size=count).map(bytes)
    )
    words = write_sixels(drawn, width, COLOURS)
    assert words.isascii()
    rows = [list(drawn[y * width : (y + 1) * width]) for y in range(height)]
    assert read_sixels(words, width, height) == rows


def test_a_plain_stretch_is_sent_as_a_count() -> None:
    assert "#1!200~" in write_sixels(bytes([1]) * 1200, 200, COLOURS)


def test_colours_are_told_in_hundredths() -> None:
    assert "#2;2;20;40;60" in write_sixels(bytes([2]), 1, COLOURS)
