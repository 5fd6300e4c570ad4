"""A rehearsal on screen that is heard, with real parts from the score file to the log.

The engine plays the line along with faults known to the sample, through a real sound
server into its real microphone; what stands on the strip and in the log is held to
them.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from coach.rehearsal.click.clicks import Click
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.take_book import LISTENING
from coach.screens.after.after_screen import AfterScreen
from coach.screens.app import CoachApp
from coach.screens.run.run_screen import RunScreen
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.widgets.text_lines import Words
from coach.wiring.studio import studio_open
from coach.wiring.studio.real_studio import RealStudio
from tests.faulty_engine import OFF_S, FaultyEngine, moved
from tests.pulseaudio_stand import PulseServer
from tests.screens.playing import text_in, wait_for

TUNE = """X:1
T:Heard on screen
M:4/4
L:1/8
Q:1/4=110
K:Bb clef=bass
B,,2 D, F, B,2 F,2 | G, E, C, E, D,2 z2 | F, G, A, B, C2 A,2 |]
"""
EARLY = range(4, 9)
LEFT_OUT = 13


def spoil(notes: list[Click]) -> list[Click]:
    """Rush some notes, and leave one out."""
    early = moved(notes, EARLY, -OFF_S)
    return [note for k, note in enumerate(early) if k != LEFT_OUT]


FAULTS = [(MarkKind.RUSHED, 1, 4.0), (MarkKind.MISSED, 3, 2.0)]
"""Which marks these are worth, at which bar and beat."""

STAND_AT = [3.0, 9.5]
"""Under which notes they stand, in quarter notes: the fifth and the fourteenth."""


@pytest.fixture
def studio(
    home: Path, pulse: PulseServer, monkeypatch: pytest.MonkeyPatch
) -> Iterator[RealStudio]:
    """Give all that the screens need, real, but for the faults of the engine."""
    assert pulse.is_ready()
    (home / "heard.abc").write_text(TUNE, encoding="utf-8")
    engine = FaultyEngine(spoil)
    engine.is_faulty = True
    monkeypatch.setattr(studio_open, "open_player", lambda *_, **__: engine)
    asked = argparse.Namespace(
        etude="heard.abc", bars=(1, 3), tempo=110, listen=True, silent=False
    )
    studio = RealStudio(asked)
    seen = replace(studio.read_memory(), is_set_up=True, has_seen_cautions=True)
    studio.save_memory(replace(seen, has_seen_legend=True))
    yield studio
    studio.close()
    engine.close(5.0)


async def play(pilot: Pilot[Any]) -> AfterScreen:
    """Play the run with the line sounding along; wait for what was heard of it."""
    app = pilot.app
    await wait_for(pilot, lambda: isinstance(app.screen, RunScreen))
    await wait_for(pilot, lambda: app.screen.query(StaffStrip))
    await pilot.press("u", "space")
    await wait_for(pilot, lambda: isinstance(app.screen, AfterScreen))
    screen = app.screen
    assert isinstance(screen, AfterScreen)

    def is_heard() -> bool:
        told = " ".join(words.text for words in screen.query(Words))
        return bool(told) and LISTENING not in told

    await wait_for(pilot, is_heard)
    return screen


def cells_of(strip: StaffStrip, sign: str) -> list[tuple[int, int]]:
    """Find the cells in which a sign stands on the strip."""
    rows = range(strip.sheet.height)
    return [
        (x, y)
        for y in rows
        for x, cell in enumerate(strip.sheet.text(y))
        if cell == sign
    ]


def cell_under(strip: StaffStrip, beats: float) -> tuple[int, int]:
    """Give the cell of the playhead's row under a beat of the page."""
    assert strip._rows is not None
    assert strip._rows.pointer is not None
    for window, line in zip(strip._windows, strip._lines, strict=False):
        if float(line.start) <= beats < float(line.end):
            return window.x + line.x_at(beats), window.y + strip._rows.pointer
    raise AssertionError(f"quarter note {beats} is not on the strip")


async def test_the_faults_that_were_played_stand_on_the_strip_and_in_the_log(
    studio: RealStudio, home: Path
) -> None:
    app = CoachApp(studio, open_path=str(home / "heard.abc"))
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await play(pilot)
        seen = screen.query_one(Words).text
        strip = screen.query_one(StaffStrip)
        print(seen, text_in(strip), sep="\n")
        for (kind, _, _), beats in zip(FAULTS, STAND_AT, strict=True):
            under = cell_under(strip, beats)
            assert cells_of(strip, mark_sign(strip.signs, kind)) == [under], seen
        for kind in set(MarkKind) - {kind for kind, _, _ in FAULTS}:
            assert f"{kind.words} at" not in seen
        await pilot.press("p")
        stood = cells_of(strip, strip.signs.playhead)
        await wait_for(pilot, lambda: cells_of(strip, strip.signs.playhead) > stood)
        await pilot.press("Y", "escape")
        await wait_for(pilot, lambda: isinstance(app.screen, RunScreen))
        (run,) = studio.log.list_runs()
    marks = [(mark.kind, mark.bar, mark.beat, mark.by) for mark in run.marks]
    assert marks == [(*fault, "microphone") for fault in FAULTS], seen
    assert run.marks[0].amount == pytest.approx(-OFF_S, abs=0.02)
    assert run.is_clean is False
