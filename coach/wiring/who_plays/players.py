"""Several players at one laptop: each with settings and learning of their own."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from shlex import quote

from coach.config import PLAYER_VARIABLE, home, players_folder
from coach.errors import ConfigError
from coach.score.plain_text import one_line

LONGEST_NAME = 40
"""Signs of a name that still stands in a line."""

NOT_IN_NAMES = set('/\\:*?"<>|')
"""What some file system refuses in the name of a folder."""


@contextmanager
def playing_as(name: str | None, *, may_be_new: bool) -> Iterator[None]:
    """Let somebody else play while this lasts; None for whoever plays anyway.

    Child processes are told too, by the environment.
    """
    before = os.environ.get(PLAYER_VARIABLE)
    asked = before if name is None else name
    if asked is None or (name is None and not asked):
        yield
        return
    os.environ[PLAYER_VARIABLE] = _find(asked, may_be_new=may_be_new)
    try:
        yield
    finally:
        if before is None:
            del os.environ[PLAYER_VARIABLE]
        else:
            os.environ[PLAYER_VARIABLE] = before


def list_players() -> list[str]:
    """Name the players who have settings of their own, in order."""
    try:
        names = [folder.name for folder in players_folder().iterdir()]
    except FileNotFoundError:
        return []
    except OSError as error:
        raise ConfigError(
            f"The players in {home()} cannot be listed: {error.strerror}.",
            "Check the folder's rights, or name another with COACH_HOME.",
        ) from error
    return sorted(map(_whole, names), key=str.casefold)


def is_players_name(name: str) -> bool:
    """Tell whether somebody may be called so here: it is a folder's name too."""
    return (
        0 < len(name) <= LONGEST_NAME
        and name.isprintable()
        and not name.startswith((".", "-"))
        and not name.endswith(".")
        and not NOT_IN_NAMES & set(name)
    )


def _find(asked: str, *, may_be_new: bool) -> str:
    """Give a player's name as it is spelled here."""
    name = _whole(" ".join(asked.split()))
    if not (asked.isprintable() and is_players_name(name[:LONGEST_NAME])):
        raise ConfigError(
            f"“{one_line(asked)}” cannot be a player's name.",
            "Use letters on one line, as in: --as Ann",
        )
    if len(name) > LONGEST_NAME:
        raise ConfigError(
            "That name is too long.", f"Use at most {LONGEST_NAME} signs."
        )
    known = list_players()
    for one in known:
        if one.casefold() == name.casefold():
            return one
    if may_be_new:
        return name
    there = f"There are: {', '.join(known)}. " if known else ""
    raise ConfigError(
        f"There is no player “{name}”.",
        f"{there}A new one: coach player --as {quote(name)} --age 30",
    )


def _whole(name: str) -> str:
    """Spell a name in one way, whichever way a file system keeps it."""
    return unicodedata.normalize("NFC", name)
