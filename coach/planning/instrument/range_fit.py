"""Whether an instrument can play a part, and how far away it would fit."""

from __future__ import annotations

from collections import Counter

from coach.planning.instrument.instrument import Instrument
from coach.planning.naming import say_count
from coach.planning.transposing import MOST_SEMITONES, say_shift
from coach.score.bar_numbers import name_bars
from coach.score.note import SEMITONES_IN_OCTAVE
from coach.score.phrase import Part

OTHER_INSTRUMENT = "For another instrument: --instrument NAME."
"""What is to be done where the part is for another instrument."""


def fitting_shift(part: Part, instrument: Instrument) -> int | None:
    """Tell how far a part must be moved to be playable: 0 where it is already.

    Returns
    -------
    int or None
        Semitones, up if positive: the nearest octave that fits, else the fewest
        semitones; None where nothing within three octaves does.
    """
    keys = Counter(note.sounding.midi for note in part.notes)
    nearest = sorted(range(-MOST_SEMITONES, MOST_SEMITONES + 1), key=abs)
    octaves = [shift for shift in nearest if shift % SEMITONES_IN_OCTAVE == 0]
    for shift in (*octaves, *nearest):
        if all(instrument.choices(key + shift) for key in keys):
            return shift
    return None


def say_fit(part: Part, instrument: Instrument) -> str:
    """Say what an instrument cannot play, and by how much it would fit.

    Returns
    -------
    str
        One or two sentences; empty where every note can be played.
    """
    out = [note for note in part.notes if not instrument.choices(note.sounding.midi)]
    if not out:
        return ""
    bars = name_bars(note.bar for note in out)
    what = (
        f"{say_count(len(out), 'note')} in {bars} cannot be played on the "
        f"{instrument.title}."
    )
    told = (what, say_way(part, instrument), _say_written(part, instrument))
    return " ".join(filter(None, told))


def _say_written(part: Part, instrument: Instrument) -> str:
    """Say how notes are typed as a transposing instrument reads them, if they are.

    They are where they would fit so, and what is heard is what stands on the page.
    """
    down = instrument.readings[0].transposition_semitones
    is_as_heard = all(note.written == note.sounding for note in part.notes)
    keys = {note.sounding.midi + down for note in part.notes}
    if not (down and is_as_heard and all(map(instrument.choices, keys))):
        return ""
    return (
        f"They are taken as heard: if they are written for the {instrument.title}, "
        f"type transpose={down} behind K: in ABC."
    )


def say_way(part: Part, instrument: Instrument) -> str:
    """Say by how much a part that cannot be played would fit, and what to type."""
    shift = fitting_shift(part, instrument)
    if shift is None:
        return f"It fits in no key within three octaves. {OTHER_INSTRUMENT}"
    goal = part.moved_semitones + shift
    way = say_shift(goal) if goal else "as it is written"
    return f"It fits {way}: --transpose {goal}. {OTHER_INSTRUMENT}"
