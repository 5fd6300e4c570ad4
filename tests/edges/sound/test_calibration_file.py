"""Round trips kept for each pair of gear."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from coach.config import read_player_file, write_player_file
from coach.edges.sound.calibration_file import (
    GearPair,
    read_round_trip,
    write_round_trip,
)
from coach.errors import ConfigError
from coach.score.tempo import Seconds

PAIR = GearPair("Loudspeaker", "Microphone", 48_000.0, 480, 0.1)


@pytest.fixture(autouse=True)
def player_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))


def test_nothing_is_known_of_gear_that_was_not_measured() -> None:
    assert read_round_trip(PAIR) is None


def test_a_round_trip_is_kept_for_its_pair_alone() -> None:
    write_round_trip(PAIR, Seconds(0.12))
    assert read_round_trip(PAIR) == 0.12
    for change in ({"output": "Headphones"}, {"block_samples": 240}):
        assert read_round_trip(replace(PAIR, **change)) is None


def test_the_latest_measure_counts_and_other_settings_stay() -> None:
    write_player_file(
        {"sound": {"output": {"volume_share": 0.1}}, "player": {"age": 30}}
    )
    write_round_trip(PAIR, Seconds(0.12))
    write_round_trip(replace(PAIR, output="Headphones"), Seconds(0.2))
    write_round_trip(PAIR, Seconds(0.11))
    assert read_round_trip(PAIR) == 0.11
    assert read_round_trip(replace(PAIR, output="Headphones")) == 0.2
    assert read_player_file()["sound"]["output"] == {"volume_share": 0.1}
    assert read_player_file()["player"] == {"age": 30}
    assert len(read_player_file()["sound"]["round_trips"]) == 2


def test_a_line_that_was_spoilt_by_hand_is_named() -> None:
    write_player_file({"sound": {"round_trips": [{"output": "Loudspeaker"}]}})
    with pytest.raises(ConfigError, match="round_trips"):
        read_round_trip(PAIR)
