"""Tell when each sample of a stream is heard, or was in the air.

Two witnesses say when a stream's samples pass, and both err.  The driver's stamps
wander by milliseconds and jump by tens of them; the callbacks come late, and earlier or
later for good when a buffer fills up or runs down.  So the stream's time is moved only
when both have moved the same way, and by no more than the smaller of the two moves:
dropped sound and a clock that runs at another rate show in both.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from math import copysign
from statistics import median

from coach.score.tempo import Seconds

DOUBT_WINDOWS = 8
"""In half windows: how long a drop is doubted at most, and at least two."""


@dataclass(frozen=True, slots=True)
class ClockSettings:
    """How a stream's time is followed, as ``[clock]`` in ``config/sound.toml``."""

    window_samples: int
    """Segment in which the earliest callback and the middle stamp are believed."""

    settled_samples: int
    """Segment of even running after which the stream's time is taken."""

    found_samples: int
    """So long after sound was dropped, the time may still move on because of it."""

    still_s: float
    """Neither witness may move by more than this from half to half of that stretch."""

    agree_s: float
    """Both halves of a window agree on the earliest callback within this."""

    step_s: float
    """What both witnesses have moved by less than this is let be."""

    torn_s: float
    """A stamp later than this, from a callback later than the buffer lasts, means
    that sound was dropped."""

    forget_s: float
    """How much of what one witness alone has moved is let go in a second, at most."""

    lasting_s: float
    """How long one witness must be apart from the other before that begins."""


