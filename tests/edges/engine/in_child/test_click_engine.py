"""The engine as a process of its own, with real ports in a third process.

Times are gated coarsely here; the measures are in ``tests/benchmarks``.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from coach.config import write_player_file
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.gear.gear import (
    ClickSent,
    Fact,
    GearLost,
    NoteHeard,
    PedalLearned,
    PedalPressed,
    TrackEnded,
)
from coach.score.tempo import Seconds
from tests.edges.conftest import PEDALS, OpenLink, engine_of
from tests.hand_gear import SILENT
from tests.jack_stand import PATIENCE_S, ROOT, Gear, JackServer, wait_until

HELD = bytes((0x90, 46, 64))
HELD_END = bytes((0x80, 46, 0))
LAST_WORD = bytes((0xBF, 123, 0))
"""All notes off on channel 16: the last message of a silence on all channels."""

COARSE_S = 0.25
"""So late may clicks be on a busy machine; the measures say what a quiet one does."""

SOON_S = 20.0
"""A bound for what is done at once, by processes that may have to wait for their turn;
what would not be done at all lasts far longer."""

ASKS_FOR_S = 1.5
LONG_S = 600.0


def stroke(due: float, key: int = 76) -> Click:
    """Make a stroke of percussion."""
    return Click(Seconds(due), Seconds(0.02), SoundKind.BEAT, 9, key, 100)


def held(due: float, length: float) -> Click:
    """Make a guide note."""
    return Click(Seconds(due), Seconds(length), SoundKind.GUIDE, 0, 46, 64)


def track(*clicks: Click, ends: float = 1.0) -> ClickTrack:
    """Make a track that starts at 0."""
    return ClickTrack(clicks, Seconds(0.0), Seconds(ends))


def told(facts: list[Fact], kind: type) -> list[Fact]:
    """Give the facts of a kind."""
    return [fact for fact in list(facts) if isinstance(fact, kind)]


def settle(gear: Gear) -> None:
    """Wait for the silence that an engine sends on opening, and forget it."""
    gear.wait_for(LAST_WORD)
    gear.forget()


def test_a_track_is_played_in_order_and_on_time(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    assert link.says == f"MIDI port “{gear.port}”"
    settle(gear)
    clicks = [stroke(k / 20, key=40 + k) for k in range(20)]
    link.play(track(*clicks))
    wait_until(lambda: told(facts, TrackEnded))
    heard = gear.wait_for(bytes((0x89, 59, 0)))
    strokes = [h for h in heard if h.message[0] == 0x99]
    assert [h.message[1] for h in strokes] == list(range(40, 60))
    steps = [after.at - before.at for before, after in pairwise(strokes)]
    assert sum(steps) == pytest.approx(19 / 20, abs=COARSE_S)
    assert gear.hanging() == set()
    sent = told(facts, ClickSent)
    assert [fact.due for fact in sent] == [click.due for click in clicks]  # type: ignore[union-attr]
    ended = told(facts, TrackEnded)[0]
    assert isinstance(ended, TrackEnded)
    assert ended.sent == 20
    assert 0 <= ended.worst_late < COARSE_S
    assert len(link.lateness(20.0)) == 20


def test_run_time_is_what_is_heard_and_none_when_nothing_plays(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    assert link.run_time() is None
    link.play(ClickTrack((stroke(0.3),), Seconds(-0.1), Seconds(2.3)))
    run_time = link.run_time()
    assert run_time is not None
    assert run_time < -0.1
    heard = gear.wait_for(bytes((0x99, 76, 100)))
    now, run_time = time.monotonic(), link.run_time()
    assert run_time is not None
    assert run_time - 0.3 == pytest.approx(now - heard[-1].at, abs=COARSE_S)
    wait_until(lambda: told(facts, TrackEnded))
    assert link.run_time() is None


def test_a_stop_silences_at_once_and_tells_no_end(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(held(0.0, LONG_S), ends=LONG_S))
    gear.wait_for(HELD)
    began = time.monotonic()
    link.stop()
    assert link.run_time() is None
    heard = gear.wait_for(HELD_END)
    assert heard[-1].at - began < SOON_S
    assert gear.hanging() == set()
    assert told(facts, TrackEnded) == []


def test_a_changed_track_goes_on_in_the_same_time(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(*(stroke(k / 10) for k in range(10))))
    wait_until(lambda: len(told(facts, ClickSent)) >= 3)
    link.change(track(*(stroke(k / 10, key=50) for k in range(10))))
    wait_until(lambda: told(facts, TrackEnded))
    sent = [float(fact.due) for fact in facts if isinstance(fact, ClickSent)]
    assert sent == pytest.approx([k / 10 for k in range(10)])
    heard = [h.message[1] for h in gear.heard if h.message[0] == 0x99]
    assert sorted(heard, reverse=True) == heard
    assert set(heard) == {76, 50}


def test_without_gear_the_beat_is_told_and_nothing_is_heard(
    open_link: OpenLink, jack: JackServer
) -> None:
    assert jack.process.poll() is None
    link, facts = open_link()
    assert "silent" in link.says
    link.play(track(stroke(0.0), ends=0.1))
    wait_until(lambda: told(facts, TrackEnded))
    assert [f.is_heard for f in facts if isinstance(f, ClickSent)] == [False]
    report = link.ask(PATIENCE_S)
    assert report is not None
    assert report.midi_out == ""
    assert "priority" in report.scheduling


def test_a_pedal_marks_and_a_wind_controller_is_heard(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    report = link.ask(PATIENCE_S)
    assert report is not None
    assert report.listened == (gear.pedal,)
    gear.send(0xB0, 64, 127)
    gear.send(0x90, 58, 80)
    gear.send(0x90, 36, 80)
    wait_until(lambda: len(told(facts, PedalPressed)) >= 2)
    assert [type(fact) for fact in facts if not isinstance(fact, GearLost)][-3:] == [
        PedalPressed,
        NoteHeard,
        PedalPressed,
    ]
    actions = [fact.action for fact in facts if isinstance(fact, PedalPressed)]
    assert actions == ["mark", "again"]


def test_a_press_during_a_run_is_stamped_in_run_time(
    open_link: OpenLink, gear: Gear, jack: JackServer
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(stroke(0.0), ends=LONG_S))
    wait_until(lambda: told(facts, ClickSent))
    pressed = gear.send(0xB0, 64, 127)
    wait_until(lambda: told(facts, PedalPressed))
    now, run_time = time.monotonic(), link.run_time()
    assert run_time is not None
    press = told(facts, PedalPressed)[0]
    assert isinstance(press, PedalPressed)
    expected = run_time - (now - pressed)
    assert press.at == pytest.approx(expected, abs=jack.period_s + COARSE_S)


def test_the_next_press_is_learned(open_link: OpenLink, gear: Gear) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.learn("breathed")
    report = link.ask(PATIENCE_S)
    assert report is not None
    gear.send(0xC1, 7)
    wait_until(lambda: told(facts, PedalLearned))
    assert told(facts, PedalLearned) == [
        PedalLearned("breathed", "program 7 channel 2")
    ]
    gear.send(0xC1, 7)
    wait_until(lambda: told(facts, PedalPressed))


def test_an_engine_that_is_killed_is_missed_at_once_and_leaves_no_note(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(held(0.0, LONG_S), ends=LONG_S))
    gear.wait_for(HELD)
    os.kill(engine_of(link), signal.SIGKILL)
    took = wait_until(lambda: told(facts, GearLost))
    assert took < SOON_S
    assert link.run_time() is None
    gear.wait_for(HELD_END)
    wait_until(lambda: any(isinstance(f, GearLost) and f.is_back for f in facts))
    gear.forget()
    link.play(track(stroke(0.0)))
    gear.wait_for(bytes((0x99, 76, 100)))


def test_an_engine_that_hangs_in_a_run_is_missed_soon(
    open_link: OpenLink, gear: Gear
) -> None:
    """Stopped, it neither ends nor answers; the next one ends its note."""
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(held(0.0, LONG_S), ends=LONG_S))
    gear.wait_for(HELD)
    hung = engine_of(link)
    os.kill(hung, signal.SIGSTOP)
    took = wait_until(lambda: told(facts, GearLost))
    assert took < SOON_S
    assert "does not answer" in str(told(facts, GearLost)[0])
    assert link.run_time() is None
    gear.wait_for(HELD_END)
    assert not is_running(hung)
    wait_until(lambda: any(isinstance(f, GearLost) and f.is_back for f in facts))
    gear.forget()
    link.play(track(stroke(0.0)))
    gear.wait_for(bytes((0x99, 76, 100)))


def test_a_track_asked_for_while_the_engine_hangs_is_played_by_the_next(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    os.kill(engine_of(link), signal.SIGSTOP)
    link.play(track(stroke(0.0), ends=LONG_S))
    gear.wait_for(bytes((0x99, 76, 100)))
    wait_until(lambda: len(told(facts, GearLost)) == 2)
    assert link.run_time() is not None


def test_an_engine_that_hangs_is_missed_by_who_asks_it(open_link: OpenLink) -> None:
    link, facts = open_link()
    os.kill(engine_of(link), signal.SIGSTOP)
    assert link.ask(ASKS_FOR_S) is None
    wait_until(lambda: any(isinstance(f, GearLost) and f.is_back for f in facts))
    assert link.ask(PATIENCE_S) is not None


STUCK_DRIVER = """
import threading
API_UNIX_JACK, API_RTMIDI_DUMMY = 2, 5
class RtMidiError(Exception): ...
def get_compiled_api(): return [API_UNIX_JACK]
class MidiIn:
    def __init__(self, api, name): ...
    def get_ports(self): return ["synth"] if type(self) is MidiOut else []
    def open_port(self, number, name): ...
    def close_port(self): ...
    def delete(self): ...
