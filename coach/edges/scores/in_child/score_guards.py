"""Refuse a MIDI, ABC or kern score that would be read too long."""

from __future__ import annotations

import re

from coach.edges.scores.in_child.formats.midi_scan import scan_midi
from coach.edges.scores.in_child.formats.score_formats import ScoreData, ScoreFormat
from coach.edges.scores.score_limits import ScoreLimits, check_count
from coach.score.abc.abc_lines import split_tunes

ABC_SIGNS_PER_NOTE = 20
"""More than any tune has, with words and decorations; our own choice."""

KERN_NOTE = re.compile(r"(?:^|\t)[^*!=\t\n]*[A-Ga-g]", re.M)


def check_score(data: ScoreData, name: str, limits: ScoreLimits) -> None:
    """Refuse a score that would take too long, or that is broken."""
    match data.kind:
        case ScoreFormat.MIDI:
            onsets = scan_midi(data.content, name, limits).onsets
            check_count(len(onsets), limits.score_notes_count, "notes", name)
        case ScoreFormat.ABC:
            for tune in split_tunes(data.text):
                check_count(tune.note_count, limits.notes_count, "notes", name)
                signs = sum(len(line.text) for line in tune.lines)
                most = ABC_SIGNS_PER_NOTE * limits.notes_count
                check_count(signs, most, "signs in a tune", name)
                bars = sum(line.text.count("|") for line in tune.lines)
                check_count(bars, limits.bars_count, "bars", name)
        case ScoreFormat.KERN:
            _check_kern(data.text, name, limits)
        case _:
            # XML was looked through when its kind was found out.
            return


def _check_kern(text: str, name: str, limits: ScoreLimits) -> None:
    """Refuse too many spines, bars or notes."""
    spines = max((line.count("**") for line in text.splitlines()), default=0)
    check_count(spines, limits.parts_count, "spines", name)
    bars = len(re.findall(r"^=", text, re.M))
    check_count(bars, limits.bars_count, "bars", name)
    notes = len(KERN_NOTE.findall(text))
    check_count(notes, limits.score_notes_count, "notes", name)
    check_count(notes // max(1, spines), limits.notes_count, "notes in a part", name)
