"""How sure the ear must be of what is told."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TellingSettings:
    """The keys of ``[telling]`` in ``config/recordings.toml``."""

    sure_share: float
    """A note heard with this confidence or more is believed by itself."""

    clean_share: float
    """A run is called clean by the ear alone from this confidence on."""

    spent_db_per_s: float
    """A phrase that loses as much each second was spent at its start."""

    other_tempo_share: float
    """A take without a click that is so far off was played at another tempo ..."""

    far_tempo_share: float
    """... and beyond this it can only be judged at that one."""
