"""Tell when each sample of a stream is heard, or was in the air.

A driver's own stamps jump by tens of milliseconds, but the earliest of the latest
callbacks lies on the stream's grid within a fraction of one: a callback may come late
and never early.  So the earliest callbacks carry the time, and the middle of many
stamps says once how far from them the sound is.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from statistics import median

from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class ClockSettings:
    """How a stream's time is followed, as ``[clock]`` in ``config/sound.toml``."""

    window_samples: int
    """Stretch in which the earliest callback is believed."""

    memory_samples: int
    """Stretch over which the earliest callback is kept while nothing steps."""

    settled_samples: int
    """Stretch of stamps that tells how far the sound is from the callback."""

    agree_s: float
    """Both halves of a window agree on the earliest callback within this."""

    step_s: float
    """A greater change of the earliest callback is a step."""


class SampleClock:
    """The time of one stream; `feed` in its callback, the rest from any thread."""

    def __init__(self, settings: ClockSettings, rate_hz: float, block: int) -> None:
        self._settings = settings
        self._rate_hz = rate_hz
        self._half = max(2, settings.window_samples // block // 2)
        self._recent: deque[float] = deque(maxlen=2 * self._half)
        self._kept: deque[float] = deque(maxlen=settings.memory_samples // block)
        self._distances: deque[float] = deque(maxlen=settings.settled_samples // block)
        self._earliest: float | None = None
        self._distance: float | None = None
        self.steps = 0
        """How often the stream's time stepped: underruns, or clocks that part."""

    def feed(self, first: int, called: float, distance: float | None) -> None:
        """Take one callback.

        `first` is the number of its first sample, `called` when it came, and
        `distance` how far from then its first sample is in the air, as the driver
        says; None when it does not say.
        """
        at = called - first / self._rate_hz
        self._recent.append(at)
        self._kept.append(at)
        earliest = self._agreed()
        if earliest is None:
            return
        if (
            self._earliest is None
            or abs(earliest - self._earliest) > self._settings.step_s
        ):
            self.steps += self._earliest is not None
            self._kept.clear()
            self._kept.extend(self._recent)
            self._earliest = earliest
            self._distances.clear()
        else:
            self._earliest = min(self._kept)
        if self._distance is None and distance is not None:
            self._distances.append(at + distance)
            if len(self._distances) == self._distances.maxlen:
                self._distance = median(self._distances) - self._earliest

    @property
    def is_settled(self) -> bool:
        """The stream runs evenly, and how far the sound is from it is known."""
        return self._distance is not None

    def settle(self, distance: float) -> None:
        """Take what the driver promised when its stamps do not tell."""
        if self._distance is None:
            self._distance = distance

    @property
    def distance(self) -> Seconds:
        """From the earliest callback to its first sample in the air."""
        return Seconds(self._distance or 0.0)

    def time_of(self, sample: int) -> Seconds:
        """Tell when a sample is in the air, in monotonic time."""
        zero = (self._earliest or 0.0) + (self._distance or 0.0)
        return Seconds(zero + sample / self._rate_hz)

    def sample_at(self, time: float) -> int:
        """Tell which sample is in the air at a monotonic time."""
        return round((time - self.time_of(0)) * self._rate_hz)

    def _agreed(self) -> float | None:
        """Give the earliest callback of the window if both halves agree on it."""
        if len(self._recent) < 2 * self._half:
            return None
        recent = list(self._recent)
        older, newer = min(recent[: self._half]), min(recent[self._half :])
        if abs(older - newer) > self._settings.agree_s:
            return None
        return min(older, newer)
