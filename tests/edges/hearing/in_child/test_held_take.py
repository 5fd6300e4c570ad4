"""The take of a run in the child that hears: held, kept, given, thrown away."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from coach.edges.engine_wire import (
    FRAME,
    FrameKind,
    pack_fact,
    read_block,
    unpack_words,
)
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.in_child.ear_child import GONE, EarChild
from coach.edges.hearing.in_child.held_take import HeldTake, read_kept
from coach.edges.hearing.recording_limits import read_recording_limits
from coach.errors import RecordingError
from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.due_part import due_part
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import plan_by_hand

DUE = due_part(plan_by_hand(part_of("Bb2q C3q D3h"), [(0.9, 0.7)] * 3))
RATE = 16_000.0
BEGAN = Seconds(-2.0)
SAMPLES = np.linspace(-0.5, 0.5, 40_000, dtype=np.float32)
TAKE = HeldTake(SAMPLES, RATE, BEGAN)


class Child:
    """A child that hears, and all that it says."""

    def __init__(self) -> None:
        self.frames: list[bytes] = []
        self.ear = EarChild(read_recording_limits(), self.frames.append)

    def ask(self, **words: Any) -> list[SoundHeard | dict[str, Any]]:
        """Ask something; give what it says."""
        self.frames.clear()
        self.ear.obey(words)
        said: list[SoundHeard | dict[str, Any]] = []
        for frame in self.frames:
            _, kind = FRAME.unpack_from(frame)
            body = frame[FRAME.size :]
            is_sound = kind == FrameKind.BLOCK
            said.append(read_block(body) if is_sound else unpack_words(body))
        return said

    def take(self, run_id: int) -> None:
        """Make a take of a run, and hear it."""
        self.ask(do="begin", run_id=run_id, due=to_words(DUE))
        block = SoundHeard(BEGAN, RATE, SAMPLES.tobytes())
        self.ear.add(pack_fact(block, 0)[FRAME.size :])
        (said,) = self.ask(do="hear", run_id=run_id, due=to_words(DUE), clicks=[])
        assert isinstance(said, dict)
        assert said["run_id"] == run_id

    def give(self, run_id: int, path: Path, since: float = -9.0) -> list[Any]:
        """Ask for a take."""
        return self.ask(do="give", run_id=run_id, path=str(path), since=since)


def joined(blocks: list[Any]) -> list[float]:
    sound = b"".join(block.samples for block in blocks)
    return [float(sample) for sample in np.frombuffer(sound, "<f4")]


@pytest.fixture
def child() -> Child:
    return Child()


def test_the_take_that_was_heard_last_is_given_from_any_moment_on(
    child: Child, tmp_path: Path
) -> None:
    """Even one that nothing can be said of lies where its stamps say."""
    child.take(7)
    *blocks, said = child.give(7, tmp_path / "none.wav")
    assert joined(blocks) == SAMPLES.tolist()
    assert said == {"run_id": 7, "begins": -2.0, "ends": pytest.approx(0.5)}
    *blocks, said = child.give(7, tmp_path / "none.wav", since=-0.25)
    assert joined(blocks) == SAMPLES[28_000:].tolist()
    assert said["begins"] == pytest.approx(-0.25)
    (said,) = child.give(7, tmp_path / "none.wav", since=9.0)
    assert said["silent"] == "The recording ends before."


def test_of_another_run_there_is_nothing_unless_it_was_kept(
    child: Child, tmp_path: Path
) -> None:
    """Sound of one run is never kept or played as another's."""
    kept = tmp_path / "takes" / "run-7.wav"
    child.take(7)
    (said,) = child.ask(do="keep", run_id=7, path=str(kept))
    assert said == {
        "run_id": 7,
        "kept": str(kept),
        "bytes_count": kept.stat().st_size,
    }
    child.take(8)
    *blocks, said = child.give(7, kept)
    assert joined(blocks) == pytest.approx(SAMPLES.tolist(), abs=1e-6)
    assert said["begins"] == pytest.approx(-2.0)
    kept.unlink()
    assert child.give(7, kept) == [{"run_id": 7, "silent": GONE}]
    (said,) = child.ask(do="keep", run_id=7, path=str(kept))
    assert said == {"run_id": 7, "error": [GONE, ""]}
    assert not kept.exists()


def test_what_is_thrown_away_is_gone(child: Child, tmp_path: Path) -> None:
    child.take(7)
    assert child.ask(do="throw", run_id=6) == []
    assert len(child.give(7, tmp_path / "none.wav")) > 1
    assert child.ask(do="throw", run_id=7) == []
    assert child.give(7, tmp_path / "none.wav") == [{"run_id": 7, "silent": GONE}]


def test_a_kept_take_says_where_in_the_run_it_begins(tmp_path: Path) -> None:
    path = tmp_path / "run-7.wav"
    TAKE.write(path)
    again = read_kept(path)
    assert again.samples == pytest.approx(SAMPLES, abs=1e-6)
    assert (again.rate_hz, again.began) == (RATE, BEGAN)
    assert list(tmp_path.iterdir()) == [path]


def test_a_kept_take_that_another_program_changed_is_refused_in_words(
    child: Child, tmp_path: Path
) -> None:
    path = tmp_path / "run-7.wav"
    soundfile.write(path, SAMPLES, round(RATE))
    (said,) = child.give(7, path)
    assert "does not say where in the run it begins" in said["silent"]
    path.write_text("no sound", encoding="utf-8")
    (said,) = child.give(7, path)
    assert f"{path} cannot be read" in said["silent"]


def test_a_take_that_cannot_be_kept_is_told_in_words(tmp_path: Path) -> None:
    (tmp_path / "takes").write_text("a file", encoding="utf-8")
    with pytest.raises(RecordingError, match="cannot be kept in"):
        TAKE.write(tmp_path / "takes" / "run-7.wav")
