"""``coach gear`` on a real sound server, and where nothing is there."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from coach.cli import main
from coach.config import read_player_file, write_player_file
from tests.pulseaudio_stand import PulseServer
from tests.system_packages import need_sound_library


@pytest.fixture(autouse=True)
def player_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    monkeypatch.setenv("JACK_NO_START_SERVER", "1")
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "nobody")


def gear(capsys: pytest.CaptureFixture[str], *options: str) -> dict[str, Any]:
    assert main(["gear", "--json", *options]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


@pytest.mark.usefixtures("pulse")
def test_gear_says_what_there_is_and_what_is_used(
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = gear(capsys)
    assert told["schema"] == 1
    assert "default" in told["sound_outs"]
    assert "default" in told["microphones"]
    assert told["chosen"]["sound"] == "auto"
    assert told["open"]["sound"] == "default"
    assert 0.0 < told["latency_s"] < 0.3
    assert told["scheduling"]
    assert any("MIDI" in missing for missing in told["missing"])


@pytest.mark.usefixtures("pulse")
def test_gear_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["gear"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Click: built-in sound on “default”, ")
    for word in ("MIDI out:", "Sound:", "Microphones:", "Pedal, mark:", "Engine:"):
        assert any(line.startswith(word) for line in lines), word


WHILE_PLAYING = (
    *("--follow", "off", "--stop-with-me", "off"),
    *("--loudness", "on", "--start-by", "knock"),
)


@pytest.mark.usefixtures("pulse")
def test_the_microphone_is_off_and_nothing_kept_until_the_player_says_so(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    told = gear(capsys)
    assert (told["listens"], told["keeps_takes"]) == (False, False)
    assert told["takes_folder"] == str(tmp_path / "takes")
    told = gear(capsys, "--listen", "on", "--keep-takes", "on")
    assert (told["listens"], told["keeps_takes"]) == (True, True)
    live = {"follows": True, "stops": True, "drives_gauge": False, "start_by": ""}
    assert told["while_playing"] == live
    told = gear(capsys, *WHILE_PLAYING)
    live = {"follows": False, "stops": False, "drives_gauge": True, "start_by": "knock"}
    assert told["while_playing"] == live
    take = tmp_path / "takes" / "run-1.wav"
    take.parent.mkdir()
    take.write_bytes(bytes(2_500_000))
    assert main(["gear", "--listen", "off"]) == 0
    there = f"1 take, 2.5 MB, in {take.parent}"
    words = f"Runs are heard: off; takes: kept, each one; {there}\n"
    told_in_words = capsys.readouterr().out
    assert words in told_in_words
    assert (
        "While you play: follow breaths off, stop with you off, "
        "loudness moves the gauge on; start by: knock" in told_in_words
    )
    assert main(["gear", "--throw-takes-away"]) == 0
    thrown = capsys.readouterr()
    assert thrown.err == "1 take, 2.5 MB, thrown away.\n"
    assert main(["gear", "--throw-takes-away"]) == 0
    assert capsys.readouterr().err == "No take is kept.\n"
    assert "Runs are heard: off; takes: kept, each one\n" in thrown.out
    assert not take.exists()
    write_player_file({"recordings": {"live": {"start_by": "clap"}}})
    assert main(["gear"]) == 1
    assert "“clap” begins no run" in capsys.readouterr().err


@pytest.mark.usefixtures("pulse")
def test_a_self_test_tells_lateness(capsys: pytest.CaptureFixture[str]) -> None:
    """One bar of eighths here; how late they are is for the benchmarks to say."""
    short = {"bars_count": 1, "parts_of_beat_count": 2}
    write_player_file({"click": {"self_test": short}})
    told = gear(capsys, "--test")["test"]
    assert told["count"] == 8
    assert told["heard"] >= 6
    assert 0.0 <= told["median"] <= told["p99"] <= told["worst"]


@pytest.mark.usefixtures("pulse")
def test_a_calibration_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    """The monitor hears what the sink plays at once: the drivers' own error is left.

    On a busy machine that comes to some hundredths of a second.
    """
    few = {"clicks_count": 6, "apart_s": 0.25}
    write_player_file({"sound": {"round_trip": few}})
    told = gear(capsys, "--calibrate")["calibration"]
    assert told["heard"] >= 4
    assert abs(told["delay"]) < 0.1
    kept = read_player_file()["sound"]["round_trips"]
    assert [(line["output"], line["microphone"]) for line in kept] == [
        ("default", "default")
    ]


def test_without_any_gear_it_says_what_mends_it(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PULSE_SERVER", "unix:/nowhere/native")
    told = gear(capsys)
    assert told["sound_outs"] == []
    assert told["latency_s"] is None
    assert "the beat is shown" in told["click"]
    assert len(told["missing"]) == 2


def test_calibration_without_a_microphone_is_refused(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    need_sound_library()
    monkeypatch.setenv("PULSE_SERVER", "unix:/nowhere/native")
    assert main(["gear", "--calibrate"]) == 1
    assert "no microphone" in capsys.readouterr().err
    assert read_player_file() == {}


def test_gear_is_chosen_by_a_part_of_its_name(
    capsys: pytest.CaptureFixture[str], pulse: PulseServer
) -> None:
    assert pulse.is_ready()
    told = gear(capsys, "--sound-out", "puls", "--sound", "on", "--midi-in", "none")
    assert told["chosen"]["sound_out"] == "pulse"
    assert told["open"]["sound"] == "pulse"
    assert told["chosen"]["midi_in"] == ""
    assert read_player_file()["click"]["gear"]["sound"] == "on"
    again = gear(capsys, "--sound-out", "none", "--sound", "off")
    assert again["chosen"]["sound_out"] == ""
    assert again["click"].startswith("silent")


@pytest.mark.usefixtures("pulse")
def test_gear_that_is_not_there_is_refused_and_nothing_is_kept(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["gear", "--sound", "off", "--midi-out", "Organ"]) == 1
    told = capsys.readouterr().err
    assert "“Organ” is not there" in told
    assert "none" in told
    assert read_player_file() == {}
