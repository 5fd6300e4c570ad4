"""The child process that engraves: music in, pictures for the terminal or pages out.

It reads one request as JSON from each line of standard input and answers it with one
line.  Only this process imports verovio and resvg: they hold up whatever
thread they run in, and a hanging or crashing engraver takes no screen with it.
"""

from __future__ import annotations

import json
import math
import os
import sys
from base64 import b64encode
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any

import resvg_py
import verovio
from PIL import Image

from coach.edges.engraving.engraving_settings import read_engraving_limits, read_size
from coach.edges.engraving.in_child.engraved_svg import STAFF_SPACES, EngravedPage, Look
from coach.edges.engraving.in_child.sixels import write_tiles

UNITS_A_SPACE = 18
"""Verovio's page units from one staff line to the next."""

SPACINGS = (0.25, 0.15, 0.1, 0.06, 0.03)
"""Verovio's linear spacing: as the engraver would have it, then ever tighter."""

LAST_STRETCH = 1.6
"""The last line is drawn out so far, and no further, to fill its width."""

TALL_SPACES = 60
"""A page that is higher than any staff."""

WIDEST_SPACES = 5000
AIR_SPACES = 10
"""As far over and under the staff the extent of a picture is looked for."""

ROUGH_PX = 4
"""Pixels a space where only the extent of a picture is looked for."""

KEPT = 256
"""Pictures that are kept for when they are asked for again."""

COLOURS = 16
"""Shades of ink, lines and paper that are sent."""

OPTIONS = {
    "header": "none",
    "footer": "none",
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageHeight": TALL_SPACES * UNITS_A_SPACE,
    "svgViewBox": True,
    "xmlIdSeed": 1,
    "minLastJustification": 0,
    "font": "Leipzig",
}


PAGE_SPACING = 0.36
"""The same on a page: "(#4)" has room under each of a beat's sixteenths."""

PAGE_OPTIONS = {
    "breaks": "auto",
    "spacingLinear": PAGE_SPACING,
    "fingeringScale": 0.55,
    "pageMarginTop": 60,
    "pageMarginLeft": 60,
    "pageMarginRight": 40,
}
"""Bar numbers stand at the left edge, a breath may stand past the last bar line."""


@dataclass(frozen=True, slots=True)
class Extent:
    """How much room a line takes, in staff spaces."""

    width: float
    """From its left end to its right end, nothing drawn out."""

    above: float
    """Over the top line."""

    below: float
    """Under the bottom line."""


class EngravingError(Exception):
    """A line that cannot be engraved as asked."""


def main() -> None:
    """Answer requests until there are no more."""
    _limit_memory()
    # What a library writes to standard output must not get between the answers.
    with os.fdopen(os.dup(1), "wb") as answers:
        os.dup2(2, 1)
        for line in sys.stdin.buffer:
            said = json.dumps(answer(json.loads(line)), separators=(",", ":"))
            answers.write(said.encode() + b"\n")
            answers.flush()


def _limit_memory() -> None:
    """Let the system stop this process before it hurts; not every system can."""
    with suppress(ImportError, ValueError, OSError):
        import resource

        memory = read_engraving_limits().memory_bytes
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))


def answer(request: dict[str, Any]) -> dict[str, Any]:
    """Size lines, draw one of them, or engrave pages; or say why that cannot be."""
    try:
        if request["do"] == "pages":
            return {"pages": engrave_pages(request["mei"], *request["size"])}
        if request["do"] == "size":
            return size_lines(request["lines"], request["height"], request["cell"])
        picture, heads = draw(
            request["mei"],
            (request["width"], request["height"]),
            (request["space"], request["top"]),
            Look(*request["colours"]),
            request["graphics"],
            request["cell"][0],
        )
    except (EngravingError, ValueError, MemoryError) as error:
        return {"refused": str(error)}
    return {"picture": picture, "heads": heads}


def size_lines(
    lines: Sequence[tuple[str, int, bool]], height: int, cell: tuple[int, int]
) -> dict[str, Any]:
    """Find one size for all lines, and how wide each is: the last only as it needs."""
    extents = [measure(mei) for mei, _, _ in lines]
    space = choose_space(extents, [width for _, width, _ in lines], height, cell[1])
    widths = []
    for (_, most, is_last), extent in zip(lines, extents, strict=True):
        natural = math.ceil(extent.width * space * LAST_STRETCH / cell[0]) * cell[0]
        widths.append(min(most, natural) if is_last else most)
    return {
        "space": space,
        "top": choose_top(extents, space, height),
        "widths": widths,
    }


