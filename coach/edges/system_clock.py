"""The system's monotonic clock: the only place that sleeps."""

from __future__ import annotations

import time

from coach.score.tempo import Seconds


class SystemClock:
    """A clock that every process of this machine reads alike."""

    def now(self) -> Seconds:
        """Tell the time since the machine started."""
        return Seconds(time.monotonic())

    def wait_until(self, time_due: Seconds) -> None:
        """Sleep until `time_due`; never spin."""
        left = time_due - time.monotonic()
        if left > 0:
            time.sleep(left)
