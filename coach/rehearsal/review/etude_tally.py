"""What the log has of each etude, added up for the shelf.

Runs of an old log know the title alone; they count for every etude of that title.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from coach.score.etude_key import EtudeKey


@dataclass(frozen=True, slots=True)
class EtudeTally:
    """Runs of one etude."""

    runs: int
    """How many runs the log has of it."""

    last_run: datetime
    """When the newest started."""

    clean_bpm: float | None = None
    """Best tempo of a clean run of the whole part; None if there is none."""

    def with_other(self, other: EtudeTally) -> EtudeTally:
        """Add runs that are kept under another name."""
        clean = [bpm for bpm in (self.clean_bpm, other.clean_bpm) if bpm is not None]
        return EtudeTally(
            runs=self.runs + other.runs,
            last_run=max(self.last_run, other.last_run),
            clean_bpm=max(clean, default=None),
        )


@dataclass(frozen=True, slots=True)
class Tallies:
    """Runs of all etudes."""

    by_key: Mapping[str, EtudeTally] = field(default_factory=dict)
    """By the fingerprint of the etude."""

    by_title: Mapping[str, EtudeTally] = field(default_factory=dict)
    """Of old runs, of which no more is known than the title."""

    def of(self, etude: EtudeKey) -> EtudeTally | None:
        """Tell what the log has of an etude.

        Returns
        -------
        EtudeTally or None
            None if it was never rehearsed.
        """
        keyed = self.by_key.get(etude.fingerprint)
        titled = self.by_title.get(etude.title)
        if keyed is None or titled is None:
            return keyed or titled
        return keyed.with_other(titled)