def choose_space(
    extents: Sequence[Extent], widths: Sequence[int], height: int, row: int
) -> int:
    """Find the largest staff that lets all lines fit; the same for each of them."""
    size = read_size()
    tall = max(e.above for e in extents) + max(e.below for e in extents) + STAFF_SPACES
    space = int(
        min(
            row * size.space_share,
            height / tall,
            *(width / e.width for width, e in zip(widths, extents, strict=True)),
        )
    )
    if space < max(size.least_pixels_count, row * size.least_space_share):
        raise EngravingError("There is too little room.")
    return space


def choose_top(extents: Sequence[Extent], space: int, height: int) -> float:
    """Tell how far down the top line lies, so that all lines stand in the middle.

    The half lets a line fill one row of pixels rather than shade two.
    """
    above = max(extent.above for extent in extents)
    below = max(extent.below for extent in extents)
    spare = height - (above + STAFF_SPACES + below) * space
    return round(above * space + spare / 2) + 0.5


@cache
def toolkit() -> verovio.toolkit:
    """Make the engraver; it finds its fonts only where it is told to look."""
    verovio.enableLog(verovio.LOG_OFF)
    made = verovio.toolkit(False)
    made.setResourcePath(str(Path(verovio.__file__).with_name("data")))
    return made


def engrave(mei: str, breaks: str, spaces: float, spacing: float) -> EngravedPage:
    """Engrave one line; drawn out to a width in spaces, unless it takes no breaks."""
    engraver = toolkit()
    engraver.setOptions(
        {
            **OPTIONS,
            "breaks": breaks,
            "pageWidth": math.floor(spaces * UNITS_A_SPACE),
            "spacingLinear": spacing,
        }
    )
    if not engraver.loadData(mei):
        raise EngravingError("This is no music.")
    return EngravedPage(engraver.renderToSVG(1))


def engrave_pages(mei: str, width: int, height: int) -> list[str]:
    """Engrave a whole part on pages of a size in tenths of a millimetre, as SVG."""
    engraver = toolkit()
    size = {"pageWidth": width, "pageHeight": height}
    engraver.setOptions({**OPTIONS, **size, **PAGE_OPTIONS})
    if not engraver.loadData(mei):
        raise EngravingError("This is no music.")
    return [engraver.renderToSVG(page + 1) for page in range(engraver.getPageCount())]


def engrave_into(mei: str, spaces: float) -> EngravedPage:
    """Engrave one line into a width, as loosely as it fits."""
    for spacing in SPACINGS:
        page = engrave(mei, "auto", spaces, spacing)
        if page.systems == 1 and toolkit().getPageCount() == 1:
            return page
    raise EngravingError("The line does not fit.")


@lru_cache(maxsize=KEPT)
def measure(mei: str) -> Extent:
    """Find the room that a line takes."""
    page = engrave(mei, "none", WIDEST_SPACES, SPACINGS[-1])
    width = page.width_spaces
    top = ROUGH_PX * AIR_SPACES
    size = math.ceil(width * ROUGH_PX), ROUGH_PX * (STAFF_SPACES + 2 * AIR_SPACES)
    page.cut_out(*size, ROUGH_PX, top)
    box = Image.open(BytesIO(_png(page))).getchannel("A").getbbox()
    if box is None:
        raise EngravingError("Nothing is drawn.")
    above, below = top - box[1], box[3] - top - STAFF_SPACES * ROUGH_PX
    return Extent(width, above / ROUGH_PX, below / ROUGH_PX)


@lru_cache(maxsize=KEPT)
def draw(
    mei: str,
    size: tuple[int, int],
    place: tuple[int, float],
    look: Look,
    graphics: str,
    cell: int,
) -> tuple[str, dict[str, float]]:
    """Engrave a line into a picture of a size; give its heads in pixels too."""
    space, top = place
    page = engrave_into(mei, size[0] / space)
    heads = {name: x * space for name, x in page.heads().items()}
    page.cut_out(*size, space, top)
    page.colour(look)
    png = _png(page)
    if graphics == "kitty":
        return b64encode(png).decode("ascii"), heads
    picture = Image.new("RGB", size, look.paper)
    drawn = Image.open(BytesIO(png))
    picture.paste(drawn, mask=drawn.getchannel("A"))
    few = picture.quantize(COLOURS, dither=Image.Dither.NONE)
    palette = few.getpalette() or []
    colours = [
        (palette[k], palette[k + 1], palette[k + 2]) for k in range(0, len(palette), 3)
    ]
    most = read_size().widest_pixels_count
    tiles = write_tiles(few.tobytes(), size[0], colours[:COLOURS], cell, most)
    return tiles, heads


def _png(page: EngravedPage) -> bytes:
    """Draw a page; nothing on it needs a font."""
    return resvg_py.svg_to_bytes(svg_string=page.text(), skip_system_fonts=True)


if __name__ == "__main__":
    main()
