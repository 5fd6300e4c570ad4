"""Real MIDI ports: what there is, opened by name, gone and back."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from itertools import pairwise
from typing import IO, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.edges.midi.in_child.midi_ports import (
    ArrivalStamps,
    MidiPorts,
    MidiSystem,
)
from coach.edges.midi.port_names import find_name, plain_name
from coach.errors import GearError
from tests.jack_stand import Gear, JackServer, wait_until

CLICK = bytes((0x99, 76, 100))


@pytest.fixture
def ports(jack: JackServer) -> Iterator[MidiPorts]:
    """Look at the MIDI systems of this machine, JACK among them."""
    assert jack.process.poll() is None
    looked = MidiPorts()
    yield looked
    looked.close()


def found(ports: MidiPorts, name: str) -> MidiSystem:
    """Look until a port is there, as the coach does, and give its system.

    A busy server may refuse a client, and names a port some time after it was made.
    """
    known: dict[str, MidiSystem] = {}

    def is_there() -> bool:
        if name not in known:
            ports.look_again()
            known.update({**ports.outs(), **ports.ins()})
        return name in known

    wait_until(is_there, says=lambda: f"{name} is not among {[*known]}")
    return known[name]


def test_a_synth_is_found_by_name_and_plays_what_is_sent(
    ports: MidiPorts, gear: Gear
) -> None:
    port = found(ports, gear.port).open_out(gear.port)
    for key in range(60, 90):
        port.send(bytes((0x90, key, 1)))
    port.send(CLICK)
    heard = gear.wait_for(CLICK)
    assert [h.message[1] for h in heard[:-1]] == list(range(60, 90))
    port.close()
    port.send(CLICK)
    assert len(gear.heard) == 31


def test_a_port_that_is_not_there_is_named_with_those_that_are(
    ports: MidiPorts, gear: Gear
) -> None:
    system = found(ports, gear.port)
    with pytest.raises(GearError, match=r"“nowhere” is not there.*synth:in"):
        system.open_out("nowhere")


def test_a_second_port_cannot_be_opened_beside_the_first(
    ports: MidiPorts, gear: Gear
) -> None:
    system = found(ports, gear.port)
    port = system.open_out(gear.port)
    with pytest.raises(GearError, match="cannot be opened"):
        system.open_out(gear.port)
    port.close()


def test_an_unplugged_synth_is_not_listed_any_more_and_comes_back(
    ports: MidiPorts, gear: Gear
) -> None:
    port = found(ports, gear.port).open_out(gear.port)
    gear.unplug()
    wait_until(lambda: gear.port not in ports.outs())
    port.close()
    gear.plug()
    wait_until(lambda: gear.port in ports.outs())
    found(ports, gear.port).open_out(gear.port).send(CLICK)
    gear.wait_for(CLICK)


def test_a_pedal_is_stamped_when_it_was_pressed(
    ports: MidiPorts, gear: Gear, jack: JackServer
) -> None:
    """JACK hands messages over once a period, so a stamp may be that much later."""
    heard: list[tuple[bytes, float]] = []
    source = found(ports, gear.pedal).open_in(
        gear.pedal, lambda message, at: heard.append((message, at))
    )
    pressed = []
    for value in range(20):
        pressed.append(gear.send(0xB0, 64, value))
        wait_until(lambda: len(heard) == len(pressed))
    source.close()
    gear.send(0xB0, 64, 127)
    assert [message[2] for message, _ in heard] == list(range(20))
    late = [at - time_pressed for (_, at), time_pressed in zip(heard, pressed)]  # noqa: B905
    assert min(late) > -0.002
    assert sorted(late)[len(late) // 2] < 2 * jack.period_s + 0.02
    assert time.monotonic() > heard[-1][1]


def test_two_inputs_are_listened_to_at_once(ports: MidiPorts, gear: Gear) -> None:
    heard: list[bytes] = []
    system = found(ports, gear.pedal)
    listening = [
        system.open_in(gear.pedal, lambda message, _: heard.append(message))
        for _ in range(2)
    ]
    gear.send(0xB0, 64, 127)
    wait_until(lambda: len(heard) == 2)
    for source in listening:
        source.close()


def test_our_own_ports_are_not_listened_to(ports: MidiPorts, gear: Gear) -> None:
    port = found(ports, gear.port).open_out(gear.port)
    assert not [name for name in ports.ins() if name.startswith("coach")]
    port.close()


def test_a_server_that_dies_is_noticed_and_found_again() -> None:
    """Its library answers from memory, so it must be found out some other way."""
    server = JackServer()
    ask = (
        "import sys, rtmidi\n"
        "from coach.edges.midi.in_child.midi_ports import MidiPorts\n"
        "ports = MidiPorts()\n"
        "print([s.api for s in ports.systems], flush=True)\n"
        "for _ in sys.stdin:\n"
        "    dead = [s.api for s in ports.drop_dead()]\n"
        "    ports.look_again()\n"
        "    print(dead, [s.api for s in ports.systems], flush=True)\n"
        "ports.close()\nimport os; os._exit(0)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", ask],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, **server.environment},
    ) as process:
        asked = cast(IO[str], process.stdin)
        answers = cast(IO[str], process.stdout)

        def look() -> str:
            asked.write("\n")
            asked.flush()
            return answers.readline().strip()

        jack_api = answers.readline().strip()
        assert "3" in jack_api, "RtMidi's number of JACK"
        assert look() == f"[] {jack_api}"
        server.kill()
        assert look().startswith("[3] ")
        server.start()
        assert look().endswith(jack_api)
        assert look() == f"[] {jack_api}"
        asked.close()
    server.stop()


def test_without_a_jack_server_there_is_no_jack(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rtmidi = pytest.importorskip("rtmidi", reason="There is no python-rtmidi here.")
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "nobody")
    monkeypatch.setenv("JACK_NO_START_SERVER", "1")
    with pytest.raises(GearError, match="JACK server not running"):
        MidiSystem(rtmidi.API_UNIX_JACK)


def test_a_python_without_midi_says_what_to_install() -> None:
    ask = (
        "import sys; sys.modules['rtmidi'] = None\n"
        "from coach.edges.midi.in_child.midi_ports import MidiPorts\n"
        "ports = MidiPorts(); print(ports.remark, ports.outs(), ports.ins())\n"
    )
    result = subprocess.run(
        [sys.executable, "-c", ask], capture_output=True, text=True, check=True
    )
    assert "install python-rtmidi" in result.stdout
    assert result.stdout.endswith("{} {}\n")


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("Pedal:Pedal MIDI 1 20:0", "Pedal:Pedal MIDI 1"),
        ("synth:in", "synth:in"),
        ("Synth 128:0 ", "Synth 128:0 "),
    ],
)
def test_numbers_that_change_with_every_plug_are_left_out(
    name: str, plain: str
) -> None:
    """ALSA ends the name of a port in its client and port number."""
    assert plain_name(name) == plain


def test_a_port_is_found_by_its_name_before_a_part_of_it() -> None:
    names = ["Big Synth", "Synth"]
    assert find_name("Synth", names) == "Synth"
    assert find_name("big", names) == "Big Synth"
    assert find_name("horn", names) is None
    assert find_name("", names) is None


class HandClock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.time = 0.0

    def __call__(self) -> float:
        return self.time


delays = st.floats(0.0, 0.05)


@given(
    st.lists(st.tuples(st.floats(0.001, 5.0), delays), min_size=1, max_size=60),
    st.floats(0.0, 1000.0),
)
def test_stamps_are_never_late_by_more_than_the_smallest_hand_over(
    arrivals: list[tuple[float, float]], start: float
) -> None:
    """A driver stamps at arrival and hands over later; only the latter is delayed."""
    clock = HandClock()
    stamps = ArrivalStamps(clock)
    time_arrived, given_stamps, truth, smallest = start, [], [], 1.0
    for k, (step, delay) in enumerate(arrivals):
        time_arrived += step
        clock.time = time_arrived + delay
        smallest = min(smallest, delay)
        given_stamps.append(stamps.stamp(step if k else 0.0))
        truth.append(time_arrived)
        if k < 32:
            assert given_stamps[-1] - truth[-1] == pytest.approx(smallest, abs=1e-6)
        assert given_stamps[-1] - truth[-1] <= delay + 1e-6


def test_stamps_follow_when_the_drivers_clock_has_slipped() -> None:
    """As when a machine slept: the old relation of the clocks must not stay."""
    clock = HandClock()
    stamps = ArrivalStamps(clock)
    clock.time = 10.0
    assert stamps.stamp(0.0) == 10.0
    clock.time = 50.0
    assert stamps.stamp(1.0) == 50.0


def test_steps_between_stamps_are_those_of_the_driver() -> None:
    clock = HandClock()
    stamps = ArrivalStamps(clock)
    made = []
    for k, delay in enumerate((0.001, 0.009, 0.004, 0.002)):
        clock.time = k + delay
        made.append(stamps.stamp(1.0 if k else 0.0))
    assert [b - a for a, b in pairwise(made)] == pytest.approx([1.0] * 3)
    assert made[0] == 0.001
