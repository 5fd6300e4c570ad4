"""Walk through a kern score row by row, and know which spine each token is of."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

NOTE = re.compile(r"[A-Ga-g]")


@dataclass(frozen=True, slots=True)
class Row:
    """One line with tokens: the first one, which names them, or one of any kind."""

    line: int
    """Its line in the file, from 1."""

    tokens: list[str]
    """What stands in it, from left to right."""

    spines: list[int]
    """The spine that each token is of, counted from 0 at the top."""

    is_first: bool = False
    """It tells what each spine is."""

    @property
    def is_bar_line(self) -> bool:
        """It ends a bar."""
        return self.tokens[0].startswith("=")

    @property
    def is_data(self) -> bool:
        """It holds notes, rests or what goes with them."""
        return not self.is_first and self.tokens[0][:1] not in ("=", "*", "!")

    def token(self, spine: int) -> str:
        """Give what stands in a spine, in the first of its halves; a dot for none."""
        found = dict(zip(reversed(self.spines), reversed(self.tokens), strict=True))
        return found.get(spine, ".")


def is_note(token: str) -> bool:
    """Tell a note from a rest, an empty place and a bar line."""
    return bool(NOTE.search(token)) and "r" not in token


def walk(text: str) -> Iterator[Row]:
    """Give each line that has a token for every spine; comments only where they do."""
    spines: list[int] = []
    for number, line in enumerate(text.splitlines(), 1):
        tokens = line.split("\t")
        if not line or line.startswith("!!"):
            continue
        if not spines:
            if not line.startswith("!"):
                spines = list(range(len(tokens)))
                yield Row(number, tokens, spines, is_first=True)
        elif len(tokens) == len(spines):
            yield Row(number, tokens, spines)
            if line.startswith("*"):
                spines = _move(spines, tokens)


def _move(spines: list[int], tokens: list[str]) -> list[int]:
    """Follow spines that split, join, swap and end."""
    moved: list[int] = []
    for k, (spine, token) in enumerate(zip(spines, tokens, strict=True)):
        is_joined = token == "*v" and k > 0 and tokens[k - 1] == "*v"
        if token == "*-" or (is_joined and moved and moved[-1] == spine):
            continue
        moved.extend([spine, spine] if token == "*^" else [spine])
    swapped = [k for k, token in enumerate(tokens) if token == "*x"]
    if len(swapped) > 1:
        a, b = swapped[:2]
        moved[a], moved[b] = moved[b], moved[a]
    return moved
