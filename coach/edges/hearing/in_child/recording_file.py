"""A recording as one channel of samples: its file looked through, then read in blocks.

Only lossless files are taken: what MP3 and its like leave out lies around the very
moments that are to be told apart, and they put time of their own before the sound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coach.edges.hearing.recording_limits import RecordingLimits
from coach.errors import RecordingError
from coach.score.plain_text import plain_words
from coach.score.tempo import Seconds

LOSSLESS = ("WAV", "WAVEX", "RF64", "W64", "FLAC", "AIFF", "CAF")
"""Formats that are taken, by the library's names for them."""

HEAD_BYTES = 12
"""What a file is, its first bytes say."""

OTHER_KINDS = {
    b"ID3": "an MP3",
    b"\xff\xfb": "an MP3",
    b"\xff\xf3": "an MP3",
    b"\xff\xf2": "an MP3",
    b"OggS": "an Ogg file",
    b"\xff\xf1": "an AAC file",
    b"\xff\xf9": "an AAC file",
    b"\x1aE\xdf\xa3": "a WebM file",
    b"#!AMR": "an AMR file",
}
"""What is recorded often and not taken."""

MAKE_WAV = (
    "Let the recorder save WAV or FLAC, or make one of it: ffmpeg -i {name} run.wav"
)
SECONDS_PER_MINUTE = 60.0

FULL = 0.999
"""As a share of full scale: what reaches it is left there, since it tells of overload;
our own choice."""

SILENT_SHARE = 1e-12
"""Mean power, of that of full scale, which is rounding and no sound: our own choice."""


class Recording:
    """One channel of an open recording, read block by block.

    Of several channels the loudest is taken: a sum of two microphones would cancel
    some partials.  A constant that some devices add would count as noise: it is taken
    off.  Both are known once the file has been looked at as a whole.
    """

    def __init__(self, file: Any, name: str, limits: RecordingLimits) -> None:
        self._file = file
        self._name = name
        self._block = round(limits.block_s * file.samplerate)
        self._channel = 0
        self._constant = np.float32(0.0)

    @property
    def rate_hz(self) -> float:
        """Samples a second."""
        return float(self._file.samplerate)

    @property
    def lasts(self) -> Seconds:
        """How long it is."""
        return Seconds(self._file.frames / self._file.samplerate)

    def look_through(self, tell: Callable[[float], None]) -> None:
        """Find the loudest channel; `tell` is told the share that is looked at."""
        power = np.zeros(self._file.channels)
        total = np.zeros(self._file.channels)
        for done, samples in self._all():
            if not np.isfinite(samples).all():
                raise _unreadable(self._name, "holds samples that are no numbers")
            power += np.sum(samples.astype(np.float64) ** 2, axis=0)
            total += np.sum(samples, axis=0, dtype=np.float64)
            tell(done)
        constant = total / self._file.frames
        power -= total * constant
        self._channel = int(np.argmax(power))
        self._constant = np.float32(constant[self._channel])
        if power[self._channel] <= SILENT_SHARE * self._file.frames:
            raise RecordingError(
                f"“{self._name}” is silent from beginning to end.",
                "Look whether the microphone was on, and record again.",
            )

    def blocks(self) -> Iterator[tuple[float, NDArray[np.float32]]]:
        """Give its samples from the start, each lot with the share that it ends."""
        for done, samples in self._all():
            sound = samples[:, self._channel]
            is_full = np.abs(sound) >= FULL
            yield done, np.where(is_full, sound, sound - self._constant)

    def _all(self) -> Iterator[tuple[float, NDArray[np.float32]]]:
        """Give block after block of all channels."""
        self._file.seek(0)
        done = 0
        while len(
            samples := self._file.read(self._block, dtype="float32", always_2d=True)
        ):
            done += len(samples)
            yield min(1.0, done / self._file.frames), samples


@contextmanager
def open_recording(
    path: Path, limits: RecordingLimits, tell: Callable[[float], None]
) -> Iterator[Recording]:
    """Open a recording that can be heard, and look through it."""
    name = plain_words(path.name)
    with _open(path, name) as file:
        _check(file, name, limits)
        recording = Recording(file, name, limits)
        recording.look_through(tell)
        yield recording


@contextmanager
def _open(path: Path, name: str) -> Iterator[Any]:
    """Open a sound file; refuse in words what is none."""
    try:
        import soundfile
    except (ImportError, OSError) as error:
        raise RecordingError(
            "Reading recordings needs the Python module “soundfile”.",
            "Install it: pip install soundfile",
        ) from error
    try:
        with path.open("rb") as raw:
            head = raw.read(HEAD_BYTES)
            raw.seek(0)
            _refuse_other(head, name)
            with soundfile.SoundFile(raw) as file:
                if file.format not in LOSSLESS:
                    raise _other(name, f"of the kind {file.format}")
                yield file
    except OSError as error:
        raise _unreadable(name, f"cannot be read: {error.strerror}") from error
    except soundfile.LibsndfileError as error:
        raise _unreadable(name, "is no sound file, or a damaged one") from error


def _refuse_other(head: bytes, name: str) -> None:
    """Refuse what is recorded often and cannot be judged, by its first bytes."""
    if not head:
        raise RecordingError(f"“{name}” is empty.", "Record again.")
    if head[4:8] == b"ftyp":
        raise _other(name, "an M4A or MP4")
    for begins, kind in OTHER_KINDS.items():
        if head.startswith(begins):
            raise _other(name, kind)


def _check(file: Any, name: str, limits: RecordingLimits) -> None:
    """Refuse what is too long, too short or too coarse to be judged."""
    if not file.frames:
        raise RecordingError(
            f"“{name}” says that it holds no sound: it was not written to its end.",
            "Stop the recorder, and save the recording anew.",
        )
    lasts = file.frames / file.samplerate
    if lasts > limits.longest_s:
        raise RecordingError(
            f"“{name}” lasts {lasts / SECONDS_PER_MINUTE:.0f} minutes; "
            f"{limits.longest_s / SECONDS_PER_MINUTE:.0f} can be heard at a time.",
            "Cut it to the run.",
        )
    if lasts < limits.shortest_s:
        raise RecordingError(
            f"“{name}” lasts {lasts:.2g} seconds: too short to hold a run.",
            "Record the whole run.",
        )
    if file.samplerate < limits.lowest_rate_hz:
        raise RecordingError(
            f"“{name}” has {file.samplerate} samples a second: too few to hear "
            "where notes begin.",
            "Record with 44100 or 48000.",
        )
    if file.channels > limits.channels_count:
        raise _unreadable(name, f"has {file.channels} channels")


def _other(name: str, kind: str) -> RecordingError:
    """Say what to do with a file that is compressed."""
    return RecordingError(
        f"“{name}” is {kind}; the coach listens to WAV and FLAC.",
        MAKE_WAV.format(name=name),
    )


def _unreadable(name: str, why: str) -> RecordingError:
    """Say why a file cannot be read."""
    return RecordingError(f"“{name}” {why}.", "Give a WAV or FLAC file of the run.")
