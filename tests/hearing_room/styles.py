"""Styles of playing: short notes, accents, swing.  Each changes a performance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from coach.rehearsal.hearing.due_part import DueNote, DuePart
from coach.score.tempo import Seconds
from tests.hearing_room.players import Played, move
from tests.hearing_room.studies import Study
from tests.hearing_room.takes import Change

KEYS = (46, 48, 50, 51, 53, 55, 57, 58, 60, 62)
NEAR = 1e-3
LEAST_S = 0.07


def study_in(lengths: Sequence[float], bpm: float, seed: int) -> Study:
    """Compose a study with no breath in it, of notes of such lengths in beats."""
    draw = np.random.default_rng([seed, 9])
    place, at, beat = len(KEYS) // 2, 0.0, 60.0 / bpm
    notes = []
    for length in lengths:
        step = int(draw.choice([-2, -1, 1, 2]))
        place += step if 0 <= place + step < len(KEYS) else -step
        ends = Seconds((at + length) * beat)
        notes.append(DueNote(Seconds(at * beat), ends, ends, KEYS[place], 0.0))
        at += length
    bars = tuple(Seconds(4 * bar * beat) for bar in range(int(at // 4)))
    due = DuePart(tuple(notes), bar_starts=bars, beat=Seconds(beat))
    return Study(due, ((0, len(notes) - 1),), bpm)


def shorten(share: float) -> Change:
    """Hold each note for a share of its written length."""

    def change(study: Study, played: Played) -> Played:
        due = study.due.notes
        notes = tuple(
            replace(
                note,
                off=min(
                    note.off, note.on + max(LEAST_S, share * _length(due, note.note))
                ),
                is_slurred=False,
            )
            for note in played.notes
        )
        return replace(played, notes=notes, breaths=())

    return change


def _length(due: Sequence[DueNote], note: int) -> float:
    """Tell how long a note is written."""
    return float(due[note].written_end - due[note].due)


def accent(db: float) -> Change:
    """Play what stands on a beat so much louder."""

    def change(study: Study, played: Played) -> Played:
        beat = float(study.due.beat)
        places = [float(note.due) / beat % 1.0 for note in study.due.notes]
        notes = tuple(
            replace(note, level_db=note.level_db + db)
            if min(places[note.note], 1.0 - places[note.note]) < NEAR
            else note
            for note in played.notes
        )
        return replace(played, notes=notes)

    return change


def swing(ratio: float) -> Change:
    """Make the first half of each beat so many times as long as the second."""
    long = ratio / (1.0 + ratio)

    def change(study: Study, played: Played) -> Played:
        beat = float(study.due.beat)

        def swung(at: float) -> float:
            whole, part = divmod(at / beat, 1.0)
            place = float(np.interp(part, [0.0, 0.5, 1.0], [0.0, long, 1.0]))
            return (whole + place) * beat

        return move(played, swung)

    return change
