"""Take one tune out of an ABC file, which may hold hundreds."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from coach.edges.scores.part_list import PartEntry, entry

TUNE = re.compile(r"^X:\s*\S.*$", re.M)
TITLE = re.compile(r"^T:\s*(.*)$", re.M)
FIELD = re.compile(r"^([A-Za-z]:|%).*$", re.M)
TEXT = re.compile(r"\"[^\"\n]*\"|![^!\n]*!|\[[A-Za-z]:[^\]\n]*\]|%[^\n]*")
NOTE = re.compile(r"[A-Ga-g][,']*")


@dataclass(frozen=True, slots=True)
class AbcTune:
    """One tune, a whole ABC file of its own."""

    title: str
    """Its first title."""

    text: str
    """What stands before the first tune, and the tune."""

    @property
    def body(self) -> str:
        """Give its music without fields, comments and texts."""
        return TEXT.sub("", FIELD.sub("", self.text))

    @property
    def note_count(self) -> int:
        """Count its notes."""
        return len(NOTE.findall(self.body))


def split_tunes(text: str) -> list[AbcTune]:
    """Cut a file into its tunes; one without ``X:`` is a single tune."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    starts = [found.start() for found in TUNE.finditer(text)]
    if not starts:
        return [AbcTune(_title(text), "X:1\n" + text)]
    head = "".join(
        line + "\n"
        for line in text[: starts[0]].splitlines()
        if re.match(r"[LMQU]:", line)
    )
    tunes = []
    for start, end in zip(starts, [*starts[1:], len(text)], strict=True):
        tune = text[start:end].strip() + "\n"
        first, _, rest = tune.partition("\n")
        tunes.append(AbcTune(_title(tune), f"{first}\n{head}{rest}"))
    return tunes


def tune_entries(tunes: Sequence[AbcTune]) -> list[PartEntry]:
    """List tunes as a player chooses them."""
    return [
        entry(number, tune.title, tune.note_count)
        for number, tune in enumerate(tunes, 1)
    ]


def _title(text: str) -> str:
    """Give the first title of a tune."""
    found = TITLE.search(text)
    return found.group(1).strip() if found else ""
