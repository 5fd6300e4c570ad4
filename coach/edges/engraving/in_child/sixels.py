"""Sixels: pixels of a few colours as the letters that a terminal draws them from.

The form is that of the VT330/VT340 (Digital Equipment Corporation, "VT330/VT340
Programmer Reference Manual, Volume 2: Graphics Programming", 1988, chapter 14):
bands of six rows, each letter one column of six pixels in one colour.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

BAND_ROWS = 6
FIRST_LETTER = 63
WHOLE_PERCENT = 100
WHOLE_BYTE = 255
LETTERS = bytes(
    FIRST_LETTER + bits if bits < 1 << BAND_ROWS else 0 for bits in range(256)
)
RUNS = re.compile(rb"(.)\1{3,}", re.DOTALL)
"""Four letters of a kind or more are shorter as a count."""

Colour = tuple[int, int, int]


def write_tiles(
    pixels: bytes, width: int, colours: Sequence[Colour], cell: int, most: int
) -> str:
    """Write a picture as several side by side, since terminals refuse wide ones.

    The cursor, wherever it is, goes from one to the next (DECSC, DECRC and CUF of the
    same manual, volume 1: "Text Programming").

    Parameters
    ----------
    pixels : bytes
        One a pixel, the number of its colour.
    width : int
        Pixels of the whole.
    colours : sequence of Colour
        Red, green and blue of each number.
    cell : int
        Pixels of a cell: pictures meet where cells do.
    most : int
        Pixels that one picture may be wide.
    """
    cells = max(1, most // cell)
    step = cells * cell
    rows = [pixels[k : k + width] for k in range(0, len(pixels), width)]
    parts = []
    for x in range(0, width, step):
        tile = b"".join(row[x : x + step] for row in rows)
        moves = f"\x1b7\x1b[{x // cell}C" if x else "\x1b7"
        parts.append(moves + write_sixels(tile, min(step, width - x), colours))
    return "\x1b8".join(parts)


def write_sixels(pixels: bytes, width: int, colours: Sequence[Colour]) -> str:
    """Write a picture: one byte a pixel, the number of its colour."""
    height = len(pixels) // width
    parts = [f'\x1bP0;0;0q"1;1;{width};{height}'.encode()]
    for number, colour in enumerate(colours):
        shares = ";".join(
            str(round(value * WHOLE_PERCENT / WHOLE_BYTE)) for value in colour
        )
        parts.append(f"#{number};2;{shares}".encode())
    rows = [pixels[y * width : (y + 1) * width] for y in range(height)]
    for y in range(0, height, BAND_ROWS):
        parts.append(b"$".join(_band(rows[y : y + BAND_ROWS], len(colours))))
        parts.append(b"-")
    parts.append(b"\x1b\\")
    return b"".join(parts).decode("ascii")


def _band(rows: Sequence[bytes], colours: int) -> Iterator[bytes]:
    """Write a band of rows, one colour after the other."""
    width = len(rows[0])
    present = set().union(*rows)
    for colour in range(colours):
        if colour not in present:
            continue
        columns = 0
        for k, row in enumerate(rows):
            bits = bytearray(256)
            bits[colour] = 1 << k
            columns |= int.from_bytes(row.translate(bytes(bits)), "big")
        letters = columns.to_bytes(width, "big").translate(LETTERS)
        yield b"#%d%b" % (colour, RUNS.sub(_count, letters))


def _count(run: re.Match[bytes]) -> bytes:
    """Shorten a run of one letter."""
    return b"!%d%b" % (len(run[0]), run[1])
