"""What a player gave to etudes of their own: a title, and which part is theirs.

What is not in these files has the title on its page, and the part that is guessed.  A
file that is damaged is as good as none.
"""

from __future__ import annotations

import json
from pathlib import Path

from coach.config import home, write_whole
from coach.edges.kept_file import read_kept
from coach.errors import CoachError, what_to_do

TITLES = "given-titles.json"
PARTS = "given-parts.json"


def own_folder() -> Path:
    """Give the folder of the player's own etudes; it may not be there yet."""
    return home() / "etudes"


def given_title(path: Path) -> str:
    """Give the title that a file on the player's shelf was given; empty for none."""
    return _given(TITLES, path)


def given_part(path: Path) -> str:
    """Give the part that is the player's, by name or number; empty for none."""
    return _given(PARTS, path)


def give_title(path: Path, title: str) -> None:
    """Give a file on the player's shelf a title; an empty one leaves it its page's."""
    _give(TITLES, path, title)


def give_part(path: Path, part: str) -> None:
    """Say which part of a score on the shelf is the player's; empty forgets it."""
    _give(PARTS, path, part)


def take_along(old: Path, new: Path) -> None:
    """Let a file that has another name keep what it was given."""
    for kind in (TITLES, PARTS):
        words = _given(kind, old)
        _give(kind, new, words)
        _give(kind, old, "")


def _given(kind: str, path: Path) -> str:
    return _read(kind).get(path.name, "") if path.parent == own_folder() else ""


def _give(kind: str, path: Path, words: str) -> None:
    """Keep words for a file; empty ones are forgotten."""
    given = _read(kind)
    if given.get(path.name, "") == words:
        return
    given[path.name] = words
    kept = {name: said for name, said in given.items() if said}
    file = home() / kind
    try:
        write_whole(file, json.dumps(kept, indent=1, ensure_ascii=False))
    except OSError as error:
        raise CoachError(
            f"What “{path.name}” was given cannot be kept in {file}: {error.strerror}.",
            what_to_do(error),
        ) from error


def _read(kind: str) -> dict[str, str]:
    """Give all that is kept and makes sense."""
    kept = read_kept(home() / kind).items()
    return {name: words for name, words in kept if type(words) is str}
