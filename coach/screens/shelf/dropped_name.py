"""The name of a file, as it is typed or as a terminal writes one dropped on it."""

from __future__ import annotations

import re
from urllib.parse import unquote, urlsplit

FIRST_SLASHES = re.compile(r"""^/+(?=[/~'"]|file:|[A-Za-z]:)""")
"""The key that asks for a path begins one; whoever types all of it types it twice."""

ESCAPED = re.compile(r"\\(.)")
"""A sign that a shell would take for something else, and the stroke that forbids it."""


def plain_name(words: str) -> str:
    """Give the name itself: without quotes, strokes for a shell, or ``file://``.

    A name with an apostrophe or a space that nobody quoted stays as it is.
    """
    name = FIRST_SLASHES.sub("", words.strip())
    if name.startswith("file://"):
        return unquote(urlsplit(name).path)
    if len(name) > 1 and name[0] == name[-1] and name[0] in "'\"":
        return name[1:-1].replace("'\\''", "'")
    return ESCAPED.sub(r"\1", name) if name.startswith(("/", "~")) else name


def looks_like_a_file(words: str) -> bool:
    """Tell whether words that were pasted can be a dropped file."""
    name = plain_name(words)
    return "\n" not in name and ("/" in name or "\\" in name)
