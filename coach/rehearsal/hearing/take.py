"""One recording, and what is known of when it was made.

Conventions
-----------
Run time is in seconds from the first beat of the run; the count-in lies below 0.
This file loads no numpy, so that a screen may hold its values.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from coach.score.tempo import Seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class TakenClick:
    """One click that sounded while the take was made, or may have."""

    at: Seconds
    """Run time at which it sounded: sent, or due where nothing was sent."""

    kind: int
    """Clicks of one kind sound alike: any number, the same for the same sound."""


@dataclass(frozen=True, slots=True)
class Sounding:
    """When a take was made, and what sounded beside the horn.

    What was recorded beside our own click has `began`.  A recording from elsewhere
    has none: its place is found by the page, and then by the count-in, if that can
    be heard in it.
    """

    began: Seconds | None = None
    """Run time of the first sample, the round trip of the gear taken off; None for a
    recording that does not know."""

    clicks: tuple[TakenClick, ...] = ()
    """Clicks in order, the count-in with them; empty where none sounded."""


@dataclass(frozen=True, slots=True)
class Take:
    """One recording of a run."""

    samples: NDArray[np.float32]
    """One channel, full scale 1, shape (n,); stereo is the mean of both."""

    rate_hz: float
    """Samples a second; 8000 or more."""

    sounding: Sounding = Sounding()
    """When it was made."""

    @property
    def length(self) -> Seconds:
        """How long it is."""
        return Seconds(len(self.samples) / self.rate_hz)
