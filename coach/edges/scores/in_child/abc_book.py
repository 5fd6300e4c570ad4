"""Open an ABC file: its tunes, or the voices of its only one, are its parts."""

from __future__ import annotations

from dataclasses import replace

from coach.edges.scores.part_list import PartEntry, entry
from coach.edges.scores.score_limits import unreadable
from coach.score.abc.abc_faults import say_others
from coach.score.abc.abc_lines import AbcTune, split_tunes
from coach.score.abc.abc_reader import AbcReading, read_abc
from coach.score.page import Page

FIRST_VOICE = "The tune has {count} voices; this is the first one."


class AbcBook:
    """An ABC file."""

    def __init__(self, text: str, name: str) -> None:
        self.name = name
        self.tunes = split_tunes(text)
        self.only = self._read(self.tunes[0]) if len(self.tunes) == 1 else None
        self.entries = self._list()

    def read(self, number: int) -> Page:
        """Read one voice of the only tune, or the first voice of one of many."""
        if self.only is not None:
            return self.only.pages[number - 1]
        pages = self._read(self.tunes[number - 1]).pages
        if not pages:
            raise unreadable(self.name, "has no notes in this tune", "Choose another.")
        if len(pages) == 1:
            return pages[0]
        remark = FIRST_VOICE.format(count=len(pages))
        return replace(pages[0], remarks=(remark, *pages[0].remarks))

    def _list(self) -> list[PartEntry]:
        """List the parts as a player chooses them."""
        if self.only is None:
            return [
                entry(number, tune.title, tune.note_count, "tune")
                for number, tune in enumerate(self.tunes, 1)
            ]
        return [
            entry(number, page.name, sum(len(bar.notes) for bar in page.bars))
            for number, page in enumerate(self.only.pages, 1)
        ]

    def _read(self, tune: AbcTune) -> AbcReading:
        """Read a tune; refuse one with a fault, and say where the first one is."""
        reading = read_abc(tune)
        if reading.faults:
            first, count = reading.faults[0], say_others(reading.faults)
            raise unreadable(
                self.name,
                f"cannot be read in {first.where}: {first.what}{count}",
                first.hint,
            )
        return reading
