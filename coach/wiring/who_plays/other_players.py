"""Other players of this laptop who have runs: whoever reads a review may be one."""

from __future__ import annotations

from shlex import quote
from typing import TYPE_CHECKING

from coach.config import player_name

if TYPE_CHECKING:
    from coach.edges.log.run_log import RunLogFile


def say_others(log: RunLogFile, command: str) -> str:
    """Say that other players have runs here, where nobody said who plays.

    Parameters
    ----------
    command : str
        The command that tells of them, as ``review``.

    Returns
    -------
    str
        Empty where there are none, or where somebody has said who plays.
    """
    if player_name():
        return ""
    others = sorted(filter(None, log.list_players()), key=str.casefold)
    if not others:
        return ""
    whose, have = ", ".join(others), "has" if len(others) == 1 else "have"
    name = quote(others[0]) if len(others) == 1 else "NAME"
    return f"{whose} {have} runs here too: coach {command} --as {name}"
