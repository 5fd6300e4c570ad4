"""The track that an engine plays, or is to play, as the screens' side knows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from coach.rehearsal.click.clicks import ClickTrack

STANDS_BEFORE_S = 0.1
"""Where the run time of a track that waits stands: so long before its start."""

AWAITED = "The click is getting ready; the count-in waits for it."
AWAITED_NO_MORE = "The click is not ready yet: watch the beat, the sound joins in."


@dataclass(frozen=True, slots=True)
class StartSettings:
    """When a track begins, as ``[start]`` in ``config/click.toml`` has it."""

    click_within_s: float
    """How long a track waits for its click before it begins without."""


class EngineTrack:
    """At most one track, and how far the engine has come with it."""

    def __init__(self) -> None:
        self.serial = 0
        """Number of the latest track; what belongs to an older one is passed over."""
        self.track: ClickTrack | None = None
        """What plays or waits; None for nothing."""
        self.origin: float | None = None
        """The clock's time of run time 0; None while the engine has not begun."""
        self.is_sent = False
        """The engine that lives now was told to play it."""
        self.used: set[tuple[int, int]] = set()
        """Channel and key of all notes that may sound."""

    @property
    def waits(self) -> bool:
        """Whether a track waits to be sent to the engine."""
        return self.track is not None and not self.is_sent

    @property
    def never_began(self) -> bool:
        """Whether a track is wanted that no engine has begun."""
        return self.track is not None and self.origin is None

    def take(self, track: ClickTrack) -> None:
        """Let a track wait for the engine; ends any other."""
        self.serial += 1
        self.used = set()
        self.forget()
        self.change(track)

    def change(self, track: ClickTrack) -> None:
        """Have another track in the place of this one."""
        self.track = track
        self.used |= {(click.channel, click.key) for click in track.clicks}

    def forget(self) -> None:
        """Take note that nothing plays."""
        self.track = self.origin = None
        self.is_sent = False

    def lose_engine(self, now: float) -> None:
        """Let a track whose music has not begun wait for the next engine."""
        if self.origin is not None and now >= self.origin:
            self.track = None
        self.origin = None
        self.is_sent = False

    def run_time(self, now: float) -> Seconds | None:
        """Tell the run time that is heard now; None when nothing plays."""
        if self.track is None:
            return None
        if self.origin is None:
            return Seconds(self.track.starts - STANDS_BEFORE_S)
        return Seconds(now - self.origin)
