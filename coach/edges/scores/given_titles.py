"""Titles that a player gave to etudes of their own, to tell two of one name apart.

What is not in this file has the title on its page.  A file that is damaged is as good
as none.
"""

from __future__ import annotations

import json
from pathlib import Path

from coach.config import home, write_whole
from coach.edges.kept_file import read_kept
from coach.errors import CoachError


def own_folder() -> Path:
    """Give the folder of the player's own etudes; it may not be there yet."""
    return home() / "etudes"


def given_title(path: Path) -> str:
    """Give the title that a file on the player's shelf was given; empty for none."""
    return _read().get(path.name, "") if path.parent == own_folder() else ""


def give_title(path: Path, title: str) -> None:
    """Give a file on the player's shelf a title; an empty one leaves it its page's."""
    given = _read()
    if given.get(path.name, "") == title:
        return
    given[path.name] = title
    kept = {name: words for name, words in given.items() if words}
    file = _file()
    try:
        write_whole(file, json.dumps(kept, indent=1, ensure_ascii=False))
    except OSError as error:
        raise CoachError(
            f"The title of “{path.name}” cannot be kept in {file}: {error.strerror}.",
            "Check the folder's rights, or name another with COACH_HOME.",
        ) from error


def _file() -> Path:
    return home() / "given-titles.json"


def _read() -> dict[str, str]:
    """Give all that is kept and makes sense."""
    kept = read_kept(_file()).items()
    return {name: title for name, title in kept if type(title) is str}
