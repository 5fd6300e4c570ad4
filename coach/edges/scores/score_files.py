"""Open score files: MusicXML, MIDI, ABC, Humdrum kern and MEI become a `Part`.

A file that was read before comes out of the cache.  A new one is read by a child
process that can be stopped, since a score file may be anything at all.
"""

from __future__ import annotations

import stat
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from coach.edges.scores import score_cache
from coach.edges.scores.given_words import given_title
from coach.edges.scores.page_settings import read_page_settings
from coach.edges.scores.part_list import PartEntry
from coach.edges.scores.score_columns import Columns, part_from_columns
from coach.edges.scores.score_limits import read_score_limits, unreadable
from coach.edges.scores.score_request import Request
from coach.score.phrase import Part
from coach.score.plain_text import plain_words

if TYPE_CHECKING:
    from coach.edges.scores.score_process import ScoreChild

Value = TypeVar("Value")


def read_part(
    path: Path, *, part: str | None = None, child: ScoreChild | None = None
) -> Part:
    """Read one part of a score as it is played; raise ScoreError if that fails.

    `part` is its name or its number from 1; without it, the first part with notes
    is taken and a remark names the others.  `child` reads it if it is not known yet:
    one that reads several scores begins only once.
    """
    request = Request(path.name, part)
    played = _answer(
        path, request, lambda found: part_from_columns(found["part"]), child
    )
    title = given_title(path) or played.title
    named = title or plain_words(path.stem) or "Untitled"
    return replace(played, title=named, source=str(path), is_titled=bool(title))


def list_parts(path: Path, *, child: ScoreChild | None = None) -> Sequence[PartEntry]:
    """List the parts of a score; raise ScoreError if it cannot be read."""
    request = Request(path.name, is_list=True)
    return _answer(
        path,
        request,
        lambda found: [PartEntry(**row) for row in found["entries"]],
        child,
    )


def _answer(
    path: Path,
    request: Request,
    make: Callable[[Columns], Value],
    child: ScoreChild | None = None,
) -> Value:
    """Answer from the cache, or from the child and keep the answer."""
    content = _read_bytes(path)
    # The file's name is left out: the same score under another name is known too.
    depends = (request.part, request.is_list, read_page_settings(), read_score_limits())
    kept = score_cache.cache_path(content, *depends)
    columns = score_cache.load(kept)
    if columns is not None:
        with suppress(ArithmeticError, LookupError, TypeError, ValueError):
            return make(columns)
    if child is not None:
        columns = child.ask(request, content)
    else:
        from coach.edges.scores.score_process import ScoreChild

        with ScoreChild() as once:
            columns = once.ask(request, content)
    made = make(columns)
    score_cache.store(kept, columns)
    return made


def _read_bytes(path: Path) -> bytes:
    """Read a file that is a file, and no larger than a score can be."""
    most = read_score_limits().file_bytes
    try:
        kind = path.stat().st_mode
        if stat.S_ISDIR(kind):
            named = path.name or str(path)
            raise unreadable(named, "is a folder", "Choose a file in it.")
        if not stat.S_ISREG(kind):
            raise unreadable(path.name, "is no ordinary file", "Choose another file.")
        with path.open("rb") as file:
            content = file.read(most + 1)
    except FileNotFoundError as error:
        folder = "this folder" if path.parent == Path() else path.parent
        raise unreadable(
            path.name, f"is not in {plain_words(str(folder))}", "Check the name."
        ) from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "its name makes no sense"
        raise unreadable(
            path.name, f"cannot be opened: {why}", "Check the file's rights."
        ) from error
    if len(content) > most:
        raise unreadable(
            path.name,
            f"is larger than {most // 1_000_000} MB",
            "Export one part of it alone.",
        )
    return content
