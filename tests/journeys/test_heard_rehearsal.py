"""A rehearsal that is heard, with real parts: engine, sound server, microphone, ear.

The line sounds along through the engine's own sound, so that its faults are known to
the sample: some notes early, one left out.  The microphone hears it with the click.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest

from coach.config import write_player_file
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_choice, read_pedals
from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.plain.plain_rehearsal import rehearse_plain
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import ClickTrack, SoundKind
from coach.rehearsal.outside import Outside
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.tempo import Seconds
from coach.wiring.gear_check import calibrate
from coach.wiring.open_rehearsal import open_conductor, open_ear, wall_time
from coach.wiring.player_planner import PlayerPlanner
from tests.hand_made import part_of
from tests.pulseaudio_stand import PulseServer

LINE = (
    "Bb2q D3e F3e Bb3q F3q G3e Eb3e C3e Eb3e D3q rq "
    "F3e G3e A3e Bb3e C4q A3q Bb3e G3e Eb3e C3e Bb2q rq"
)
EARLY, EARLY_S = range(4, 9), 0.09
LEFT_OUT = 13


def spoil(track: ClickTrack) -> ClickTrack:
    """Let the guide play some notes early and leave one out."""
    guide = [k for k, click in enumerate(track.clicks) if click.kind is SoundKind.GUIDE]
    clicks = list(track.clicks)
    for note in EARLY:
        due = Seconds(clicks[guide[note]].due - EARLY_S)
        clicks[guide[note]] = replace(clicks[guide[note]], due=due)
    before = guide[EARLY[0] - 1]
    clicks[before] = replace(
        clicks[before], length=Seconds(clicks[before].length - EARLY_S)
    )
    del clicks[guide[LEFT_OUT]]
    return replace(track, clicks=tuple(sorted(clicks, key=lambda click: click.due)))


class FaultyEngine(EngineLink):
    """Plays tracks with faults once it is told to."""

    is_faulty = False

    def play(self, track: ClickTrack) -> None:
        """Start a track, with its faults."""
        super().play(spoil(track) if self.is_faulty else track)


@pytest.fixture
def engine(home: Path, pulse: PulseServer) -> Iterator[FaultyEngine]:
    """Run an engine on the sound server, in a home of its own."""
    assert home.is_dir()
    assert pulse.is_ready()
    write_player_file({"sound": {"round_trip": {"clicks_count": 8, "apart_s": 0.25}}})
    link = FaultyEngine(replace(read_choice(), sound="on"), read_pedals())
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
