"""A run begins when its click can sound, whatever a driver does meanwhile."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.config import write_player_file
from coach.edges.engine.engine_link import EngineLink
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import (
    ClickAwaited,
    ClickSent,
    Fact,
    GearLost,
    TrackEnded,
)
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.score.tempo import Seconds
from tests.edges.conftest import PEDALS, OpenLink, engine_of
from tests.edges.engine.in_child.test_click_engine import (
    HELD,
    HELD_END,
    LONG_S,
    SOON_S,
    held,
    settle,
    stroke,
    told,
    track,
)
from tests.jack_stand import PATIENCE_S, Gear, wait_until

HELD_S = 3.0
"""Longer than an engine may leave questions open, and than a port is waited for."""

HOLDING_DRIVER = f"""
import ctypes
API_UNIX_JACK, API_RTMIDI_DUMMY = 2, 5
class RtMidiError(Exception): ...
def get_compiled_api(): return [API_UNIX_JACK]
class MidiIn:
    def __init__(self, api, name): self.hold()
    def hold(self): ...
    def get_ports(self): return ["synth"] if type(self) is MidiOut else []
    def open_port(self, number, name): ...
    def close_port(self): ...
    def delete(self): ...
class MidiOut(MidiIn):
    def hold(self): ctypes.PyDLL(None).usleep({int(HELD_S * 1e6)})
    def send_message(self, message): ...
"""
"""Waits in its constructor and holds the interpreter, as the real one does while a
server has not let its last client go."""


@pytest.fixture
def start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., EngineLink]:
    """Start an engine and do not wait for it."""
    monkeypatch.setenv("COACH_HOME", str(tmp_path))

    def start_one(facts: list[Fact], midi_out: str) -> EngineLink:
        link = EngineLink(GearChoice(midi_out, "any", "off", "", "", 0.0), PEDALS)
        link.listen(facts.append)
        return link

    return start_one


def counted_in(*dues: float, ends: float = LONG_S) -> ClickTrack:
    """Make a track with a count-in of two seconds."""
    clicks = tuple(stroke(due) for due in dues)
    return ClickTrack(clicks, Seconds(-2.0), Seconds(ends))


def test_a_driver_that_holds_the_interpreter_holds_neither_clicks_nor_answers(
    start: Callable[..., EngineLink], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "rtmidi.py").write_text(HOLDING_DRIVER, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    facts: list[Fact] = []
    link = start(facts, "synth")
    link.play(track(*(stroke(k / 10) for k in range(300)), ends=30.0))
    wait_until(lambda: told(facts, ClickSent))
    wait_until(
        lambda: any(isinstance(fact, ClickSent) and fact.is_heard for fact in facts)
    )
    sent = [fact for fact in facts if isinstance(fact, ClickSent)]
    assert sum(not fact.is_heard for fact in sent) > 5, "the driver held nothing"
    assert max(fact.sent - fact.due for fact in sent) < 0.2
    assert not told(facts, GearLost)
    link.close(PATIENCE_S)


def test_a_track_waits_for_its_click_and_says_so(
    start: Callable[..., EngineLink], gear: Gear
) -> None:
    facts: list[Fact] = []
    link = start(facts, gear.port)
    link.play(counted_in(-2.0, 0.0))
    time_waiting = link.run_time()
    assert time_waiting is not None
    assert time_waiting < -2.0
    gear.wait_for(bytes((0x99, 76, 100)))
    wait_until(lambda: len(told(facts, ClickAwaited)) == 2)
    words = [fact.message for fact in facts if isinstance(fact, ClickAwaited)]
    assert "waits for it" in words[0]
    assert words[1] == ""
    link.close(PATIENCE_S)


def test_a_track_that_has_waited_for_long_enough_begins_by_the_beat_on_screen(
    start: Callable[..., EngineLink], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "rtmidi.py").write_text(HOLDING_DRIVER, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    write_player_file({"click": {"start": {"click_within_s": 0.05}}})
    facts: list[Fact] = []
    link = start(facts, "synth")
    link.play(track(stroke(0.0), ends=0.1))
    wait_until(lambda: told(facts, TrackEnded))
    assert "watch the beat" in str(told(facts, ClickAwaited)[-1])
    assert [f.is_heard for f in facts if isinstance(f, ClickSent)] == [False]
    link.close(PATIENCE_S)


def test_a_run_whose_engine_dies_in_the_count_in_is_begun_anew_by_itself(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(counted_in(-2.0, -1.0, 0.0))
    gear.wait_for(bytes((0x99, 76, 100)))
    gear.forget()
    os.kill(engine_of(link), signal.SIGKILL)
    wait_until(lambda: told(facts, GearLost))
    time_waiting = link.run_time()
    assert time_waiting is not None
    assert time_waiting < -2.0
    gear.wait_for(bytes((0x99, 76, 100)), count=3)
    assert link.run_time() is not None


def test_a_carrier_that_dies_is_missed_and_its_port_opened_again(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(held(0.0, 60.0), *(stroke(k / 5) for k in range(300)), ends=60.0))
    gear.wait_for(HELD)
    engine = engine_of(link)
    os.kill(child_of(engine, "carrier_child"), signal.SIGKILL)
    wait_until(lambda: told(facts, GearLost))
    gear.forget()
    gear.wait_for(bytes((0x99, 76, 100)))
    assert engine_of(link) == engine


def test_an_engine_that_is_killed_leaves_its_carrier_time_to_end_the_notes(
    open_link: OpenLink, gear: Gear
) -> None:
    link, _ = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(held(0.0, LONG_S), ends=LONG_S))
    gear.wait_for(HELD)
    killed = time.monotonic()
    os.kill(engine_of(link), signal.SIGKILL)
    heard = gear.wait_for(HELD_END)
    ended = next(h for h in heard if h.message == HELD_END)
    assert ended.at - killed < SOON_S


def test_a_watch_that_dies_is_started_anew(open_link: OpenLink, gear: Gear) -> None:
    link, facts = open_link(midi_out=gear.port)
    os.kill(child_of(engine_of(link), "watch_child"), signal.SIGKILL)
    wait_until(lambda: told(facts, GearLost))
    wait_until(lambda: any(isinstance(f, GearLost) and f.is_back for f in facts))
    report = link.ask(PATIENCE_S)
    assert report is not None
    assert gear.port in report.midi_outs


def child_of(process: int, name: str) -> int:
    """Find a child of a process by what it runs."""
    tasks = Path(f"/proc/{process}/task").glob("*/children")
    for child in " ".join(task.read_text() for task in tasks).split():
        if name in Path(f"/proc/{child}/cmdline").read_text():
            return int(child)
    raise AssertionError(f"{process} has no child {name}")
