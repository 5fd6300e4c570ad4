"""How evenly the sound was spent, where it gave out, and where the tone got thin.

Conventions
-----------
Levels are decibels; a level that is not known is None.  Phrases are pairs of first and
last note, cut where the plan breathes.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import Evenness, HeardNote, RanOut, ThinTone
from coach.rehearsal.hearing.judging.judging_settings import SoundSettings

Floats = NDArray[np.float64]
Phrases = Sequence[tuple[int, int]]

LEAST_IN_PHRASE = 3
"""A line needs more notes than two to have a spread."""


def cut_phrases(due: DuePart) -> tuple[tuple[int, int], ...]:
    """Cut a part into what is played on one breath."""
    ends = [breath.after_note for breath in due.breaths]
    firsts = [0, *(end + 1 for end in ends)]
    lasts = [*ends, len(due.notes) - 1]
    return tuple(pair for pair in zip(firsts, lasts, strict=True) if pair[0] <= pair[1])


def find_evenness(
    due: DuePart, levels: Sequence[float | None], settings: SoundSettings
) -> Evenness | None:
    """Tell how the level ran through the phrases, against the dynamics of the page.

    Each pitch has its own loudness, of horn and room: what a pitch was heard often at
    is told against its own average.

    Returns
    -------
    Evenness or None
        None where too few notes were heard.
    """
    known = [k for k, level in enumerate(levels) if level is not None]
    if len(known) < settings.least_notes:
        return None
    level = np.array([float(levels[k] or 0.0) for k in known])
    level -= settings.step_db * np.array([due.notes[k].loud for k in known])
    times = np.array([float(due.notes[k].due) for k in known])
    keys = np.array([due.notes[k].midi for k in known])
    phrase = np.zeros(len(known), dtype=int)
    for number, (first, last) in enumerate(cut_phrases(due)):
        phrase[[first <= k <= last for k in known]] = number
    level = level - _of_pitch(keys, level, settings.least_of_pitch_notes)
    return _lines(times, level, phrase)


def _of_pitch(keys: NDArray[np.int64], level: Floats, least: int) -> Floats:
    """Give each note's usual difference from the others, by its pitch."""
    line = np.polyfit(keys, level, 1) if len(set(keys.tolist())) > 1 else [0.0, 0.0]
    usual = np.polyval(line, keys) if len(set(keys.tolist())) > 1 else 0.0 * level
    rest = level - usual
    for key in set(keys.tolist()):
        same = keys == key
        if same.sum() >= least:
            usual[same] += np.median(rest[same])
    return np.asarray(usual - usual.mean())


def _lines(times: Floats, level: Floats, phrase: NDArray[np.int64]) -> Evenness | None:
    """Lay a line through each phrase."""
    slopes, rests = [], []
    for number in set(phrase.tolist()):
        own = phrase == number
        if own.sum() < LEAST_IN_PHRASE or np.ptp(times[own]) <= 0:
            continue
        line = np.polyfit(times[own], level[own], 1)
        slopes.append(float(line[0]))
        rests.append(level[own] - np.polyval(line, times[own]))
    if not slopes:
        return None
    spread = float(np.sqrt(np.mean(np.concatenate(rests) ** 2)))
    return Evenness(float(median(slopes)), spread)


def find_ran_out(
    due: DuePart, notes: Sequence[HeardNote], settings: SoundSettings
) -> RanOut | None:
    """Find the first note in which the sound gave out: too short, after a fade."""
    for first, whole in cut_phrases(due):
        last = min(whole, len(notes) - 1)
        heard = [k for k in range(first, last + 1) if notes[k].heard is not None]
        if len(heard) < LEAST_IN_PHRASE:
            continue
        start = [
            float(notes[k].level_db or 0.0) - settings.step_db * due.notes[k].loud
            for k in heard[: max(2, len(heard) // 2)]
        ]
        end = heard[-1]
        note, was = due.notes[end], notes[end]
        length = float((was.ended or 0.0) - (was.heard or 0.0))
        lacking = float(note.end - note.due) - length
        is_short = lacking >= max(
            settings.gave_out_s, settings.gave_out_share * float(note.end - note.due)
        )
        level = float(was.level_db or 0.0) - settings.step_db * note.loud
        is_last = end == whole
        if level <= median(start) - settings.gave_out_db and (is_short or not is_last):
            return RanOut(end, was.ended or note.end)
    return None


def find_thin(
    due: DuePart,
    notes: Sequence[HeardNote],
    bright_db: Sequence[float | None],
    settings: SoundSettings,
) -> tuple[ThinTone, ...]:
    """Find the phrases whose tone lost its upper sound toward their end.

    Parameters
    ----------
    bright_db : sequence of float or None
        Share of upper sound in each note, in decibels.
    """
    known = [k for k, one in enumerate(bright_db) if one is not None]
    if len(known) < settings.least_notes:
        return ()
    share = np.array([float(bright_db[k] or 0.0) for k in known])
    keys = np.array([notes[k].midi or due.notes[k].midi for k in known])
    plain = dict(zip(known, share - _of_pitch(keys, share, len(known)), strict=True))
    thin = []
    for first, last in cut_phrases(due):
        own = [k for k in range(first, last + 1) if k in plain]
        ends = own[-settings.thin_notes :]
        before = own[: -settings.thin_notes]
        if len(before) < settings.thin_notes:
            continue
        loss = median(plain[k] for k in before) - median(plain[k] for k in ends)
        if loss >= settings.thin_db:
            thin.append(ThinTone(ends[0], ends[-1], float(loss)))
    return tuple(thin)
