"""Scores that were rehearsed by their path, in a file of the player's, newest first.

A file that is damaged is as good as none, and where nothing can be written nothing is
kept: what is worked on today is then found on the shelf alone.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from coach.config import home, write_whole
from coach.edges.kept_file import read_kept

MOST_PLACES = 30
"""More than one player works on; our own choice."""


def keep_place(named: str, shelf: Sequence[Path]) -> None:
    """Keep where a score lies that is named by its path, unless it is on the shelf."""
    with suppress(OSError, ValueError):
        path = Path(named).expanduser().resolve()
        if not path.is_file() or path in {one.resolve() for one in shelf}:
            return
        kept = list_places()
        places = [path, *(one for one in kept if one != path)][:MOST_PLACES]
        if places != kept:
            write_whole(_path(), json.dumps({"paths": [*map(str, places)]}, indent=1))


def list_places() -> Sequence[Path]:
    """List the places that are kept; a file may be gone from there by now."""
    paths = read_kept(_path()).get("paths")
    if not isinstance(paths, list):
        return []
    return [Path(path) for path in paths if isinstance(path, str)]


def _path() -> Path:
    return home() / "rehearsed.json"
