"""Find an etude by the beginning of its name, or a word of it, where only one has that.

Whole names come first and are looked for elsewhere (``etude_shelf.py``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from coach.errors import ScoreError
from coach.score.plain_text import bare_words, plain_words

MOST_NAMED = 6
"""Names that one sentence holds; our own choice."""


def find_short(short: str, titles: Mapping[Path, str]) -> Path | None:
    """Find the one etude whose file or title begins so, else that has these words.

    Parameters
    ----------
    titles : Mapping of Path to str
        What there is, with the title of each, empty where it has none beside its
        file's name; of two files of one name the first is the one that is meant.

    Raises
    ------
    ScoreError
        If several begin so, or if none does and several have these words.
    """
    words = bare_words(short)
    if not words:
        return None
    files: dict[str, Path] = {}
    for etude in titles:
        files.setdefault(bare_words(etude.stem), etude)
    called = {etude: (name, bare_words(titles[etude])) for name, etude in files.items()}
    found = [
        e for e, names in called.items() if any(n.startswith(words) for n in names)
    ]
    how = "begin with “{}”"
    if not found:
        inside = f" {words} "
        found = [
            e for e, names in called.items() if any(inside in f" {n} " for n in names)
        ]
        how = "have “{}” in their names"
    if len(found) > 1:
        raise ScoreError(
            f"Several etudes {how.format(plain_words(short))}: "
            f"{_say([(etude, titles[etude]) for etude in found])}.",
            "Give more of the name of one.",
        )
    return found[0] if found else None


def _say(etudes: Sequence[tuple[Path, str]]) -> str:
    """Name some etudes by their files, and by titles that say more."""
    names = [
        plain_words(etude.stem)
        if bare_words(title) in ("", bare_words(etude.stem))
        else f"{plain_words(etude.stem)} (“{plain_words(title)}”)"
        for etude, title in sorted(etudes)
    ]
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
