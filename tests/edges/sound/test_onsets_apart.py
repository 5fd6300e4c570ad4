"""Onsets found in a child process are those that are found here."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from coach.edges.sound.onsets_apart import find_onsets_apart
from coach.errors import GearError
from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.onsets import find_heard_onsets
from coach.score.tempo import Seconds

RATE_HZ = 48_000.0
BLOCK = 2400


def heard_clicks() -> list[SoundHeard]:
    """Two clicks, half a second apart, in blocks that begin before run time 0."""
    sound = np.zeros(20 * BLOCK, dtype="<f4")
    for second in (0.25, 0.75):
        at = int(second * RATE_HZ)
        sound[at : at + 480] = 0.5 * (-1.0) ** np.arange(480)
    return [
        SoundHeard(Seconds(k * BLOCK / RATE_HZ - 0.5), RATE_HZ, block.tobytes())
        for k, block in enumerate(np.split(sound, 20))
    ]


def test_a_child_finds_what_is_found_here() -> None:
    found = find_onsets_apart(heard_clicks())
    assert found == find_heard_onsets(heard_clicks())
    assert found == pytest.approx([-0.25, 0.25], abs=0.001)


def test_nothing_heard_has_no_onsets() -> None:
    assert find_onsets_apart([]) == []


def test_a_child_that_fails_is_told_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "numpy.py").write_text("raise ImportError", encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with pytest.raises(GearError, match="Measure again"):
        find_onsets_apart(heard_clicks())
