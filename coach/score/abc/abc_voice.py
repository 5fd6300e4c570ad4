"""One voice of a tune: its notes, and the signs that stand between them.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction

from coach.score.abc.abc_faults import Spot
from coach.score.abc.abc_fields import AbcTempo
from coach.score.abc.abc_melody import AbcMelody
from coach.score.abc.abc_signs import (
    BREATHS,
    DYNAMICS,
    FERMATAS,
    HAIRPIN_ENDS,
    HAIRPINS,
    NOTHING,
    SIGNS,
    UNUSED,
    WORDS,
)
from coach.score.abc.abc_text import abc_words
from coach.score.abc.abc_tokens import Token, read_length, tokens
from coach.score.loudness import growth_in
from coach.score.played.repeats import route_word_in

WORDS_BY_CASE = {word.lower(): word for word in WORDS}
CHORD_SYMBOL = re.compile(r"\(?[A-G][#b♯♭]?[^ ]{0,8}(?:/[A-G][#b]?)?\)?")
Moment = tuple[int, Fraction]
"""Bar counted from 0, and quarter notes from its start."""


@dataclass(slots=True)
class AbcVoice:
    """What is known of one voice."""

    name: str
    melody: AbcMelody
    dynamics: list[tuple[Moment, str]] = field(default_factory=list)
    growths: list[tuple[Moment, Moment | None, int]] = field(default_factory=list)
    tempi: list[tuple[Moment, AbcTempo]] = field(default_factory=list)
    boxes: list[tuple[Moment, str]] = field(default_factory=list)
    skips: bool = False
    """It stands in an overlay, which is left out up to the bar line (7.4)."""

    has_overlays: bool = False
    opened: tuple[Moment, int] | None = None
    """The hairpin that is open."""

    waiting: list[str] = field(default_factory=list)
    """Dynamics that wait for the note or rest under which they stand."""

    @property
    def here(self) -> Moment:
        """Tell where the voice has come to."""
        bars = self.melody.bars
        return bars.index, bars.here.length

    def read(self, token: Token, spot: Spot) -> None:
        """Take in a sign of the music."""
        if token.kind in ("bar", "ending"):
            self._line(token, spot)
        elif not self.skips:
            read = READERS.get(token.kind)
            if read is None:
                self._sounds(token, spot)
            else:
                read(self, token, spot)

    def space(self) -> None:
        """Take in white space: it ends a beam, and a sign that stands behind a note."""
        if not self.skips:
            self.melody.is_apart = True
            self.melody.breathe_behind()

    def _line(self, token: Token, spot: Spot) -> None:
        """Take in a bar line or the beginning of an ending (4.8 to 4.10)."""
        self.skips = False
        self.melody.breathe_behind()
        self.melody.bar_line(spot)
        if token.kind == "bar":
            self.melody.bars.line(token.text, spot)
        else:
            self.melody.bars.ending(token.text, spot)

    def overlay(self, token: Token, spot: Spot) -> None:
        """Take in the sign of a second voice in the same bar (7.4)."""
        self.skips = self.has_overlays = True
        if token.text != "&":
            self.melody.bars.fault(
                spot,
                "A second voice over several bars is not read",
                "Write the voice as one of its own, with V:.",
            )

    def _sounds(self, token: Token, spot: Spot) -> None:
        """Take in what lasts."""
        kind, found = token.kind, token.found
        self._place_dynamics()
        if kind == "letter":
            self.melody.note(found, spot)
        elif kind == "rest":
            self.melody.rest(read_length(found["rest_length"]), spot)
        else:
            notes = self._inside(found["chord"], token, spot)
            length = read_length(found["chord_length"])
            self.melody.chord([note.found for note in notes], length, spot)
            if any(note.kind == "tie" for note in tokens(found["chord"])):
                self.melody.tie(spot)

    def graces(self, token: Token, spot: Spot) -> None:
        """Take in small notes (4.12)."""
        is_quick = bool(token.found["slash"])
        notes = self._inside(token.found["grace"], token, spot)
        for note in notes:
            at = Spot(spot.line, spot.column + note.start - token.start)
            self.melody.grace(
                note.found, at, is_quick=is_quick, is_alone=len(notes) == 1
            )

    def _inside(self, text: str, token: Token, spot: Spot) -> list[Token]:
        """Give the notes inside brackets; name what cannot stand there."""
        notes = []
        for inner in tokens(text, token.text.index(text) + token.start):
            if inner.kind == "letter":
                notes.append(inner)
            elif inner.kind in ("sign", "short", "text"):
                self._inner_sign(inner, spot)
            elif inner.kind not in ("tie", "slur", "broken", "grace"):
                self.melody.bars.fault(
                    spot,
                    f"“{inner.text}” cannot stand inside “{token.text}”",
                    "Write notes alone there.",
                )
        return notes

    def _inner_sign(self, inner: Token, spot: Spot) -> None:
        """Take in a sign inside a chord: a finger, say, or a dot."""
        if inner.kind == "sign":
            self.sign(inner.found["sign"], spot)
        elif inner.text == ".":
            self.sign("staccato", spot)

    def sign(self, name: str, spot: Spot) -> None:
        """Take in a decoration, which belongs to the note that follows (4.14)."""
        marks = self.melody.marks
        name = name if name in WORDS else WORDS_BY_CASE.get(name.lower(), name)
        if self.skips or name in NOTHING:
            return
        if name in SIGNS:
            marks.articulations.add(SIGNS[name])
        elif name in BREATHS:
            marks.breath_mark = BREATHS[name]
        elif name in FERMATAS:
            marks.has_fermata = True
        elif name.isdecimal() and len(name) == 1:
            marks.position = name
        elif name in WORDS:
            self.melody.bars.waiting.append(WORDS[name])
        else:
            self._loudness(name, spot)

    def _loudness(self, name: str, spot: Spot) -> None:
        """Take in a dynamic or a hairpin; name what is neither."""
        if name in DYNAMICS:
            self.waiting.append(name)
        elif name in HAIRPINS:
            self.opened = (self.here, HAIRPINS[name])
        elif name in HAIRPIN_ENDS:
            self._close_hairpin(spot)
        elif name in UNUSED:
            self.melody.bars.book.left_out.setdefault(f"!{name}!", spot.line)
        else:
            self.melody.bars.doubt(
                spot,
                f"“!{name}!” is no sign that the coach knows, and is left out",
                "Write !f!, !trill!, !breath! or another one of the standard.",
            )

    def text(self, words: str, spot: Spot) -> None:
        """Take in words above or below the notes (4.18, 4.19)."""
        is_placed = words[:1] in ("^", "_", "<", ">", "@")
        bare = re.sub(r"^(?:[\^_<>]|@[-\d.,\s]*)", "", words).strip()
        route = route_word_in(bare)
        if route:
            self.melody.bars.waiting.append(route)
        elif not is_placed and CHORD_SYMBOL.fullmatch(bare):
            self.melody.bars.book.left_out.setdefault("chord symbols", spot.line)
        else:
            self.tempi.append((self.here, AbcTempo(None, None, bare)))
            if growth_in(bare):
                self.growths.append((self.here, None, growth_in(bare)))

    def finish(self, spot: Spot) -> None:
        """Close everything at the end of the tune."""
        self._place_dynamics()
        self.melody.finish(spot)
        self.melody.bars.finish(spot)

    def _place_dynamics(self) -> None:
        """Put dynamics where the next note or rest begins."""
        self.dynamics += [(self.here, name) for name in self.waiting]
        self.waiting.clear()

    def _close_hairpin(self, spot: Spot) -> None:
        """End a hairpin where the note begins that the sign stands before."""
        if self.opened is None:
            self.melody.bars.doubt(
                spot, "A hairpin ends that never began", "Write !<(! before it."
            )
        else:
            start, direction = self.opened
            self.growths.append((start, self.here, direction))
        self.opened = None


READERS: dict[str, Callable[[AbcVoice, Token, Spot], None]] = {
    "text": lambda voice, token, spot: voice.text(abc_words(token.found["text"]), spot),
    "overlay": AbcVoice.overlay,
    "bars_rest": lambda voice, token, spot: voice.melody.bars.rest_bars(
        int(token.found["bars_count"][:4] or 1), spot
    ),
    "grace": AbcVoice.graces,
    "tuplet": lambda voice, token, spot: voice.melody.open_tuplet(
        token.found["tuplet"], spot
    ),
    "slur": lambda voice, token, spot: voice.melody.slur(token.text.strip("."), spot),
    "tie": lambda voice, _, spot: voice.melody.tie(spot),
    "broken": lambda voice, token, spot: voice.melody.break_rhythm(token.text, spot),
}
"""What is done with each kind of sign but notes, chords and rests."""
