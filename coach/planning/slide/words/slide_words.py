"""Say in a player's words what the arm cannot do, or cannot do in time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import ceil
from typing import Protocol

from coach.planning.instrument.instrument import Instrument
from coach.planning.instrument.placement import Placement, find_place
from coach.planning.instrument.range_fit import say_way
from coach.planning.naming import say_place
from coach.planning.slide.arm import move_time_s
from coach.planning.slide.moment import Moment
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.slurs import Move, move_between
from coach.score.bar_numbers import name_bars
from coach.score.note import Note, spelled_in
from coach.score.phrase import Part

MS_IN_S = 1000
PERCENT = 100


class PlacedNotes(Protocol):
    """What the words need of a plan."""

    @property
    def placements(self) -> tuple[Placement, ...]:
        """One for each note."""
        ...

    @property
    def travel_by_note_cm(self) -> tuple[float, ...]:
        """How far the arm goes to reach each note."""
        ...


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
        *_hurried(part, settings, moments, plan),
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


def _hurried(
    part: Part, settings: SlideSettings, moments: Sequence[Moment], plan: PlacedNotes
) -> list[str]:
    """Name the moves that are too quick for any arm, and the worst of them.

    To and from grace notes apart from the others: what is smeared, begun sooner or left
    out there is no reason to take all of it slower.
    """
    over = [
        move_time_s(travel, settings.limit_mps2) / moment.ioi_s
        for travel, moment in zip(plan.travel_by_note_cm, moments, strict=True)
    ]
    notes = part.notes
    small = {
        k for k in range(1, len(notes)) if notes[k].is_grace or notes[k - 1].is_grace
    }
    quick = [k for k, by in enumerate(over) if by > 1.0]
    graced = [k for k in quick if k in small]
    sentences = []
    for found, has, ways in (
        (
            [k for k in quick if k not in small],
            "the slide has less time than an arm needs",
            "glide through, or take it {} % slower",
        ),
        (
            graced,
            "the slide is too slow for grace notes",
            f"{_grace_ways(moments, plan, graced)}, or leave them out",
        ),
    ):
        if found:
            k = max(found, key=over.__getitem__)
            travel, has_s = plan.travel_by_note_cm[k], moments[k].ioi_s
            where = name_bars(notes[j].bar for j in found)
            sentences.append(
                f"{where[0].upper()}{where[1:]}: {has}, most of all for "
                f"{say_place(notes[k].bar, float(notes[k].beat))} ({travel:.0f} cm in "
                f"{MS_IN_S * has_s:.0f} ms): {ways.format(slower_percent(over[k]))}."
            )
    return sentences


def _grace_ways(
    moments: Sequence[Moment], plan: PlacedNotes, notes: Sequence[int]
) -> str:
    """Say what may be done with grace notes that come too quickly for the arm.

    Common practice, no published source: what lies on one partial can be smeared; to
    cross one, the tongue has to part the notes, and the arm has to have been there.
    """
    moves = {
        move_between(
            plan.placements[k - 1],
            plan.placements[k],
            moments[k].midi - moments[k - 1].midi,
        )
        for k in notes
    }
    ways = ["smear them"] * (Move.SMEAR in moves)
    return ", ".join([*ways, *["begin them sooner"] * bool(moves - {Move.SMEAR})])


def slower_percent(times: float) -> int:
    """Tell how much slower to play what is so many times too quick, rounded up.

    Examples
    --------
    >>> slower_percent(1.25), slower_percent(1.001)
    (20, 1)
    """
    return ceil(PERCENT * (1.0 - 1.0 / times))
