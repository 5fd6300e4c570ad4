"""Find etudes: the shipped ones, and those in the player's folder."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile

from coach.config import shipped
from coach.edges.scores.given_words import given_part, own_folder
from coach.edges.scores.other_places import list_places
from coach.edges.scores.score_files import read_part
from coach.edges.scores.short_names import MOST_NAMED, find_short
from coach.errors import ScoreError, what_to_do
from coach.score.plain_text import bare_words, plain_words

ENDINGS = {
    *(".musicxml", ".xml", ".mxl", ".mid", ".midi", ".abc", ".krn", ".kern", ".mei"),
}
"""Endings of what stands on the shelf; what a file is, its content says."""


def list_etudes() -> Sequence[Path]:
    """List the shelf: the shipped etudes in order of name, then the player's own."""
    return [*_scores_in(shipped("etudes")), *_scores_in(player_folder())]


def player_folder() -> Path:
    """Give the folder of the player's own etudes; it may not be there yet."""
    return own_folder()


def find_etude(name_or_path: str, *, is_in_full: bool = False) -> Path:
    """Find an etude by its path or by its name on the shelf.

    A path wins; then the name of a file, its ending left out, and the player's own
    etude wins over a shipped one of the same name; then a title, as the shelf and the
    log show it; then what was rehearsed by its path; then, unless the name is to be
    in full, the one that begins so or has these words.  Case, accents, strokes and
    signs between words make no difference.
    """
    path = Path(name_or_path).expanduser()
    shelf = list_etudes()
    if name_or_path and "\0" not in name_or_path and path.exists():
        return path
    named = _named(path.name, shelf[::-1])
    if named is not None:
        return named
    words = bare_words(name_or_path)
    titles = _titles(_scores_in(player_folder()) if words else ())
    titled = [own for own, title in titles.items() if bare_words(title) == words]
    if len(titled) == 1:
        return titled[0]
    if titled:
        raise ScoreError(
            f"Several etudes on the shelf are called “{plain_words(name_or_path)}”.",
            f"Give one's file: {', '.join(plain_words(own.stem) for own in titled)}.",
        )
    elsewhere = [place for place in list_places() if place.is_file()]
    more = _titles(elsewhere if words else ())
    titled = [place for place, title in more.items() if bare_words(title) == words]
    for found in (*titled, _named(path.name, elsewhere)):
        if found is not None:
            return found
    is_name = path.name == name_or_path and path.suffix.lower() not in ENDINGS
    if is_name and not is_in_full:
        all_titles = dict.fromkeys((*shelf[::-1], *elsewhere), "") | titles | more
        short = find_short(name_or_path, all_titles)
        if short is not None:
            return short
    raise ScoreError(
        f"There is no etude “{plain_words(name_or_path)}”, neither as a file nor on "
        "the shelf.",
        _suggest(path.name.casefold(), [etude.stem for etude in shelf]),
    )


def import_etude(path: Path, *, is_apart: bool = False) -> Path:
    """Copy a file that can be read onto the player's shelf, whole or not at all.

    The very same file is there once, unless it is to be kept apart.
    """
    read_part(path)
    folder = player_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        goal = _free_name(folder, path, is_apart=is_apart)
        _copy(path, goal)
    except OSError as error:
        raise _cannot_copy(path, error) from error
    return goal


def replace_etude(old: Path, path: Path) -> Path:
    """Copy a file that can be read in the place of an own etude, which goes."""
    read_part(path)
    goal = old.with_suffix(path.suffix)
    try:
        if goal != old:
            goal = _free_name(old.parent, path, goal)
        _copy(path, goal)
        if goal != old:
            old.unlink()
    except OSError as error:
        raise _cannot_copy(path, error) from error
    return goal


def is_same(etude: Path, path: Path) -> bool:
    """Tell whether a file is an own etude, or a copy of it under the same name."""
    if etude.resolve() == path.resolve():
        return True
    return (
        etude.parent == player_folder()
        and etude.name == path.name
        and etude.read_bytes() == path.read_bytes()
    )


def _copy(path: Path, goal: Path) -> None:
    """Copy a file, whole or not at all."""
    with NamedTemporaryFile(dir=goal.parent, suffix=".new", delete=False) as fresh:
        half = Path(fresh.name)
    try:
        half.write_bytes(path.read_bytes())
        half.replace(goal)
    finally:
        half.unlink(missing_ok=True)


def _cannot_copy(path: Path, error: OSError) -> ScoreError:
    """Say why a file cannot be put on the shelf."""
    return ScoreError(
        f"“{plain_words(path.name)}” cannot be copied to {player_folder()}: "
        f"{error.strerror}.",
        what_to_do(error),
    )


def _scores_in(folder: Path) -> Sequence[Path]:
    """List the scores of a folder by name; none if it cannot be looked into."""
    try:
        files = sorted(folder.iterdir())
    except OSError:
        return []
    return [
        file
        for file in files
        if file.suffix.lower() in ENDINGS and not file.name.startswith(".")
    ]


def _named(name: str, etudes: Sequence[Path]) -> Path | None:
    """Find an etude by its file's name, best as it is spelled."""
    for fold in (str.casefold, bare_words):
        for etude in etudes:
            if fold(name) in {fold(etude.stem), fold(etude.name)} - {""}:
                return etude
    return None


def _titles(etudes: Sequence[Path]) -> dict[Path, str]:
    """Read the titles of etudes, of those that can be read.

    Shipped ones have their titles for names, and are not asked.
    """
    from coach.edges.scores.score_process import ScoreChild

    titles = {}
    with ScoreChild() as child:
        for etude in etudes:
            with suppress(ScoreError):
                part = given_part(etude) or None
                titles[etude] = read_part(etude, part=part, child=child).title
    return titles


def _suggest(wanted: str, names: Sequence[str]) -> str:
    """Suggest what may have been meant, or name what there is."""
    near = difflib.get_close_matches(wanted, names, n=MOST_NAMED, cutoff=0.5)
    near += [name for name in names if wanted and wanted in name.casefold()]
    if near:
        chosen = dict.fromkeys(plain_words(name) for name in near)
        return f"Did you mean {', '.join(list(chosen)[:MOST_NAMED])}?"
    if not names:
        return "Give the path of a score file."
    shown = ", ".join(plain_words(name) for name in names[:MOST_NAMED])
    return f"There are {shown} …; coach shows them all."


def _free_name(
    folder: Path, path: Path, wanted: Path | None = None, *, is_apart: bool = False
) -> Path:
    """Give a name in the folder that is not taken by another score, or by any."""
    name = wanted or folder / path.name
    number = 2
    while name.exists() and (is_apart or name.read_bytes() != path.read_bytes()):
        name = folder / f"{(wanted or path).stem}-{number}{path.suffix}"
        number += 1
    return name
