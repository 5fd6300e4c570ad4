"""How far the click was heard to come, and since when it has been silent."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class Listening:
    """What is heard of the click of one run."""

    began: Seconds
    """When the run was begun, by the clock."""

    heard: Seconds
    """Run time that was heard last."""

    silent_since: Seconds | None = None
    """Since when nothing is heard, by the clock; None while it is."""

    def at(self, time: Seconds | None, now: Seconds) -> Listening:
        """Listen once: at a run time, or to silence (None)."""
        if time is not None:
            return replace(self, heard=time, silent_since=None)
        if self.silent_since is None:
            return replace(self, silent_since=now)
        return self

    def is_lost(self, now: Seconds, patience_s: float) -> bool:
        """Tell whether the click has been silent for too long."""
        return self.silent_since is not None and now - self.silent_since > patience_s
