"""Put a score on the player's shelf, beside or in place of one with the same runs."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from coach.config import shipped
from coach.edges.scores import etude_shelf
from coach.edges.scores.given_words import give_part, give_title
from coach.edges.scores.score_process import ScoreChild
from coach.errors import CoachError
from coach.rehearsal.review.etude_tally import Tallies
from coach.score.etude_key import key_of, plain_title
from coach.score.phrase import Part
from coach.screens.shelf.shelf_needs import Twin
from coach.wiring.moved_etudes import read_own_part


def find_twin(
    path: Path, tallies: Tallies, part: str | None = None, *, is_apart: bool = False
) -> Twin | None:
    """Find the etude that a score would be taken for; none if it is there.

    That is one that it would share its runs with, else one of the player's own that
    has its title.  What is to be kept apart is looked for all the same.
    """
    with ScoreChild() as child:
        read = read_own_part(path, part, child=child)
        if is_there(path) and not is_apart:
            return None
        key = key_of(read)
        shelf = dict(_shelf(child))
    shared = [file for file, known in shelf.items() if key_of(known) == key]
    named = [file for file in shelf if _is_namesake(read, file, shelf[file])]
    twin = next(iter(shared + named), None)
    if twin is None:
        return None
    tally = tallies.of(key_of(shelf[twin]))
    titles = {known.title for known in shelf.values()}
    return Twin(
        title=shelf[twin].title,
        path=str(twin),
        runs=tally.runs if tally else 0,
        may_go=_may_go(twin),
        other_title=_free_title(read.title, titles),
        shares_runs=bool(shared),
    )


def _is_namesake(read: Part, file: Path, known: Part) -> bool:
    """Tell whether an own etude has a score's title."""
    titles = {plain_title(read.title), plain_title(known.title)}
    return read.is_titled and len(titles) == 1 and _may_go(file)


def _may_go(file: Path) -> bool:
    """Tell whether an etude is the player's own."""
    return not file.is_relative_to(shipped("etudes"))


def put_on_shelf(
    path: Path, *, replaces: str = "", title: str = "", part: str | None = None
) -> Path:
    """Copy a score to the player's shelf, under a title of its own if one is given.

    `part` is the one of several that is the player's from now on.  What is there
    already stays as it is, but for a part that is named; under a title of its own it
    is put there once more.
    """
    if replaces:
        kept = etude_shelf.replace_etude(Path(replaces), path)
        give_part(kept, part or "")
        return kept
    was_there = is_there(path) and not title
    kept = etude_shelf.import_etude(path, is_apart=bool(title))
    if not was_there:
        give_title(kept, title)
    if part is not None or not was_there:
        give_part(kept, part or "")
    return kept


def is_there(path: Path) -> bool:
    """Tell whether the very same file is on the shelf."""
    return any(etude_shelf.is_same(file, path) for file in etude_shelf.list_etudes())


def _shelf(child: ScoreChild) -> Iterable[tuple[Path, Part]]:
    """Give every etude that can be read, the player's own first."""
    for file in reversed(etude_shelf.list_etudes()):
        with suppress(CoachError):
            yield file, read_own_part(file, child=child)


def _free_title(title: str, taken: Iterable[str]) -> str:
    """Add a number to a title that no other on the shelf has."""
    number = 2
    while f"{title} ({number})" in taken:
        number += 1
    return f"{title} ({number})"
