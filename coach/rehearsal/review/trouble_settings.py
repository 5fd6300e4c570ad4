"""The numbers of the test against chance."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TroubleSettings:
    """What counts as trouble: ``[trouble]`` in ``config/rehearsal.toml``."""

    chance_share: float
    """Share of etudes in which chance alone may name a place."""

    windows_runs: tuple[int, ...]
    """So many of the last runs are looked at, from few to many."""

    usual_share: float
    """A bar goes wrong in this share of runs, before anything is known."""

    usual_weight_runs: float
    """So many runs of one bar is that worth."""

    mended_clean_runs: int
    """So many runs in a row that were clean, and a place is mended."""

    mended_runs: int
    """So many runs in a row that were clean at that place, and it is mended."""

    most_runs_count: int
    """Newest runs of an etude that are looked at."""
