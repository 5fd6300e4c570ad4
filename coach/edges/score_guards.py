"""Refuse a MIDI, ABC or kern score that music21 would read too long."""

from __future__ import annotations

import re

from coach.edges.abc_tunes import split_tunes, tune_entries
from coach.edges.midi_scan import scan_midi
from coach.edges.score_formats import ScoreData, ScoreFormat
from coach.edges.score_limits import ScoreLimits, unreadable

EXPORT_AGAIN = "Export it again."
SHORTER = "Choose a shorter score, or one part of it."
ABC_LONG = re.compile(r"[A-Ga-gxyzZX][,']*\d{4,}")
KERN_NOTE = re.compile(r"^[^*!=\t]*[A-Ga-g]", re.M)


def check_score(data: ScoreData, name: str, limits: ScoreLimits) -> None:
    """Refuse a score that would take too long, or that is broken."""
    if data.kind is ScoreFormat.MIDI:
        onsets = scan_midi(data.content, name, limits).onsets
        _check_count(len(onsets), name, limits)
    elif data.kind is ScoreFormat.ABC:
        for tune in tune_entries(split_tunes(data.text)):
            _check_count(tune.note_count, name, limits)
        if ABC_LONG.search(data.text):
            raise unreadable(name, "has a note longer than any score", EXPORT_AGAIN)
    elif data.kind is ScoreFormat.KERN:
        _check_count(len(KERN_NOTE.findall(data.text)), name, limits)


def _check_count(notes: int, name: str, limits: ScoreLimits) -> None:
    """Refuse too many notes."""
    if notes > limits.notes_count:
        raise unreadable(name, f"has more than {limits.notes_count} notes", SHORTER)