class MidiOut(MidiIn):
    def send_message(self, message):
        if message[0] == 0x99:
            threading.Event().wait()
"""


def test_a_port_whose_driver_does_not_come_back_is_let_go_and_the_run_goes_on(
    open_link: OpenLink, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "rtmidi.py").write_text(STUCK_DRIVER, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    link, facts = open_link(midi_out="synth")
    engine = engine_of(link)
    link.play(track(*(stroke(k / 5) for k in range(300)), ends=60.0))
    wait_until(lambda: told(facts, GearLost))
    assert "takes nothing any more" in str(told(facts, GearLost)[0])
    seen = len(told(facts, ClickSent))
    wait_until(lambda: len(told(facts, ClickSent)) > seen + 2)
    assert not any(isinstance(f, ClickSent) and f.is_heard for f in facts[-2:])
    assert engine_of(link) == engine
    assert is_running(engine)


NEVER_STARTS = """
import sys, threading
if "coach.edges.engine.in_child.engine_start" in sys.orig_argv:
    threading.Event().wait()
"""


def test_engines_that_hang_before_they_begin_are_given_up_in_words(
    open_link: OpenLink, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_player_file({"click": {"watchdog": {"starting_count": 10}}})
    link, facts = open_link()
    (tmp_path / "sitecustomize.py").write_text(NEVER_STARTS, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    os.kill(engine_of(link), signal.SIGKILL)
    link.play(track(stroke(0.0), ends=LONG_S))
    wait_until(lambda: "so there is no sound" in str(told(facts, GearLost)))
    assert link.run_time() is None
    monkeypatch.delenv("PYTHONPATH")
    link.play(track(stroke(0.0), ends=LONG_S))
    wait_until(lambda: told(facts, ClickSent))


def test_a_track_asked_for_while_the_engine_is_dead_is_played_by_the_next(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    os.kill(engine_of(link), signal.SIGKILL)
    link.play(track(stroke(0.0), ends=LONG_S))
    wait_until(lambda: told(facts, ClickSent))
    run_time = link.run_time()
    assert run_time is not None
    assert run_time > -1.0


def test_an_engine_that_is_told_to_end_ends_its_notes(
    open_link: OpenLink, gear: Gear
) -> None:
    link, _ = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(held(0.0, LONG_S), ends=LONG_S))
    gear.wait_for(HELD)
    os.kill(engine_of(link), signal.SIGTERM)
    heard = gear.wait_for(LAST_WORD)
    assert HELD_END in [h.message for h in heard]
    assert gear.hanging() == set()


def test_an_engine_with_nothing_to_do_ends_as_soon_as_it_is_told(
    open_link: OpenLink, gear: Gear
) -> None:
    """It sleeps for long then; a signal wakes it."""
    link, facts = open_link(midi_out=gear.port)
    os.kill(engine_of(link), signal.SIGTERM)
    took = wait_until(lambda: told(facts, GearLost))
    assert took < SOON_S


def test_an_engine_that_never_stays_alive_is_given_up_in_words(
    open_link: OpenLink,
) -> None:
    link, facts = open_link()

    def is_given_up() -> bool:
        lost = [fact for fact in facts if isinstance(fact, GearLost)]
        if any("does not start" in fact.message for fact in lost):
            return True
        try:
            os.kill(engine_of(link), signal.SIGKILL)
        except ProcessLookupError:
            return False
        return False

    wait_until(is_given_up)
    assert "stopped" in link.says
    assert link.run_time() is None
    link.play(track(stroke(0.0)))
    wait_until(lambda: told(facts, TrackEnded))


def test_a_python_without_midi_says_so_and_shows_the_beat(
    open_link: OpenLink, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "rtmidi.py").write_text("raise ImportError", encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    link, facts = open_link(midi_out="synth")
    assert "install python-rtmidi" in link.says
    link.play(track(stroke(0.0), ends=0.1))
    wait_until(lambda: told(facts, TrackEnded))


def test_a_port_that_is_not_there_is_told_and_the_beat_is_shown(
    open_link: OpenLink, jack: JackServer
) -> None:
    assert jack.process.poll() is None
    link, facts = open_link(midi_out="nowhere")
    assert link.says == (
        "silent, the beat is shown (The MIDI port “nowhere” is not there.)"
    )
    wait_until(lambda: told(facts, GearLost))
    link.play(track(stroke(0.0), ends=0.1))
    wait_until(lambda: told(facts, TrackEnded))


def test_what_libraries_write_goes_to_the_log_and_not_to_the_screen(
    open_link: OpenLink, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The MIDI libraries write to file descriptors 1 and 2 as they like."""
    (tmp_path / "rtmidi.py").write_text(
        "import os\nos.write(1, b'noise one\\n')\nos.write(2, b'noise two\\n')\n"
        "raise ImportError",
        encoding="utf-8",
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    link, _ = open_link(midi_out="synth")
    assert link.ask(PATIENCE_S) is not None
    log = (tmp_path / "engine.log").read_text(encoding="utf-8")
    assert "noise one" in log
    assert "noise two" in log


PLAY_AND_WAIT = """
import sys, time
from tests.edges.engine.in_child.test_click_engine import LONG_S, held, track
from tests.edges.conftest import PEDALS, engine_of
from coach.edges.engine.engine_link import EngineLink
from coach.rehearsal.gear.gear_choice import (GearChoice)
link = EngineLink(GearChoice(sys.argv[1], "", "off", "", "", 0.0), PEDALS)
assert link.wait_until_ready(60.0)
link.play(track(held(0.0, LONG_S), ends=LONG_S))
print(engine_of(link), flush=True)
time.sleep(600)
"""


def test_screens_that_are_killed_leave_no_note_and_no_engine(
    jack: JackServer, gear: Gear
) -> None:
    assert jack.process.poll() is None
    with subprocess.Popen(
        [sys.executable, "-c", PLAY_AND_WAIT, gear.port],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as screens:
        assert screens.stdout
        engine = int(screens.stdout.readline())
        gear.wait_for(HELD)
        killed = time.monotonic()
        screens.kill()
        heard = gear.wait_for(HELD_END)
        ended = next(h for h in heard if h.message == HELD_END)
        assert ended.at - killed < SOON_S
    wait_until(lambda: not is_running(engine))
    assert gear.hanging() == set()


def is_running(process: int) -> bool:
    """Tell whether a process is there and at work."""
    try:
        with open(f"/proc/{process}/stat", encoding="ascii") as stat:  # noqa: PTH123
            return stat.read().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def test_a_port_that_is_unplugged_is_missed_and_opened_again(
    open_link: OpenLink, gear: Gear
) -> None:
    link, facts = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(*(stroke(k / 10) for k in range(300)), ends=30.0))
    gear.wait_for(bytes((0x99, 76, 100)))
    gear.unplug()
    wait_until(lambda: told(facts, GearLost))
    lost = told(facts, GearLost)[0]
    assert isinstance(lost, GearLost)
    assert gear.port in lost.message
    gear.forget()
    gear.plug()
    took = wait_until(lambda: len(told(facts, GearLost)) == 2)
    assert took < SOON_S
    gear.wait_for(bytes((0x99, 76, 100)))
    assert link.run_time() is not None


@pytest.fixture
def own_jack(monkeypatch: pytest.MonkeyPatch) -> Iterator[JackServer]:
    """Run a server that a test may kill."""
    server = JackServer()
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    yield server
    server.stop()


def test_a_server_that_dies_is_missed_and_its_port_opened_when_it_is_back(
    own_jack: JackServer, open_link: OpenLink
) -> None:
    synth = Gear(own_jack, "other")
    link, facts = open_link(midi_out=synth.port)
    link.play(track(*(stroke(k / 10) for k in range(300)), ends=30.0))
    synth.wait_for(bytes((0x99, 76, 100)))
    own_jack.kill()
    wait_until(lambda: any("other:in" in str(fact) for fact in told(facts, GearLost)))
    synth.kill()
    own_jack.start()
    synth = Gear(own_jack, "other")
    took = wait_until(lambda: any(isinstance(f, GearLost) and f.is_back for f in facts))
    assert took < SOON_S
    synth.wait_for(bytes((0x99, 76, 100)))
    link.close()
    synth.close()


def test_other_gear_can_be_chosen_while_a_track_plays(
    open_link: OpenLink, gear: Gear, jack: JackServer
) -> None:
    other = Gear(jack, "other")
    link, _ = open_link(midi_out=gear.port)
    settle(gear)
    link.play(track(held(0.0, 60.0), *(stroke(k / 5) for k in range(300)), ends=60.0))
    gear.wait_for(HELD)
    link.choose(replace(SILENT, midi_out=other.port), PEDALS)
    other.wait_for(bytes((0x99, 76, 100)))
    gear.wait_for(HELD_END)
    assert gear.hanging() == set()
    link.close()
    wait_until(lambda: other.hanging() == set())
    other.close()


def test_the_screens_load_no_midi_or_sound_library() -> None:
    ask = (
        "import coach.edges.engine.engine_link, coach.edges.gear_file, sys\n"
        "heavy = ('mido', 'rtmidi', 'numpy', 'sounddevice', 'textual')\n"
        "print([name for name in heavy if name in sys.modules])"
    )
    result = subprocess.run(
        [sys.executable, "-c", ask], capture_output=True, text=True, check=True
    )
    assert result.stdout.strip() == "[]"
