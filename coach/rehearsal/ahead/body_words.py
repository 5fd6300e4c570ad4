"""Words on a run that tell of the body: that playing harms, or that it is tired.

Harm comes before whatever is next; who is tired rests first.

Both are answered by the cautions that every player is shown at the first start, and
by nothing else: what it is, a doctor or a teacher tells.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from coach.rehearsal.ahead.run_dates import since_pause
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.typed_words import as_said

BETWEEN = re.compile(r"[,;.!?\n]|\band\b|\bbut\b", re.IGNORECASE)
"""What stands between two things that a note says."""

NOT_SO = (
    r"(?<!\bno )(?<!\bnot )(?<!n t )(?<!\bwithout )(?<!\bnever )"
    r"(?<!\bno longer )(?<!\bnot at all )(?<!\bwithout any )"
)
"""Not behind a word that says that it is not so; an apostrophe is a space here."""

STAYS = "What stays or comes back is for a doctor or your teacher."
"""Who is asked about it."""


@dataclass(frozen=True, slots=True)
class BodyWords:
    """Words that call for one caution: a sign, of a part of the body or alone."""

    caution: str
    """The caution, in one line."""

    of: tuple[str, ...]
    """Parts of the body; where there are none, a sign says enough alone."""

    signs: tuple[str, ...]
    """What is said of them."""

    is_tired: bool = False
    """It asks for a rest alone: the rehearsal goes on after it."""

    def are_in(self, words: str) -> bool:
        """Tell whether something that was said, without punctuation, is so."""
        return _names(words, self.signs, NOT_SO) and (
            not self.of or _names(words, self.of)
        )


def find_harm(note: str, body: Sequence[BodyWords]) -> tuple[str, BodyWords] | None:
    """Find what a note says of harm, and which caution answers it; None where nothing.

    Parameters
    ----------
    body : sequence of BodyWords
        The one that is looked for first stands first.
    """
    return _find(note, [row for row in body if not row.is_tired])


def find_tired(note: str, body: Sequence[BodyWords]) -> str:
    """Find what a note says of being tired; empty where nothing."""
    found = _find(note, [row for row in body if row.is_tired])
    return "" if found is None else found[0]


def _find(note: str, rows: Sequence[BodyWords]) -> tuple[str, BodyWords] | None:
    """Find the first row that a piece of a note is so of, and the piece."""
    pieces = [piece.strip() for piece in BETWEEN.split(note)]
    for row in rows:
        for piece in pieces:
            if row.are_in(as_said(piece)):
                return piece, row
    return None


def say_to_stop(
    runs: Iterable[Run], body: Sequence[BodyWords], now: datetime, pause_s: float
) -> str:
    """Say to stop, where a note of this rehearsal tells of harm; the newest such one.

    Parameters
    ----------
    runs : iterable of Run
        Of all etudes, in any order; a run may be there twice.
    now : datetime
        The date and time, with a zone.
    pause_s : float
        A pause this long, in seconds, ends a rehearsal.

    Returns
    -------
    str
        Empty where nothing was said.
    """
    for run in since_pause(runs, now, pause_s):
        found = find_harm(run.note, body)
        if found is not None:
            words, row = found
            return f"You said “{words}”: stop for now, and rest. {row.caution} {STAYS}"
    return ""


def _names(words: str, some: Sequence[str], before: str = "") -> bool:
    """Tell whether words hold one of some, whole."""
    said = "|".join(map(re.escape, some))
    return re.search(rf"{before}\b(?:{said})\b", words) is not None
