"""The picture of a run in the README: the real screens, over an etude of ours.

Run as ``uv run python -m tests.readme_picture``, and look at what it wrote.  The plan
is a real one; the clock is moved by hand, so the picture is the same each time.
"""

from __future__ import annotations

import asyncio
import os
import re
from pathlib import Path
from tempfile import TemporaryDirectory

from coach.config import shipped
from coach.edges.scores.score_files import read_part
from coach.rehearsal.gear.gear import ManualClock
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.wiring.player_planner import PlayerPlanner
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import go_to_run, play_until, press

ROOT = Path(__file__).parent.parent
PICTURE = ROOT / "docs" / "run.svg"
ETUDE = "long-river.musicxml"
SIZE = (100, 30)
BEFORE_BREATH_S = 2.2
"""The moment that is shown: a little before the first breath."""

FROM_ELSEWHERE = re.compile(r"@font-face \{.*?\}\s*|<!--.*?-->\s*", re.DOTALL)
"""Fonts that would be fetched, and a comment; whoever looks has a font of their own."""


async def draw() -> str:
    """Play to the moment that is shown; give the screen as SVG."""
    part = read_part(shipped("etudes") / ETUDE)
    clock = ManualClock(Seconds(100.0))
    studio = PaperStudio([part], clock, PlayerPlanner())
    app = CoachApp(studio)
    async with app.run_test(size=SIZE) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        breath = studio.conductors[0].plan.breaths.breaths[0]
        await play_until(pilot, studio, clock, breath.start - BEFORE_BREATH_S)
        return FROM_ELSEWHERE.sub("", app.export_screenshot(title="coach"))


def main() -> None:
    """Draw the picture into its file."""
    with TemporaryDirectory() as home:
        os.environ["COACH_HOME"] = home
        PICTURE.parent.mkdir(exist_ok=True)
        PICTURE.write_text(asyncio.run(draw()), encoding="utf-8")
    print(f"Look at {PICTURE.relative_to(ROOT)}.")


if __name__ == "__main__":
    main()
