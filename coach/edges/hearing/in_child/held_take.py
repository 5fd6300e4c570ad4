"""The take of a run: held in memory, kept as a file, cut into blocks to be played."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coach.errors import RecordingError
from coach.rehearsal.gear.gear import SoundHeard
from coach.score.tempo import Seconds

BEGAN = "run time of the first sample in seconds: "
"""What a kept file says of itself, before a figure."""

BLOCK_S = 1.0
"""How much sound goes in one frame: our own choice."""


@dataclass(frozen=True, slots=True)
class HeldTake:
    """The sound of one run, and where in the run it lies."""

    samples: NDArray[np.float32]
    """One channel, full scale 1."""

    rate_hz: float
    """Samples a second."""

    began: Seconds
    """Run time of the first sample."""

    def blocks(self, since: Seconds) -> Iterator[SoundHeard]:
        """Cut what comes from a run time on into blocks."""
        first = max(0, round((since - self.began) * self.rate_hz))
        step = round(BLOCK_S * self.rate_hz)
        for begin in range(first, len(self.samples), step):
            at = Seconds(self.began + begin / self.rate_hz)
            samples = self.samples[begin : begin + step].astype("<f4")
            yield SoundHeard(at, self.rate_hz, samples.tobytes())

    def write(self, path: Path) -> None:
        """Write it as a WAV file of 24 bits, whole or not at all."""
        fresh = path.with_suffix(".new")
        try:
            import soundfile

            path.parent.mkdir(parents=True, exist_ok=True)
            rate_hz = round(self.rate_hz)
            with soundfile.SoundFile(
                fresh, "w", rate_hz, 1, "PCM_24", format="WAV"
            ) as file:
                file.comment = f"{BEGAN}{self.began:.6f}"
                file.write(self.samples)
            fresh.replace(path)
        except (ImportError, OSError, RuntimeError) as error:
            raise RecordingError(
                f"The recording cannot be kept in {path.parent}: {error}.",
                "Check the folder's rights and the room on the disk.",
            ) from error


def read_kept(path: Path) -> HeldTake:
    """Read a take that was kept; `RecordingError` where there is none."""
    try:
        import soundfile

        with soundfile.SoundFile(path) as file:
            samples = file.read(dtype="float32", always_2d=True)[:, 0]
            words, rate_hz = file.comment, float(file.samplerate)
    except (ImportError, OSError, RuntimeError) as error:
        raise RecordingError(
            f"The recording {path} cannot be read: {error}.",
            "Was it moved or changed by another program?",
        ) from error
    try:
        began = Seconds(float(words.removeprefix(BEGAN)))
    except ValueError as error:
        raise RecordingError(
            f"The recording {path} does not say where in the run it begins.",
            "Another program may have saved it anew; listen to it there.",
        ) from error
    return HeldTake(samples, rate_hz, began)
