"""The parts of a score by name and number, and which of them is meant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coach.edges.scores.score_limits import unreadable
from coach.score.plain_text import plain_words

MOST_NAMED = 40
"""Parts that one sentence names: as many as a full band's score has; our own choice."""

SEVERAL = "The score has "
"""Begins the remark that there are several parts."""


@dataclass(frozen=True, slots=True)
class PartEntry:
    """One part, as a player chooses it."""

    number: int
    """Its place in the score, from 1."""

    name: str
    """Its name on the page, fit to show; ``Part 2`` when it has none."""

    note_count: int
    """Pitched notes, a chord counted once; 0 for percussion and empty staves."""

    kind: str = "part"
    """What it is: ``part``, or ``tune`` in a book of them."""


def entry(number: int, name: str, note_count: int, kind: str = "part") -> PartEntry:
    """Make an entry with a name that can be shown."""
    shown = plain_words(name) or f"{kind.capitalize()} {number}"
    return PartEntry(number, shown, note_count, kind)


def choose_part(
    entries: Sequence[PartEntry], wanted: str | None, name: str
) -> tuple[PartEntry, str]:
    """Find the part that is meant, and say so when it had to be guessed.

    A number counts from 1; a name may be shortened as long as one part fits.
    """
    pitched = [part for part in entries if part.note_count]
    if not pitched:
        raise unreadable(name, "has no notes with a pitch", "Choose another score.")
    if wanted is None:
        return pitched[0], say_taken(pitched, pitched[0])
    found = _matches(entries, plain_words(wanted).casefold())
    named, kind = _names(entries), entries[0].kind
    if not found:
        raise unreadable(
            name, f"has no {kind} “{plain_words(wanted)}”", f"Its {kind}s: {named}."
        )
    if len(found) > 1:
        raise unreadable(
            name,
            f"has several {kind}s “{plain_words(wanted)}”",
            f"Give a number: {named}.",
        )
    if not found[0].note_count:
        raise unreadable(
            name,
            f"has no notes in its {kind} “{found[0].name}”",
            f"Its {kind}s: {named}.",
        )
    return found[0], ""


def _matches(entries: Sequence[PartEntry], wanted: str) -> Sequence[PartEntry]:
    """Find parts by number, whole name, beginning, then any piece of the name."""
    if wanted.isdecimal():
        return [part for part in entries if part.number == int(wanted[:9])]
    names = {part.number: part.name.casefold() for part in entries}
    for fits in (str.__eq__, str.startswith, str.__contains__):
        found = [part for part in entries if fits(names[part.number], wanted)]
        if found and wanted:
            return found
    return []


def was_guessed(remarks: Sequence[str]) -> bool:
    """Tell from what was remarked whether the part is one of several that may do."""
    return any(remark.startswith(SEVERAL) for remark in remarks)


def say_taken(entries: Sequence[PartEntry], taken: PartEntry, wanted: str = "") -> str:
    """Say which part was taken out of several; nothing where there is but one.

    Parameters
    ----------
    wanted : str
        The instrument whose part was looked for and is not there; empty where it is.
    """
    pitched = [part for part in entries if part.note_count]
    if len(pitched) == 1:
        return ""
    lacks = f", none of them for the {wanted}" if wanted else ""
    return (
        f"{SEVERAL}{len(pitched)} {taken.kind}s{lacks}; this is {taken.name}. "
        f"Choose with --part: {_names(pitched)}."
    )


def _names(entries: Sequence[PartEntry]) -> str:
    """Name the parts, the first ones of many."""
    names = [f"{part.number} {part.name}" for part in entries[:MOST_NAMED]]
    more = len(entries) - len(names)
    return ", ".join(names) + (f" and {more} more" if more else "")
