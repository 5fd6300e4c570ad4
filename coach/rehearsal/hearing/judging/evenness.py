"""How evenly the sound was spent, where it gave out, and where the tone got thin.

Conventions
-----------
Levels are decibels; a level that is not known is None.  Phrases are pairs of first and
last note, cut where the plan breathes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import Evenness, HeardNote, RanOut, ThinTone
from coach.rehearsal.hearing.judging.judging_settings import SoundSettings

Floats = NDArray[np.float64]

LEAST_IN_PHRASE = 3
"""A line needs more notes than two to have a spread."""

NORMAL_TO_MIDDLE = 1.4826
"""The spread of a normal distribution, for each of its middle distance."""


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
    notes = _in_phrases(due, levels)
    if len(notes.index) < settings.least_notes:
        return None
    values = notes.values - settings.step_db * np.array(
        [due.notes[k].loud for k in notes.index]
    )
    plain = _without_pitch(values, notes, settings)
    slopes, rest = _lines(plain, notes)
    if not slopes:
        return None
    counts = np.bincount(notes.phrase)[notes.phrase]
    spread_db = _spread_db(rest[counts >= LEAST_IN_PHRASE], settings)
    return Evenness(float(median(slopes)), spread_db)


def _spread_db(rest: Floats, settings: SoundSettings) -> float:
    """Tell how far levels scatter, by the middle one, less what the room adds.

    In a room a few short notes are heard far too loud or too soft, where their sound
    meets that of the notes before: the middle one tells of the player.

    References
    ----------
    F. R. Hampel, The influence curve and its role in robust estimation, Journal of the
    American Statistical Association 69 (1974), 383-393, from memory.
    """
    middle_db = NORMAL_TO_MIDDLE * float(np.median(np.abs(rest)))
    return sqrt(max(0.0, middle_db**2 - settings.room_spread_db**2))


@dataclass(frozen=True, slots=True)
class _InPhrases:
    """Notes of which something is known, in their phrases."""

    index: tuple[int, ...]
    values: Floats
    times: Floats
    keys: Floats
    phrase: NDArray[np.int64]


def _in_phrases(due: DuePart, values: Sequence[float | None]) -> _InPhrases:
    """Put what is known of notes into phrases."""
    known = [(k, value) for k, value in enumerate(values) if value is not None]
    index = tuple(k for k, _ in known)
    phrases = cut_phrases(due)
    return _InPhrases(
        index,
        np.array([value for _, value in known], dtype=np.float64),
        np.array([float(due.notes[k].due) for k in index]),
        np.array([float(due.notes[k].midi) for k in index]),
        np.array([sum(k > last for _, last in phrases) for k in index], dtype=int),
    )


def _without_pitch(
    values: Floats, notes: _InPhrases, settings: SoundSettings
) -> Floats:
    """Take off what notes have by their pitch alone.

    Only what does not go with time inside the phrases can be told to be the pitch's: in
    a scale that is played once, all of it is the player's.
    """
    _, rest = _lines(values, notes)
    _, turn = _lines(notes.keys, notes)
    power = float(turn @ turn)
    is_told = power > settings.least_turn_semitones**2 * len(turn)
    slope = float(turn @ rest) / power if is_told else 0.0
    plain = values - slope * notes.keys
    _, rest = _lines(plain, notes)
    for key in np.unique(notes.keys):
        same = notes.keys == key
        if is_told and same.sum() >= settings.least_of_pitch_notes:
            plain[same] -= np.median(rest[same])
    return plain


def _lines(values: Floats, notes: _InPhrases) -> tuple[list[float], Floats]:
    """Lay a line through each phrase; give their slopes and what is left."""
    slopes: list[float] = []
    rest = np.zeros(len(values))
    for number in np.unique(notes.phrase):
        own = notes.phrase == number
        if own.sum() >= LEAST_IN_PHRASE and np.ptp(notes.times[own]) > 0:
            line = np.polyfit(notes.times[own], values[own], 1)
            slopes.append(float(line[0]))
            rest[own] = values[own] - np.polyval(line, notes.times[own])
    return slopes, rest


def find_ran_out(
    due: DuePart, notes: Sequence[HeardNote], noise_db: float, settings: SoundSettings
) -> RanOut | None:
    """Find the first note in which the sound gave out: too short, after a fade.

    Where it faded into the noise nobody can hear how far it went: nothing is told.

    Parameters
    ----------
    noise_db : float
        Level of the room's noise, in decibels of full scale.
    """
    for first, whole in cut_phrases(due):
        last = min(whole, len(notes) - 1)
        heard = [k for k in range(first, last + 1) if notes[k].heard is not None]
        if len(heard) < LEAST_IN_PHRASE:
            continue
        end = heard[-1]
        note, was = due.notes[end], notes[end]
        length = float((was.ended or 0.0) - (was.heard or 0.0))
        lacking = float(note.end - note.due) - length
        is_short = lacking >= max(
            settings.gave_out_s, settings.gave_out_share * float(note.end - note.due)
        )
        fell_db = _fell_db(due, notes, heard, settings)
        over_noise_db = float(was.level_db or 0.0) - noise_db
        may_tell = over_noise_db >= settings.gave_out_over_noise_db
        is_clear = over_noise_db >= settings.gave_out_clear_db
        least_db = settings.gave_out_db if is_clear else settings.gave_out_noisy_db
        gave_out = is_short if end == whole else may_tell
        if fell_db >= least_db and gave_out:
            return RanOut(end, was.ended or note.end)
    return None


def _fell_db(
    due: DuePart,
    notes: Sequence[HeardNote],
    heard: Sequence[int],
    settings: SoundSettings,
) -> float:
    """Tell how far the last note heard of a phrase lies below its first half.

    As it sounds, and against the dynamics of the page, whichever is less: neither a
    diminuendo that is played nor a crescendo that is not means that the air is gone.
    """
    plain = [float(notes[k].level_db or 0.0) for k in heard]
    asked = [settings.step_db * due.notes[k].loud for k in heard]
    against = [level - ask for level, ask in zip(plain, asked, strict=True)]
    half = max(2, len(heard) // 2)
    return min(median(levels[:half]) - levels[-1] for levels in (plain, against))


def find_thin(
    due: DuePart, bright_db: Sequence[float | None], settings: SoundSettings
) -> tuple[ThinTone, ...]:
    """Find the phrases whose tone lost its upper sound toward their end.

    Parameters
    ----------
    bright_db : sequence of float or None
        Share of upper sound in each note, in decibels.
    """
    known = _in_phrases(due, bright_db)
    if len(known.index) < settings.least_notes:
        return ()
    share = _without_pitch(known.values, known, settings)
    plain = dict(zip(known.index, share.tolist(), strict=True))
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