class SampleClock:
    """The time of one stream; `feed` in its callback, the rest from any thread."""

    def __init__(self, settings: ClockSettings, rate_hz: float, block: int) -> None:
        self._settings = settings
        self._rate_hz = rate_hz
        self._forgets_s = settings.forget_s * block / rate_hz
        self._share = block / rate_hz / settings.lasting_s
        self._apart = 0.0
        self._half = max(2, settings.window_samples // block // 2)
        self._called: deque[float] = deque(maxlen=2 * self._half)
        self._stamped: deque[float] = deque(maxlen=2 * self._half)
        self._start: deque[tuple[float, float]] = deque(
            maxlen=2 * max(1, settings.settled_samples // block // 2)
        )
        self._zero: float | None = None
        self._callback_was = self._stamp_was = 0.0
        self._distance = 0.0
        self._doubts_left = 0
        self._fed = self._found_from = 0
        self.steps = 0
        """How often the stream's time was moved."""

    def feed(
        self, first: int, called: float, distance: float | None, *, is_torn: bool
    ) -> None:
        """Take one callback.

        `first` is the number of its first sample, `called` when it came, and
        `distance` how far from then its first sample is in the air, as the driver
        says; None when it does not say.  `is_torn` when the driver says that sound
        was dropped.
        """
        at = called - first / self._rate_hz
        self._called.append(at)
        if distance is not None:
            self._stamped.append(at + distance)
        callback = self._agreed()
        self._doubt(at, distance, is_torn=is_torn, is_even=callback is not None)
        self._fed = first
        if self._doubts_left:
            self._found_from = first + self._settings.found_samples
        if self._doubts_left == 1:
            callback = min(self._called)  # it never ran evenly: the best there is
        if callback is None or not self._stamped:
            self._start.clear()
        elif self._zero is None:
            self._begin(callback, self._stamped[-1])
        else:
            self._follow(callback, median(self._stamped))

    @property
    def is_settled(self) -> bool:
        """The stream runs evenly, and when its samples are in the air is known."""
        return self._zero is not None

    @property
    def is_sure(self) -> bool:
        """No sound was dropped of late; else the time may be wrong by as much."""
        return not self._doubts_left

    @property
    def is_found(self) -> bool:
        """No move of the time is left over from sound that was dropped."""
        return self._fed >= self._found_from

    def settle(self, distance: float) -> None:
        """Take the time as it seems, or what the driver promises without stamps."""
        if self._zero is None and self._called:
            callback = min(self._called)
            stamp = median(self._stamped) if self._stamped else callback + distance
            self._take(callback, stamp)

    @property
    def distance(self) -> Seconds:
        """From the earliest callback to its first sample in the air."""
        return Seconds(self._distance)

    def time_of(self, sample: int) -> Seconds:
        """Tell when a sample is in the air, in monotonic time."""
        return Seconds((self._zero or 0.0) + sample / self._rate_hz)

    def sample_at(self, time: float) -> int:
        """Tell which sample is in the air at a monotonic time."""
        return round((time - (self._zero or 0.0)) * self._rate_hz)

    def _begin(self, callback: float, stamp: float) -> None:
        """Take the stream's time once both witnesses have stood still for a while."""
        self._start.append((callback, stamp))
        if len(self._start) < (self._start.maxlen or 0):
            return
        half = len(self._start) // 2
        older, newer = list(self._start)[:half], list(self._start)[half:]
        moves = (
            median(after) - median(before)
            for before, after in zip(
                zip(*older, strict=True), zip(*newer, strict=True), strict=True
            )
        )
        if max(map(abs, moves)) <= self._settings.still_s:
            self._take(callback, median(said for _, said in self._start))

    def _take(self, callback: float, stamp: float) -> None:
        """Take the stream's time as the witnesses have it now."""
        self._zero, self._distance = stamp, stamp - callback
        self._callback_was, self._stamp_was = callback, stamp

    def _follow(self, callback: float, stamp: float) -> None:
        """Move the stream's time as far as both witnesses have moved."""
        callback_moved = callback - self._callback_was
        stamp_moved = stamp - self._stamp_was
        moved = common(callback_moved, stamp_moved)
        if abs(moved) > self._settings.step_s and self._zero is not None:
            self.steps += 1
            self._zero += moved
            self._callback_was += moved
            self._stamp_was += moved
            return
        self._forget(callback_moved, stamp_moved)

    def _forget(self, callback_moved: float, stamp_moved: float) -> None:
        """Let a move go, little by little, that one witness alone has made for long.

        What goes back and forth is noise, and must not use up what both have moved.
        """
        apart = callback_moved - stamp_moved
        self._apart += (apart - self._apart) * self._share
        lasting = common(apart, self._apart)
        gives = copysign(min(abs(lasting) * self._share, self._forgets_s), lasting)
        if abs(callback_moved) > abs(stamp_moved):
            self._callback_was += gives
        else:
            self._stamp_was -= gives

    def _doubt(
        self, at: float, distance: float | None, *, is_torn: bool, is_even: bool
    ) -> None:
        """Begin to doubt the stream's time, or go on, or be sure of it again."""
        if self._doubts_left:
            is_whole = self._doubts_left <= (DOUBT_WINDOWS - 2) * self._half
            self._doubts_left = 0 if is_whole and is_even else self._doubts_left - 1
        elif self.is_settled and (is_torn or self._shows_tear(at, distance)):
            self._doubts_left = DOUBT_WINDOWS * self._half

    def _shows_tear(self, at: float, distance: float | None) -> bool:
        """Tell whether a callback came too late, and its stamp says so too."""
        if distance is None or at - self._callback_was <= abs(self._distance):
            return False
        return at + distance - self._stamp_was > self._settings.torn_s

    def _agreed(self) -> float | None:
        """Give the earliest callback of the window if both halves agree on it."""
        if len(self._called) < 2 * self._half:
            return None
        called = list(self._called)
        older, newer = min(called[: self._half]), min(called[self._half :])
        if abs(older - newer) > self._settings.agree_s:
            return None
        return min(older, newer)


def common(one: float, other: float) -> float:
    """Give what two moves have in common: the smaller, or 0 if they part."""
    if one * other <= 0.0:
        return 0.0
    return min(one, other, key=abs)
