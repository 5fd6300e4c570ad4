"""Draw the run as it is seen from a chair, at random moments, to be read by somebody.

Run as ``python -m tests.benchmarks.glance FOLDER``; see ``--help``.  A quick etude is
played by a clock that is moved by hand, and each moment (every second one shortly
before a breath) is drawn as 20/20 eyes see it at 1.5 m on a screen of 14 inches, and
then at a quarter of its size.  Sheets of six stand in the folder beside the truth:
read the sheets first, write down countdown, bar, kind of breath, and whether the air
is above half, and only then look at the truth.
"""

from __future__ import annotations

import argparse
import asyncio
import csv
import io
import math
import os
import random
import re
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import resvg_py
from PIL import Image, ImageDraw, ImageFilter

from coach.config import shipped
from coach.edges.scores.score_files import read_part
from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.run.gauge import Glance
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.run.countdown import Countdown
from coach.wiring.player_planner import PlayerPlanner
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import go_to_run, play_until, press

LOOKS = ("colour", "none", "plain")
SCREEN_MM = 310.0
"""Width of a screen of 14 inches at 16 to 9: 14 x 25.4 x 16 / sqrt(16² + 9²)."""

AWAY_MM = 1500.0
PIXELS = 1920
"""Of such a screen, in a row."""

ARC_MINUTE = math.radians(1 / 60)
"""20/20 eyes tell apart what is one minute of arc apart: H. Snellen, 1862."""

SIGMAS_A_WIDTH = 2.355
"""A Gaussian is 2 sqrt(2 ln 2) sigmas wide at half its height."""

BEFORE_S = 4.0
"""How long before a breath is shortly."""

QUARTER = 4
ACROSS, DOWN = 2, 3
"""Pictures of one sheet."""

FONT = "DejaVu Sans Mono"
ORIGIN = re.compile(r'translate\((\d+), (\d+)\)" clip-path="url\(#[^)]*clip-terminal')
ROOM = re.compile(
    r'clip-terminal">\s*<rect x="0" y="0" width="([\d.]+)" height="(.*?)"'
)


@dataclass(frozen=True, slots=True)
class Moment:
    """What is true at a moment."""

    countdown: str
    what: str
    bar: int
    air: str
    percent: int


def main() -> None:
    """Draw and write down."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--size", default="80x24")
    parser.add_argument("--look", choices=LOOKS, default="colour")
    parser.add_argument("--moments", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--etude", default="long-river")
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    if given.look == "none":
        os.environ["NO_COLOR"] = "1"
    with TemporaryDirectory() as home:
        os.environ["COACH_HOME"] = home
        asyncio.run(draw(given))


async def draw(given: argparse.Namespace) -> None:
    """Play to each moment; keep what is seen then, and what is true."""
    part = read_part(shipped("etudes") / f"{given.etude}.musicxml")
    clock = ManualClock(Seconds(100.0))
    studio = PaperStudio([part], clock, PlayerPlanner())
    app = CoachApp(studio, is_plain=given.look == "plain")
    width, height = (int(side) for side in given.size.split("x"))
    seen, truth = [], []
    async with app.run_test(size=(width, height)) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        conductor = studio.conductors[0]
        track = conductor.track
        chance = random.Random(given.seed)
        breaths = conductor.plan.breaths.breaths
        times = [chance.uniform(track.starts, track.ends) for _ in range(given.moments)]
        for k in range(0, len(times), 2):
            times[k] = chance.choice(breaths).start - chance.uniform(-0.5, BEFORE_S)
        for time in sorted(times):
            await play_until(pilot, studio, clock, time)
            cue = app.screen.query_one(Countdown).cue
            number = "" if cue.number is None else str(cue.number)
            glance = conductor.glance()
            truth.append(_moment(number, " ".join(cue.words), glance))
            seen.append(from_the_chair(app.export_screenshot(title="")))
    order = list(range(len(seen)))
    chance.shuffle(order)
    for first in range(0, len(order), ACROSS * DOWN):
        put_together(
            [seen[k] for k in order[first : first + ACROSS * DOWN]], first
        ).save(given.folder / f"{given.size}-{given.look}-{first:02}.png")
    with (given.folder / f"truth-{given.size}-{given.look}.tsv").open("w") as file:
        table = csv.writer(file, delimiter="\t")
        table.writerows((n, *asdict(truth[k]).values()) for n, k in enumerate(order))


def _moment(countdown: str, what: str, glance: Glance) -> Moment:
    """Write down what is true."""
    return Moment(
        countdown,
        what,
        glance.bar,
        "above" if glance.air > 0.5 else "below",
        round(100 * glance.air),
    )


def from_the_chair(svg: str) -> Image.Image:
    """Draw a screen as it is seen from afar, at a quarter of its size."""
    left, top = (float(side) for side in _found(ORIGIN, svg))
    width, height = (float(side) for side in _found(ROOM, svg))
    zoom = PIXELS / width
    png = resvg_py.svg_to_bytes(
        svg_string=svg, zoom=zoom, font_family=FONT, monospace_family=FONT
    )
    whole = Image.open(io.BytesIO(bytes(png))).convert("RGB")
    scale = whole.width / float(_found(re.compile(r'viewBox="0 0 ([\d.]+) '), svg)[0])
    box = (left, top, left + width, top + height)
    screen = whole.crop(tuple(round(side * scale) for side in box))  # type: ignore[arg-type]
    spread = AWAY_MM * math.tan(ARC_MINUTE) / SIGMAS_A_WIDTH / SCREEN_MM * screen.width
    blurred = screen.filter(ImageFilter.GaussianBlur(spread))
    return blurred.resize((screen.width // QUARTER, screen.height // QUARTER))


def _found(pattern: re.Pattern[str], text: str) -> tuple[str, ...]:
    """Give what a pattern finds."""
    found = pattern.search(text)
    if found is None:
        raise SystemExit(f"The picture is of another form: no {pattern.pattern}.")
    return found.groups()


def put_together(pictures: list[Image.Image], first: int) -> Image.Image:
    """Put pictures on one sheet, each with its number."""
    width, height = pictures[0].width + 8, pictures[0].height + 20
    sheet = Image.new("RGB", (ACROSS * width, DOWN * height), "#806040")
    for k, picture in enumerate(pictures):
        x, y = k % ACROSS * width, k // ACROSS * height
        sheet.paste(picture, (x, y + 16))
        ImageDraw.Draw(sheet).text((x + 4, y + 2), f"no. {first + k}", "white")
    return sheet


if __name__ == "__main__":
    main()
