"""Open an etude: the own line of it, in the octave or key that is kept for it."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from coach.edges.scores.given_words import given_part
from coach.edges.scores.part_list import say_taken, was_guessed
from coach.edges.scores.score_files import list_parts, read_part
from coach.edges.scores.transposition_file import keep_transposition, read_transposition
from coach.errors import ScoreError
from coach.planning.instrument.own_clef import has_guessed_clef, suit_clef
from coach.planning.transposing import MOST_SEMITONES, transpose
from coach.score.etude_key import key_of
from coach.score.phrase import Part

if TYPE_CHECKING:
    import argparse

    from coach.edges.scores.score_process import ScoreChild


def open_moved(
    path: Path,
    part: str | None = None,
    asked: int | None = None,
    *,
    instrument: str | None = None,
    child: ScoreChild | None = None,
) -> Part:
    """Read a part, moved by what is asked, else by what is kept.

    What is asked is kept with the etude, 0 for the page as it is.  `instrument` and
    `child` are those of `read_own_part`.
    """
    written = read_own_part(path, part, instrument=instrument, child=child)
    written = _in_own_clef(written, instrument)
    etude = key_of(written)
    if asked is not None:
        keep_transposition(etude, asked)
    semitones = read_transposition(etude) if asked is None else asked
    return transpose(written, semitones)


def read_own_part(
    path: Path,
    part: str | None = None,
    *,
    instrument: str | None = None,
    child: ScoreChild | None = None,
) -> Part:
    """Read the part that is asked for, else of several the player's own.

    That is the one that was chosen when the score was put on the shelf, else the one
    with the name of `instrument`, or of what the player plays; where none has it, the
    first.  `child` reads the score if it is not known yet.
    """
    given = given_part(path) if part is None else ""
    with suppress(ScoreError):  # a page that has lost this part has others
        if given:
            return read_part(path, part=given, child=child)
    first = read_part(path, part=part, child=child)
    if part is not None or not was_guessed(first.remarks):
        return first
    from coach.wiring.instrument_files import describe_instrument, find_own_line
    from coach.wiring.player_file import read_facts

    entries = [one for one in list_parts(path, child=child) if one.note_count]
    own = find_own_line([entry.name for entry in entries], instrument)
    if own is None and entries[0].kind == "part":
        title = describe_instrument(instrument or read_facts().instrument).title
        told = say_taken(entries, entries[0], title)
        return replace(first, remarks=(told, *first.remarks[1:]))
    if not own:
        return first
    read = read_part(path, part=str(entries[own].number), child=child)
    return replace(read, remarks=(say_taken(entries, entries[own]), *read.remarks))


def _in_own_clef(part: Part, instrument: str | None) -> Part:
    """Write a part that has no clef in the one that the player reads."""
    if not has_guessed_clef(part):
        return part
    from coach.wiring.instrument_files import describe_instrument
    from coach.wiring.player_file import read_facts

    entry = describe_instrument(instrument or read_facts().instrument)
    return suit_clef(part, entry.readings[0].clef)


def move_further(path: Path, part: str | None, semitones: int) -> Part:
    """Move a part by so much more, and keep it so."""
    now = read_transposition(key_of(read_own_part(path, part)))
    goal = max(-MOST_SEMITONES, min(MOST_SEMITONES, now + semitones))
    return open_moved(path, part, goal)


def open_whole(arguments: argparse.Namespace, *, is_in_full: bool = False) -> Part:
    """Read the part that a command is asked for, moved as it asks or as is kept.

    Parameters
    ----------
    is_in_full : bool
        The etude's name has to be given in full.
    """
    from coach.edges.scores.etude_shelf import find_etude
    from coach.plain.slow_line import say_when_slow
    from coach.score.plain_text import plain_words

    path = find_etude(arguments.etude, is_in_full=is_in_full)
    with say_when_slow(f"reading “{plain_words(path.name)}”"):
        return open_moved(
            path,
            arguments.part,
            arguments.transpose,
            instrument=arguments.instrument,
        )
