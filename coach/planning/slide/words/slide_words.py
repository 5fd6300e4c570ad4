"""Say in a player's words what the slide cannot do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from coach.planning.instrument.instrument import Instrument
from coach.planning.instrument.placement import find_place
from coach.planning.instrument.range_fit import say_way
from coach.planning.naming import say_place
from coach.planning.slide.moment import Moment
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.slurs import Move, move_between
from coach.planning.slide.words.hurry_words import PlacedNotes, say_hurried
from coach.score.bar_numbers import name_bars
from coach.score.note import Note, spelled_in
from coach.score.phrase import Part


def slide_notices(
    part: Part,
    instrument: Instrument,
    settings: SlideSettings,
    moments: Sequence[Moment],
    plan: PlacedNotes,
    locked: Mapping[int, str],
) -> tuple[str, ...]:
    """Tell what the player must know of a plan.

    Returns
    -------
    tuple of str
        Notes that cannot be played, locks that cannot be kept, glissandi that no
        slide makes, moves too quick for the arm; empty if all is well.
    """
    return (
        *_unplayable(part, instrument),
        *_broken_locks(part, instrument, locked),
        *_not_gliding(part, instrument, moments, plan),
        *say_hurried(part, instrument, settings, moments, plan),
    )


def _unplayable(part: Part, instrument: Instrument) -> list[str]:
    """Name the pitches that the instrument does not have, and their bars."""
    bars: dict[str, list[int]] = {}
    for note in part.notes:
        if not instrument.choices(note.sounding.midi):
            bars.setdefault(str(note.sounding), []).append(note.bar)
    if not bars:
        return []
    *others, last = bars
    pitches = f"{', '.join(others)} and {last}" if others else last
    where = name_bars(bar for numbers in bars.values() for bar in numbers)
    return [
        f"{pitches} in {where} cannot be played on the {instrument.title}.",
        say_way(part, instrument),
    ]


def _broken_locks(
    part: Part, instrument: Instrument, locked: Mapping[int, str]
) -> list[str]:
    """Name the places that the player asks for and the pitch does not have."""
    notices = []
    for k, asked in sorted(locked.items()):
        if not 0 <= k < len(part.notes):
            notices.append(
                f"There is no note {k + 1} for {instrument.say_place(asked)}."
            )
            continue
        note = part.notes[k]
        places = instrument.choices(note.sounding.midi)
        if find_place(places, asked) is None:
            labels = ", ".join(place.label for place in places if place.label)
            notices.append(
                f"{note.sounding} in {say_place(note.bar, float(note.beat))} has no"
                f" {instrument.say_place(asked)}"
                + (f": choose from {labels}." if labels else ".")
            )
    return notices


def _not_gliding(
    part: Part, instrument: Instrument, moments: Sequence[Moment], plan: PlacedNotes
) -> Iterator[str]:
    """Name the glissandi for which the slide has no way on one partial."""
    fifths = {bar.number: bar.fifths for bar in part.bars}
    notes = list(zip(part.notes, moments, plan.placements, strict=True))
    for (before, _, old), (after, moment, new) in pairwise(notes):
        move = move_between(old, new, after.sounding.midi - before.sounding.midi)
        if moment.begin is Begin.GLIDE and move is not Move.SMEAR:
            way = _glide_in_part(instrument, before, after, fifths[after.bar])
            yield (
                f"The slide makes no glissando from {before.sounding} to "
                f"{after.sounding} ({say_place(after.bar, float(after.beat))}): no "
                f"partial that can be taken there has both; {way}."
            )


def _glide_in_part(
    instrument: Instrument, before: Note, after: Note, fifths: int
) -> str:
    """Say how much of a glissando there is: the longest way out of a note or into one.

    Common practice, no published source.
    """
    first, last = before.sounding.midi, after.sounding.midi
    step = 1 if last > first else -1
    for goal in range(last - step, first, -step):
        if _glides(instrument, first, goal):
            name = spelled_in(goal, fifths)
            return f"glide as far as {name}, then play {after.sounding}"
        from_there = first + last - goal
        if _glides(instrument, from_there, last):
            name = spelled_in(from_there, fifths)
            return (
                f"play {before.sounding}, then glide into {after.sounding} from {name}"
            )
    return "play two notes"


def _glides(instrument: Instrument, first: int, last: int) -> bool:
    """Tell whether the slide goes from one key number to another on one partial."""
    return any(
        move_between(old, new, last - first) is Move.SMEAR
        for old in instrument.choices(first)
        for new in instrument.choices(last)
    )
