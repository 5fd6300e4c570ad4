"""Recordings as files: what is taken, and in which words the rest is refused."""

from __future__ import annotations

import wave
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from coach.edges.hearing.in_child.recording_file import open_recording
from coach.edges.hearing.recording_limits import read_recording_limits
from coach.errors import RecordingError

LIMITS = read_recording_limits()
RATE = 16_000


def tone(
    seconds: float = 1.5, rate: int = RATE, level: float = 0.1
) -> NDArray[np.float64]:
    time_s = np.arange(round(seconds * rate)) / rate
    return np.asarray(level * np.sin(2 * np.pi * 220.0 * time_s))


def read(path: Path) -> tuple[NDArray[np.float32], float]:
    with open_recording(path, LIMITS, lambda _: None) as recording:
        lots = [samples for _, samples in recording.blocks()]
        return np.concatenate(lots), recording.rate_hz


@pytest.mark.parametrize(
    ("ending", "rate"), [("wav", 8_000), ("flac", 44_100), ("aiff", 96_000)]
)
def test_a_lossless_file_of_any_rate_is_read(
    tmp_path: Path, ending: str, rate: int
) -> None:
    path = tmp_path / f"run.{ending}"
    soundfile.write(path, tone(rate=rate), rate)
    shares: list[float] = []
    with open_recording(path, LIMITS, shares.append) as recording:
        assert recording.rate_hz == rate
        assert recording.lasts == 1.5
        lots = list(recording.blocks())
    assert [done for done, _ in lots] == shares
    sound = np.concatenate([samples for _, samples in lots])
    assert np.abs(sound - tone(rate=rate)).max() < 1e-4
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


def test_of_two_channels_the_louder_is_taken(tmp_path: Path) -> None:
    """A sum would be silent here: one is the other upside down."""
    loud = tone()
    soundfile.write(tmp_path / "run.wav", np.stack([-0.9 * loud, loud], 1), RATE)
    sound, _ = read(tmp_path / "run.wav")
    assert np.abs(sound - loud).max() < 1e-4


@pytest.mark.parametrize("by", [0.3, -0.05])
def test_a_constant_that_a_device_adds_is_taken_off(tmp_path: Path, by: float) -> None:
    """It would count as noise, and as the louder channel."""
    loud = tone()
    both = np.stack([loud + by, 0.1 * loud + 3 * by], 1)
    soundfile.write(tmp_path / "run.wav", both, RATE, "FLOAT")
    sound, _ = read(tmp_path / "run.wav")
    assert np.abs(sound - loud).max() < 1e-4


def test_overload_is_left_at_full_scale(tmp_path: Path) -> None:
    over = np.clip(20.0 * tone() + 0.2, -1.0, 1.0)
    soundfile.write(tmp_path / "run.wav", over, RATE)
    sound, _ = read(tmp_path / "run.wav")
    assert (np.abs(sound) >= 0.999).sum() >= (np.abs(over) >= 0.999).sum()


def test_a_file_that_the_standard_library_wrote_is_read(tmp_path: Path) -> None:
    with wave.open(str(tmp_path / "run.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((tone() * 32767).astype("<i2").tobytes())
    assert len(read(tmp_path / "run.wav")[0]) == len(tone())


def test_what_was_recorded_of_a_file_that_breaks_off_is_read(tmp_path: Path) -> None:
    path = tmp_path / "run.wav"
    soundfile.write(path, tone(3.0), RATE)
    path.write_bytes(path.read_bytes()[: 2 * 2 * RATE])
    assert len(read(path)[0]) == pytest.approx(2 * RATE, abs=100)


def _cut_flac(path: Path) -> None:
    soundfile.write(
        path, np.random.default_rng(1).normal(0, 0.1, 5 * RATE), RATE, format="FLAC"
    )
    whole = path.read_bytes()
    path.write_bytes(whole[:2000] + b"\xff" * 2000 + whole[4000:])


def _other(head: bytes) -> Callable[[Path], object]:
    return lambda path: path.write_bytes(head + bytes(5000))


def _sound(samples: NDArray[np.float64], rate: int = RATE) -> Callable[[Path], object]:
    return lambda path: soundfile.write(path, samples, rate, "FLOAT", format="WAV")


REFUSED: dict[str, tuple[Callable[[Path], object], str]] = {
    "empty": (lambda path: path.touch(), "is empty"),
    "text": (lambda path: path.write_text("bar 1\n" * 99), "is no sound file"),
    "noise": (_other(b"RIFF\xff\xff\xff\xffWAVE"), "is no sound file"),
    "flac with a hole": (_cut_flac, "damaged"),
    "mp3": (_other(b"ID3\x04\x00"), "is an MP3; the coach listens to WAV and FLAC"),
    "mp3 without a head": (_other(b"\xff\xfb\x90\x00"), "is an MP3"),
    "m4a": (_other(b"\x00\x00\x00\x1cftypM4A "), "is an M4A or MP4"),
    "ogg": (_other(b"OggS\x00\x02"), "is an Ogg file"),
    "webm": (_other(b"\x1aE\xdf\xa3"), "is a WebM file"),
    "sun audio": (
        lambda path: soundfile.write(path, tone(), RATE, format="AU"),
        "is of the kind AU",
    ),
    "too short": (_sound(tone(0.2)), "lasts 0.2 seconds: too short"),
    "no samples": (_sound(tone(0.0)), "was not written to its end"),
    "coarse": (_sound(tone(2.0, 6000), 6000), "has 6000 samples a second: too few"),
    "silent": (_sound(np.zeros(2 * RATE)), "is silent from beginning to end"),
    "a constant alone": (_sound(np.full(2 * RATE, 0.2)), "is silent from beginning"),
    "no numbers": (_sound(np.full(2 * RATE, np.nan)), "are no numbers"),
    "crowd": (_sound(np.full((2 * RATE, 33), 0.1)), "has 33 channels"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_heard_is_refused_in_a_sentence(
    tmp_path: Path, name: str
) -> None:
    make, says = REFUSED[name]
    path = tmp_path / "run.wav"
    make(path)
    with pytest.raises(RecordingError) as caught:
        read(path)
    assert says in caught.value.message
    assert "“run.wav”" in caught.value.message
    assert caught.value.hint


def test_hours_are_refused_before_they_are_read(tmp_path: Path) -> None:
    path = tmp_path / "run.wav"
    soundfile.write(path, tone(3.0), RATE)
    with pytest.raises(RecordingError, match="Cut it to the run"):
        open_recording(path, replace(LIMITS, longest_s=2.0), print).__enter__()


def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="cannot be read: Is a directory"):
        read(tmp_path)
