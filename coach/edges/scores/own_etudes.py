"""The player's own etudes in ABC: opened, saved whole, renamed, found where left."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

from coach.config import home, write_whole
from coach.edges.kept_file import read_kept
from coach.edges.scores.etude_shelf import player_folder
from coach.edges.scores.given_words import take_along
from coach.errors import CoachError
from coach.score.plain_text import plain_words

ENDING = ".abc"
LONGEST_NAME = 80
"""Signs of a name; our own choice, within what every file system keeps."""

END = (1_000_000, 0)
"""Further down than any tune goes."""

FORBIDDEN = frozenset('/\\:*?"<>|')
"""Signs that some system does not allow in a file's name."""


def own_path(name: str) -> Path:
    """Give the file of an own etude; a name that no file can have is refused."""
    bare = name.strip().removesuffix(ENDING)
    if (
        not bare
        or bare.startswith((".", "-"))
        or len(bare.encode("utf-8", errors="replace")) > LONGEST_NAME
        or not bare.isprintable()
        or FORBIDDEN & set(bare)
    ):
        raise CoachError(
            f"“{plain_words(name)}” cannot be the name of an etude.",
            f"Use up to {LONGEST_NAME} letters, figures, blanks and dashes, with no "
            "dot or dash first.",
        )
    return player_folder() / f"{bare}{ENDING}"


def open_own(path: Path, fresh: str) -> str:
    """Give the text of an own etude; one that is not there begins with `fresh`."""
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        save_own(path, fresh)
        return fresh
    except (OSError, UnicodeDecodeError) as error:
        raise CoachError(
            f"“{path.name}” cannot be opened: {_why(error)}.",
            "Choose another name, or check the file.",
        ) from error


def save_own(path: Path, text: str) -> None:
    """Write an own etude, whole or not at all."""
    try:
        write_whole(path, text)
    except OSError as error:
        raise CoachError(
            f"“{path.name}” cannot be saved in {path.parent}: {_why(error)}.",
            "Check the folder's rights and the disk, or name another with COACH_HOME.",
        ) from error


def renamed(old: Path, name: str) -> Path:
    """Give the file that an own etude of any format would have under another name."""
    return own_path(name).with_suffix(old.suffix)


def rename_own(old: Path, new: Path) -> None:
    """Give an own etude another name; its title stays, and so do its runs."""
    if not old.exists():
        raise CoachError(
            f"There is no own etude “{old.stem}”.", f"Look into {old.parent}."
        )
    if new.exists():
        raise CoachError(
            f"There is an etude “{new.stem}” already.", "Choose another name."
        )
    _move(old, new, "renamed")
    keep_place(new, read_place(old))
    take_along(old, new)


def throw_away(path: Path) -> Path:
    """Take an own etude off the shelf; give the file where it lies now."""
    folder = home() / "thrown-away"
    kept, number = folder / path.name, 2
    while kept.exists():
        kept, number = folder / f"{path.stem}-{number}{path.suffix}", number + 1
    _move(path, kept, "thrown away")
    return kept


def put_back(kept: Path, path: Path) -> None:
    """Put what was thrown away back where it was."""
    if path.exists():
        raise CoachError(
            f"There is an etude “{path.stem}” already.", f"The other is {kept}."
        )
    _move(kept, path, "put back")


def _move(old: Path, new: Path, done: str) -> None:
    """Move a file; say what cannot be done with it."""
    try:
        new.parent.mkdir(parents=True, exist_ok=True)
        old.rename(new)
    except OSError as error:
        raise CoachError(
            f"“{old.stem}” cannot be {done}: {_why(error)}.",
            "Check the folder's rights.",
        ) from error


def read_place(path: Path) -> tuple[int, int]:
    """Give line and column, from 0, where an etude was left; its end if unknown."""
    with suppress(ValueError, TypeError, LookupError):
        line, column = read_kept(_places())[path.name]
        return int(line), int(column)
    return END


def keep_place(path: Path, place: tuple[int, int]) -> None:
    """Remember where an etude was left; a disk that is full is no error."""
    kept = {**read_kept(_places()), path.name: place}
    with suppress(OSError):
        write_whole(_places(), json.dumps(kept))


def _places() -> Path:
    return home() / "left-at.json"


def _why(error: OSError | UnicodeDecodeError) -> str:
    """Say in words why a file is out of reach."""
    return getattr(error, "strerror", None) or "it is not text in UTF-8"
