"""Rehearsals one right after another beside real servers: each has its click."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import jack_stand
from tests.benchmarks.runs_in_a_row import PLAYER, rehearse_in_a_row

PATIENT = f"""{PLAYER}
[click.start]
click_within_s = 120.0
[click.watchdog]
starting_count = 600
"""
"""Beside other tests an engine may take its time to start."""


@pytest.mark.parametrize("way", ["comes and goes", "gone"])
def test_each_of_three_runs_in_a_row_is_counted_in_aloud_and_played_to_its_end(
    way: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The server is one that is held up for seconds by each client that is killed."""
    monkeypatch.setattr(jack_stand, "may_hurry", lambda: False)
    for name in ("COACH_HOME", "JACK_DEFAULT_SERVER", "PULSE_SERVER"):
        monkeypatch.setenv(name, str(tmp_path))
    for name in ("JACK_NO_START_SERVER", "JACK_NO_AUDIO_RESERVATION"):
        monkeypatch.setenv(name, "1")
    played, _ = rehearse_in_a_row(way, 3, is_on_screen=False, player=PATIENT)
    assert played == 3
