"""Bars of a voice as they are typed: bar lines, repeats, endings, parts.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from coach.score.abc.abc_faults import AbcFault, Notebook, Spot
from coach.score.metre import Metre

MOST_BARS_RESTED = 999
MOST_BARS = 10_000
MOST_TIMES = 99
"""Bars of one rest and of a voice with its rests, and times that a stretch is played;
our own choice, far above any tune."""

MOST_DOUBTS = 200
"""Slips of one tune that are noted down; our own choice: nobody mends more at once."""

NUMBERS = re.compile(r"(\d+)(?:-(\d+))?")


@dataclass(slots=True)
class DraftBar:
    """A bar on its way."""

    metre: Metre | None
    """Time signature in force; None in free metre."""

    fifths: int
    """Key signature at its start."""

    clef: str
    """Clef at its start."""

    spot: Spot
    """Where it begins in the text."""

    number: int = 1
    """Number on the page."""

    first: Fraction = Fraction(0)
    """How much of its metre has gone by before it: it completes another bar."""

    length: Fraction = Fraction(0)
    """What it holds up to now, in quarter notes."""

    is_empty: bool = True
    """Neither a note nor a rest is in it."""

    opens: bool = False
    times: int = 1
    endings: frozenset[int] = frozenset()
    words: set[str] = field(default_factory=set)


@dataclass(slots=True)
class DraftBars:
    """The bars of one voice, the last one open."""

    book: Notebook
    here: DraftBar
    done: list[DraftBar] = field(default_factory=list)
    parts: list[tuple[str, int]] = field(default_factory=list)
    """Letters of parts, and the bar that each begins with."""

    waiting: list[str] = field(default_factory=list)
    """Words that belong to what comes next."""

    codas: list[tuple[int, int]] = field(default_factory=list)
    """For each coda sign the bar that it ends and the bar that it begins."""

    first_number: int = 1
    """Number of the first full bar."""

    has_lines: bool = True
    """Bar lines are written; without any, bars are as long as the metre says."""

    stem: DraftBar | None = None
    """The bar that leads into a group of endings."""

    coming: tuple[Metre | None, int, str] = (None, 0, "treble")
    """What holds from the next bar on."""

    @property
    def index(self) -> int:
        """Count the bars that are closed: the place of the open one."""
        return len(self.done)

    @property
    def number(self) -> int:
        """Give the number of the open bar, as far as one knows it."""
        return self.done[-1].number + 1 if self.done else self.first_number

    @property
    def is_full(self) -> bool:
        """Tell whether a bar line must be put in before the next note."""
        metre = self.here.metre
        if self.has_lines or metre is None:
            return False
        return self.here.length >= metre.length

    def take(self, length: Fraction, spot: Spot) -> None:
        """Put a note or rest into the open bar."""
        if self.here.is_empty:
            self.here.is_empty = False
            self.here.spot = spot
        for word in self.waiting:
            if word == "coda":
                self.codas.append((self.index, self.index))
            else:
                self.here.words.add(word)
        self.waiting.clear()
        self.here.length += length

    def line(self, text: str, spot: Spot) -> None:
        """Take in a bar line (4.8)."""
        closes, opens = _colons(text)
        last = self._close(spot)
        if closes and last is not None:
            last.times = max(last.times, closes + 1)
        elif closes:
            self.doubt(spot, f"“{text}” closes nothing", "Take it out.")
        if opens:
            self.here.opens = True
        if text not in ("|", ".|"):
            self.here.endings = frozenset()

    def ending(self, text: str, spot: Spot) -> None:
        """Begin an ending (4.9, 4.10)."""
        numbers: set[int] = set()
        for first, last in NUMBERS.findall(text):
            low, high = int(first), int(last or first)
            if not 0 < low <= high <= MOST_TIMES:
                self.fault(spot, f"“{text}” is no ending", "Write [1 or [2.")
                return
            numbers.update(range(low, high + 1))
        self._close(spot)
        if self.done and not self.done[-1].endings:
            self.stem = self.done[-1]
        self.here.endings = frozenset(numbers)

    def rest_bars(self, count: int, spot: Spot) -> None:
        """Rest for whole bars (4.5)."""
        metre = self.here.metre
        if metre is None:
            self.fault(spot, "A rest of whole bars needs a time signature", "Use z.")
        elif not self.here.is_empty:
            self.fault(
                spot, "A rest of whole bars stands in a bar with notes", "Use z here."
            )
        elif not 0 < count <= MOST_BARS_RESTED or self.index + count > MOST_BARS:
            self.fault(spot, f"{count} bars of rest cannot be", "Write Z4 for four.")
        else:
            for k in range(count):
                if k:
                    self._close(spot)
                self.take(metre.length, spot)

    def part(self, letter: str, spot: Spot) -> None:
        """Begin a part (3.1.9)."""
        self._close(spot)
        self.parts.append((letter, self.index))

    def turn(self, *, metre: Metre | None, fifths: int, clef: str) -> None:
        """Let a change hold: at once in an empty bar, else from the next one on."""
        if self.here.is_empty:
            self.here.metre, self.here.fifths, self.here.clef = metre, fifths, clef
        self.coming = (metre, fifths, clef)

    def finish(self, spot: Spot) -> None:
        """Close the last bar; one that is alone is no pickup."""
        self._close(spot)
        if len(self.done) == 1:
            self.done[0].number, self.done[0].first = self.first_number, Fraction(0)

    def fault(self, spot: Spot, what: str, hint: str) -> None:
        """Note down what cannot be read."""
        self.book.faults.append(AbcFault(spot, self.number, what, hint))

    def doubt(self, spot: Spot, what: str, hint: str) -> None:
        """Note down what looks like a slip, the first ones of very many."""
        if len(self.book.doubts) < MOST_DOUBTS:
            self.book.doubts.append(AbcFault(spot, self.number, what, hint))

    def _close(self, spot: Spot) -> DraftBar | None:
        """Close the open bar if there is something in it; give the last closed one."""
        if not self.here.is_empty:
            self._number(self.here)
            self.done.append(self.here)
            metre, fifths, clef = self.coming
            endings = self.here.endings
            self.here = DraftBar(metre, fifths, clef, spot, endings=endings)
        self._place_words()
        return self.done[-1] if self.done else None

    def _place_words(self) -> None:
        """Give words that stand at a bar line to the bar that they end or begin."""
        kept = []
        for word in self.waiting:
            if word == "coda":
                self.codas.append((max(0, self.index - 1), self.index))
            elif word == "segno" or not self.done:
                kept.append(word)
            else:
                self.done[-1].words.add(word)
        self.waiting = kept

    def _number(self, bar: DraftBar) -> None:
        """Give a bar its number: one that completes another has the number of that."""
        full = None if bar.metre is None else bar.metre.length
        before = self.done[-1] if self.done else None
        if (
            before is not None
            and bar.endings
            and before.endings
            not in (
                frozenset(),
                bar.endings,
            )
        ):
            before = self.stem or before
        if before is None:
            is_pickup = full is not None and bar.length < full
            bar.number = 0 if is_pickup else self.first_number
            bar.first = (
                full - bar.length if full is not None and is_pickup else bar.first
            )
            return
        bar.number = self._last_number() + 1
        begun = before.first + before.length
        if (
            full is not None
            and before.metre == bar.metre
            and begun + bar.length == full
        ):
            bar.first, bar.number = begun, before.number

    def _last_number(self) -> int:
        """Give the number of the last closed bar; a pickup is before the first."""
        last = self.done[-1].number
        return self.first_number - 1 if len(self.done) == 1 and last == 0 else last


def _colons(text: str) -> tuple[int, int]:
    """Count the colons that close and that open a repeat: ``::`` does both."""
    if "|" not in text:
        each = max(1, text.count(":") // 2)
        return each, each
    before, _, after = text.strip(".").partition("|")
    return before.count(":"), after.count(":")
