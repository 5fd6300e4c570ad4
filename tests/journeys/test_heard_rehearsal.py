"""A rehearsal that is heard, with real parts: engine, sound server, microphone, ear.

The line sounds along through the engine's own sound, so that its faults are known to
the sample.  The microphone hears it with the click.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.plain.plain_rehearsal import rehearse_plain
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import Click
from coach.rehearsal.outside import Outside
from coach.rehearsal.run.run import Run
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.tempo import Seconds
from coach.wiring.gear_check import calibrate
from coach.wiring.open_rehearsal import open_conductor, open_ear, wall_time
from coach.wiring.player_planner import PlayerPlanner
from tests.faulty_engine import OFF_S, FaultyEngine, Spoil, longer, moved
from tests.hand_made import part_of
from tests.pulseaudio_stand import PulseServer

RUSHED = (
    "Bb2q D3e F3e Bb3q F3q G3e Eb3e C3e Eb3e D3q rq "
    "F3e G3e A3e Bb3e C4q A3q Bb3e G3e Eb3e C3e Bb2q rq"
)


def rush(notes: list[Click]) -> list[Click]:
    """Rush five notes, and leave one out."""
    early = moved(notes, range(4, 9), -OFF_S)
    return [note for k, note in enumerate(early) if k != 13]


OUT_OF_AIR = (
    "Bb2q D3e F3e Bb3e F3e G3e Eb3e C3e Eb3e D3q F3q rq "
    "F3e G3e A3e Bb3e C4q A3q Bb3e G3e Eb3e C3e Bb2h, "
    "D3e Eb3e F3e G3e A3q F3q G3e F3e Eb3e D3e C3h, "
    "Eb3e F3e G3e A3e Bb3q G3q F3e Eb3e D3e C3e Bb2h"
)


LATE_S = 0.15


def run_out_of_air(notes: list[Click]) -> list[Click]:
    """Drag, miss a partial, come late after a breath, miss the next one, run out."""
    notes = moved(notes, range(2, 7), OFF_S)
    notes[15] = replace(notes[15], key=notes[15].key + 5)
    late = replace(notes[22], due=Seconds(notes[22].due + LATE_S))
    notes[22] = longer(late, -LATE_S)
    notes[32] = replace(notes[32], length=Seconds(notes[33].due - notes[32].due))
    fading = range(33, len(notes))
    for k, share in zip(fading, np.linspace(1.0, 0.3, len(fading)), strict=True):
        notes[k] = replace(notes[k], velocity=round(share * notes[k].velocity))
    notes[-1] = replace(notes[-1], length=Seconds(notes[-1].length / 3))
    return notes


@pytest.mark.parametrize(
    ("line", "spoil", "marks"),
    [
        (RUSHED, rush, [("rushed", 1, 4.0, -OFF_S), ("missed", 3, 2.0, None)]),
        (
            OUT_OF_AIR,
            run_out_of_air,
            [
                ("dragged", 1, 2.0, OFF_S),
                ("missed", 3, 3.0, None),
                ("late-after-breath", 5, 1.0, LATE_S),
                ("missed-breath", 6, 4.0, None),
                ("ran-out", 8, 3.0, None),
            ],
        ),
    ],
    ids=["rushed", "out of air"],
)
def test_known_faults_are_in_the_log_as_the_microphone_heard_them(
    home: Path,
    pulse: PulseServer,
    line: str,
    spoil: Spoil,
    marks: list[tuple[str, int, float, float | None]],
) -> None:
    assert home.is_dir()
    assert pulse.is_ready()
    run, said = rehearse(line, spoil)
    heard = [(mark.kind, mark.bar, mark.beat) for mark in run.marks]
    assert heard == [tuple(mark[:3]) for mark in marks], said
    assert {mark.by for mark in run.marks} == {"microphone"}
    amounts = [mark.amount for mark in run.marks]
    assert amounts == [by and pytest.approx(by, abs=0.02) for *_, by in marks]


def rehearse(line: str, spoil: Spoil) -> tuple[Run, list[str]]:
    """Rehearse a line once with its faults; give the run, and what was said."""
    engine, clock = FaultyEngine(spoil), SystemClock()
    with suppress(GearError):  # on a busy machine the count-in must do
        calibrate(engine)
    engine.is_faulty = True
    part = part_of(line, bpm=100)
    said: list[str] = []
    ear = open_ear(engine)
    wishes = RunWishes(100, 1, len(part.bars), ClickWishes(guide=True), listens=True)
    try:
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
            (run,) = log.list_runs()
    finally:
        ear.close()
        engine.close(5.0)
    print("\n".join(said))
    assert code == 0
    return run, said
