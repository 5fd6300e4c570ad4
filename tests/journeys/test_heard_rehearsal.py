"""A rehearsal that is heard, with real parts: engine, sound server, microphone, ear.

The line sounds along through the engine's own sound, so that its faults are known to
the sample: some notes early, one left out.  The microphone hears it with the click.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.plain.plain_rehearsal import rehearse_plain
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.outside import Outside
from coach.rehearsal.stand.wishes import RunWishes
from coach.wiring.gear_check import calibrate
from coach.wiring.open_rehearsal import open_conductor, open_ear, wall_time
from coach.wiring.player_planner import PlayerPlanner
from tests.faulty_engine import EARLY_S, FaultyEngine
from tests.hand_made import part_of
from tests.pulseaudio_stand import PulseServer

LINE = (
    "Bb2q D3e F3e Bb3q F3q G3e Eb3e C3e Eb3e D3q rq "
    "F3e G3e A3e Bb3e C4q A3q Bb3e G3e Eb3e C3e Bb2q rq"
)
EARLY = range(4, 9)
LEFT_OUT = 13


@pytest.fixture
def engine(home: Path, pulse: PulseServer) -> Iterator[FaultyEngine]:
    """Run an engine on the sound server, in a home of its own."""
    assert home.is_dir()
    assert pulse.is_ready()
    link = FaultyEngine(EARLY, LEFT_OUT)
    yield link
    link.close(5.0)


def test_known_faults_are_in_the_log_as_the_microphone_heard_them(
    engine: FaultyEngine,
) -> None:
    with suppress(GearError):  # on a busy machine the count-in must do
        calibrate(engine)
    engine.is_faulty = True
    part = part_of(LINE, bpm=100)
    clock = SystemClock()
    said: list[str] = []
    ear = open_ear(engine)
    wishes = RunWishes(100, 1, 4, ClickWishes(guide=True), listens=True)
    with RunLogFile(IN_MEMORY) as log:
        conductor = open_conductor(
            part,
            PlayerPlanner(log=log),
            Outside(engine, log, clock, wall_time, ear),
            wishes,
        )
        code = rehearse_plain(
            conductor, engine, clock, said.append, lambda _: "as heard"
        )
        ear.close()
        (run,) = log.list_runs()
    print("\n".join(said))
    assert code == 0
    assert [(mark.kind, mark.bar, mark.beat, mark.by) for mark in run.marks] == [
        ("rushed", 1, 4.0, "microphone"),
        ("missed", 3, 2.0, "microphone"),
    ], said
    assert run.marks[0].amount == pytest.approx(-EARLY_S, abs=0.02)
