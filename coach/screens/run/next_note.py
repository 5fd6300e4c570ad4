"""The note on the next beat and where the slide goes for it, to see from a chair."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import ClassVar

from coach.planning.instrument.instrument import Instrument
from coach.rehearsal.run.gauge import Gauge
from coach.score.tempo import Seconds
from coach.screens.signs import Signs
from coach.screens.staff.staff_slots import name_of
from coach.screens.staff.staff_words import say_label
from coach.screens.widgets.big_type import Shape, set_letters, width_of
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

A_HAIR = 1e-6
"""Notes and beats that are this near in seconds begin together."""

LETTER_ROWS = 3
LETTER_PIXELS = 5
BETWEEN, LEAST_BETWEEN = 3, 2
"""Cells between a note and its position; fewer where there are not enough."""

APART = 1
"""Cells left free, so that no position runs into the bar's figure beside it."""


def note_ahead(gauge: Gauge, time: Seconds) -> int | None:
    """Find the first note that begins with the next beat or after it.

    A player reads a beat ahead: note by note a quick passage would only flicker.
    """
    following = bisect_right(gauge.dues, time + A_HAIR)
    if following >= len(gauge.dues) - 1:
        return None
    first = bisect_left(gauge.starts, gauge.dues[following] - A_HAIR)
    ends = gauge.plan.breaths.ends
    played = (k for k in range(first, len(ends)) if ends[k] > gauge.starts[k])
    return next(played, None)


def say_note_ahead(gauge: Gauge, time: Seconds, signs: Signs) -> tuple[str, str]:
    """Name the note ahead and its position; empty words where there is none."""
    note = note_ahead(gauge, time)
    if note is None:
        return "", ""
    name = say_label(name_of(gauge.plan.part.notes[note].written), signs)
    return name, say_label(gauge.plan.slide.placements[note].label, signs)


def word_of_place(instrument: Instrument) -> str:
    """Name what a note is played with: a position of the slide, or valves."""
    return "valve" if instrument.kind == "valves" else "pos."


class NextNote(Picture):
    """A note's name and its position, with a word under each."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "next--note",
        "next--position",
        "next--say",
    }

    _said = ("", "")
    _word = "pos."

    def show_note(self, name: str, position: str, word: str = "pos.") -> None:
        """Show a note and its position, with the word for that; or nothing."""
        if (name, position, word) != (*self._said, self._word):
            self._said, self._word = (name, position), word
            self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw both as large as there is room for, else in a line."""
        name, position = self._said
        if not name:
            return
        signs = self.signs
        halves = 1 if signs.is_plain else 2  # pixels one above the other in a cell
        put = sheet.put_shape if signs.is_plain else sheet.put_pixels
        in_line = f"next {name}  {position}"
        if halves * (sheet.height - 1) < LETTER_PIXELS:
            sheet.put(0, 0, in_line, "next--note")
            return
        note, place = (
            set_letters(words.replace(signs.flat, "♭").replace(signs.sharp, "♯"))
            for words in self._said
        )
        both = width_of(note) + width_of(place)
        room = sheet.width - APART
        between = max(LEAST_BETWEEN, min(BETWEEN, room - both))
        width = both + between
        if width > room and signs.is_plain:
            sheet.put(0, 0, in_line, "next--note")
            return
        if width > room:
            self._draw_note(sheet, note, position)
            return
        rows = halves * (sheet.height - 1) // LETTER_PIXELS
        scale = max(1, min(room // max(1, width), rows))
        below = -(-scale * LETTER_PIXELS // halves)
        left = (room - scale * width) // 2  # cue and bar are as near to it
        put(left, 0, note, "next--note", scale=scale)
        x = left + scale * (width_of(note) + between)
        sheet.put(left, below, "next", "next--say")
        if position:
            put(x, 0, place, "next--position", scale=scale)
            at = min(x, sheet.width - len(self._word))
            sheet.put(at, below, self._word, "next--say")

    def _draw_note(self, sheet: Sheet, note: Shape, position: str) -> None:
        """Draw the note alone in letters, and write its position under it."""
        sheet.put_pixels(0, 0, note, "next--note")
        x = sheet.put(0, LETTER_ROWS, f"next, {self._word} ", "next--say")
        sheet.put(x, LETTER_ROWS, position, "next--position")
