"""Gear as the gear screen changes it; pedals learned from a real port."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from coach.config import read_player_file, write_player_file
from coach.edges.engine.silent_player import SilentPlayer
from coach.edges.gear_file import read_choice, read_pedals
from coach.edges.hearing.follow_choice import read_follow_wishes
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.rehearsal.gear.gear import ClickPlayer, Fact, PedalLearned, PedalPressed
from coach.rehearsal.gear.gear_choice import (
    KEEP_EACH,
    KEEP_NONE,
    OFF,
    ON,
    TakeChoice,
)
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.wiring.open_rehearsal import open_player
from coach.wiring.real_gear import (
    calibrate,
    choose_gear,
    learn_pedal,
    play_bar,
    read_gear,
)
from tests.jack_stand import Gear, JackServer, wait_until


@pytest.fixture(autouse=True)
def player_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))


@pytest.fixture
def synth(monkeypatch: pytest.MonkeyPatch) -> Iterator[Gear]:
    """Give a synth with a pedal on a server of its own."""
    server = JackServer()
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    made = Gear(server, "synth")
    yield made
    made.close()
    server.stop()


@pytest.fixture
def player() -> Iterator[ClickPlayer]:
    opened = open_player(is_silent=False)
    yield opened
    opened.close()


def test_a_learned_pedal_is_remembered_and_means_it_from_then_on(
    synth: Gear, player: ClickPlayer
) -> None:
    facts: list[Fact] = []
    player.listen(facts.append)
    wait_until(lambda: synth.pedal in str(read_gear(player).options()))
    choose_gear(player, "sound", "off")
    learn_pedal(player, "again")

    def press() -> bool:
        synth.send(0xB0, 80, 127)
        synth.send(0xB0, 80, 0)
        return any(isinstance(fact, PedalLearned) for fact in facts)

    wait_until(press)
    wait_until(lambda: read_pedals().again == "control 80 channel 1")
    facts.clear()

    def means_again() -> bool:
        press()
        return any(
            isinstance(fact, PedalPressed) and fact.action == "again" for fact in facts
        )

    wait_until(means_again)
    assert read_pedals().mark == "control 64", "other pedals keep their meaning"
    assert read_gear(player).pedals.again == "control 80 channel 1"


def test_what_is_chosen_is_used_and_remembered(
    synth: Gear, player: ClickPlayer
) -> None:
    wait_until(lambda: synth.port in read_gear(player).options()[0].options)
    choose_gear(player, "click", synth.port)
    wait_until(lambda: synth.port in player.says)
    assert read_choice().midi_out == synth.port
    play_bar(player)
    strokes = synth.wait_for(bytes((0x99, 77, 92)), 3)
    assert strokes[-1].message


def test_a_silent_rehearsal_has_no_gear_and_learns_no_pedal() -> None:
    silent = SilentPlayer(SystemClock())
    assert read_gear(silent).options() == ()
    with pytest.raises(GearError, match="--silent"):
        learn_pedal(silent, "mark")


def test_where_nothing_can_sound_a_click_that_is_asked_for_says_so(
    player: ClickPlayer,
) -> None:
    choose_gear(player, "sound", "off")
    wait_until(lambda: not is_sounding(player))
    for deaf in (player, SilentPlayer(SystemClock())):
        with pytest.raises(GearError, match=r"Nothing here can sound.* r looks"):
            play_bar(deaf)


def is_sounding(player: ClickPlayer) -> bool:
    """Tell whether a port or a sound device is open."""
    found = read_gear(player).found
    return found is None or bool(found.midi_out or found.sound)


SIX_CLICKS = {"round_trip": {"clicks_count": 6, "apart_s": 0.25}}


@pytest.mark.usefixtures("pulse")
def test_how_late_the_microphone_hears_is_measured_and_kept(
    player: ClickPlayer,
) -> None:
    write_player_file({"sound": SIX_CLICKS})
    done: list[float] = []

    def go_on(share: float) -> bool:
        done.append(share)
        return True

    made = calibrate(player, go_on)
    assert made is not None
    assert (made.output, made.microphone, made.played) == ("default", "default", 6)
    assert made.trip.heard >= 4
    assert 0.0 <= made.trip.spread <= 0.002
    assert done[0] == 0.0
    assert 0.9 < max(done) <= 1.0
    kept = read_player_file()["sound"]["round_trips"]
    assert [line["round_trip_s"] for line in kept] == [made.whole]
    assert "numpy" not in run_apart(
        "import sys, coach.wiring.gear_check; print(*sys.modules)"
    ), "the screens load no array library"


@pytest.mark.usefixtures("pulse")
def test_a_microphone_that_hears_nothing_is_told_and_nothing_is_kept(
    player: ClickPlayer,
) -> None:
    write_player_file({"sound": {**SIX_CLICKS, "output": {"volume_share": 0.0}}})
    with pytest.raises(GearError, match="heard 0 of 6 clicks"):
        calibrate(player, lambda _done: True)
    assert "round_trips" not in read_player_file()["sound"]


@pytest.mark.usefixtures("pulse")
def test_a_measurement_that_is_given_up_ends_the_clicks(player: ClickPlayer) -> None:
    assert calibrate(player, lambda done: done < 0.1) is None
    assert player.run_time() is None
    assert read_player_file() == {}


def test_in_a_silent_rehearsal_nothing_is_measured() -> None:
    with pytest.raises(GearError, match="--silent"):
        calibrate(SilentPlayer(SystemClock()), lambda _done: True)


def run_apart(words: str) -> list[str]:
    """Run some Python in a process of its own; give the words that it prints."""
    child = subprocess.run(
        [sys.executable, "-c", words], capture_output=True, text=True, check=True
    )
    return child.stdout.split()


def test_hearing_runs_and_what_is_kept_are_remembered(
    player: ClickPlayer, tmp_path: Path
) -> None:
    gear = read_gear(player).takes
    assert gear == TakeChoice(listens=False, keeps=False, kept="")
    choose_gear(player, "hearing", ON)
    choose_gear(player, "takes", KEEP_EACH)
    folder = tmp_path / "takes"
    folder.mkdir()
    for name in ("run-1.wav", "run-2.wav", "mine.wav"):
        (folder / name).write_bytes(bytes(50_000))
    gear = read_gear(player).takes
    kept = f"2 takes, 0.1 MB, in {folder}"
    assert gear == TakeChoice(listens=True, keeps=True, kept=kept)
    (_, takes) = gear.options()
    choose_gear(player, "takes", takes.options[-1])
    assert [file.name for file in folder.iterdir()] == ["mine.wav"]
    choose_gear(player, "hearing", OFF)
    choose_gear(player, "takes", KEEP_NONE)
    assert read_gear(player).takes == TakeChoice(listens=False, keeps=False, kept="")


def test_what_the_microphone_may_do_while_a_run_plays_is_remembered(
    player: ClickPlayer,
) -> None:
    assert read_gear(player).following == read_follow_wishes()
    for kind in ("follows", "stops", "drives_gauge"):
        choose_gear(player, kind, ON)
    choose_gear(player, "start_by", "two knocks")
    chosen = FollowWishes(True, True, True, "knock")
    assert read_gear(player).following == read_follow_wishes() == chosen
    choose_gear(player, "stops", OFF)
    choose_gear(player, "start_by", OFF)
    assert read_follow_wishes() == FollowWishes(True, False, True, "")
