"""What the player lets the microphone do while a run plays, and before it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast, get_args

from coach.config import read_settings
from coach.edges.hearing.take_settings import write_recording_settings
from coach.errors import ConfigError
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.following.told import StartBy

STARTS = {"off": "", "note": "note", "knock": "knock"}
"""What may begin a run, by the word that a player says."""


@dataclass(frozen=True, slots=True)
class FollowChoice:
    """What a sound may do: ``[live]`` in ``config/recordings.toml``."""

    follows: bool
    """Breaths more or less are noted while the run plays."""

    stops: bool
    """A run whose player has stopped stops too."""

    drives_gauge: bool
    """Louder than planned empties the gauge faster."""

    start_by: str
    """``note`` or ``knock``; empty where no sound begins a run."""


def read_follow_wishes(start_by: str = "") -> FollowWishes:
    """Read what the player lets the microphone do.

    Parameters
    ----------
    start_by : str, optional
        What is to begin this rehearsal's runs, in place of what is set.
    """
    choice = read_settings(FollowChoice, "recordings", "live")
    by = STARTS.get(start_by, choice.start_by)
    if by not in get_args(StartBy):
        raise ConfigError(
            f"[recordings.live] start_by: “{by}” begins no run.",
            'Write "note", "knock", or "" for neither.',
        )
    return FollowWishes(
        choice.follows, choice.stops, choice.drives_gauge, cast(StartBy, by)
    )


def write_follow_choice(**changes: bool | str) -> None:
    """Remember what the microphone may do."""
    write_recording_settings("live", **changes)


def say_following() -> str:
    """Say what the microphone may do, in a line."""
    wishes = read_follow_wishes()
    words = {
        "follow breaths": wishes.follows,
        "stop with you": wishes.stops,
        "loudness moves the gauge": wishes.drives_gauge,
    }
    says = [f"{name} {'on' if is_on else 'off'}" for name, is_on in words.items()]
    return f"While you play: {', '.join(says)}; start by: {wishes.start_by or 'off'}"
