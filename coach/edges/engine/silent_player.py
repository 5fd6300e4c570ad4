"""Plays a track without a sound: the time runs, and nothing else.

On a manual clock a whole run is over in an instant; on the system's clock it is a
rehearsal for a player who wants to hear nothing but the horn.
"""

from __future__ import annotations

from collections.abc import Callable

from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import SILENT, Clock, Fact, TrackEnded
from coach.score.tempo import Seconds


class SilentPlayer:
    """A `ClickPlayer` that lives in the caller's own thread.

    It tells that a track has ended when it is next asked for the time.
    """

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._tell: Callable[[Fact], None] = _nobody
        self._track: ClickTrack | None = None
        self._zero = Seconds(0.0)

    @property
    def says(self) -> str:
        """Say that nothing will be heard."""
        return f"{SILENT}: watch the beat"

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact to `tell` from now on."""
        self._tell = tell

    def play(self, track: ClickTrack) -> None:
        """Start a track at once."""
        self._track = track
        self._zero = Seconds(self._clock.now() - track.starts)

    def change(self, track: ClickTrack) -> None:
        """Go on with another track from here."""
        if self._track is not None:
            self._track = track

    def stop(self) -> None:
        """End the track."""
        self._track = None

    def run_time(self) -> Seconds | None:
        """Tell the run time; None when nothing plays."""
        if self._track is None:
            return None
        time = Seconds(self._clock.now() - self._zero)
        if time < self._track.ends:
            return time
        ends, self._track = self._track.ends, None
        self._tell(TrackEnded(ends, Seconds(0.0), sent=0))
        return None

    def close(self) -> None:
        """Nothing is held, so nothing is let go."""
        self.stop()


def _nobody(fact: Fact) -> None:
    """Take a fact while nobody listens."""
