"""Which line of a score is an instrument's own: the one that has its name."""

from __future__ import annotations

import re
from collections.abc import Sequence

from coach.score.plain_text import bare_words

FLAT_KEY = re.compile(r"\b([A-Ga-g]{1,2})(?:b\b|♭)(?! flat)")
"""An instrument's key as it is printed on parts; low tubas double the letter."""


def find_line(
    parts: Sequence[str],
    title: str,
    also_called: Sequence[str] = (),
    relatives: Sequence[str] = (),
    asked: str = "",
) -> int | None:
    """Find the line of a score that an instrument's name stands on.

    Parameters
    ----------
    parts : sequence of str
        Names of the parts, in the order of the score.
    title : str
        The instrument's name; key and attachments stand behind it.
    also_called : sequence of str
        Other names of it.
    relatives : sequence of str
        Names of its nearest relatives, as those of the bass trombone.
    asked : str
        What its player calls it; goes before all but its full name.

    Returns
    -------
    int or None
        The place of the first line that is called so, else begins so, else has the
        name anywhere; the least exact name, as ``trombone``, is tried after its own,
        and the relatives' last.

    Examples
    --------
    >>> find_line(["Horn in F", "Bass Trombone", "Trombone 2"], "tenor trombone")
    2
    >>> find_line(["Violin", "Viola"], "tenor trombone") is None
    True
    """
    head = head_of(title)
    names = (title, asked, head, *also_called, kind_of(title), *relatives)
    lines = [f" {instrument_words(part)} " for part in parts]
    for name in dict.fromkeys(
        f" {instrument_words(name)} " for name in filter(None, names)
    ):
        for fits in (str.__eq__, str.startswith, str.__contains__):
            for k, line in enumerate(lines):
                if fits(line, name):
                    return k
    return None


def instrument_words(name: str) -> str:
    """Give the words of an instrument's name, its key spelled out.

    Examples
    --------
    >>> instrument_words("E♭ Bass") == instrument_words("Eb-Bass")
    True
    >>> instrument_words("BBb Tuba")
    'bb flat tuba'
    """
    return bare_words(FLAT_KEY.sub(r"\1 flat ", name))


def head_of(title: str) -> str:
    """Give an instrument's name without key and attachments.

    Examples
    --------
    >>> head_of("bass trombone, dependent second valve"), head_of("horn in F")
    ('bass trombone', 'horn')
    """
    return re.split(r",| in | with ", title)[0]


def kind_of(title: str) -> str:
    """Give the least exact name of an instrument, that its relatives share.

    Examples
    --------
    >>> kind_of("tenor trombone with F attachment")
    'trombone'
    """
    return head_of(title).split()[-1]
