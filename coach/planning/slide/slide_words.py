"""Say in a player's words what the arm cannot do, or cannot do in time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from coach.planning.instrument.instrument import Instrument
from coach.planning.instrument.placement import Placement, find_place
from coach.planning.slide.arm import move_time_s
from coach.planning.slide.slide_costs import Moment
from coach.planning.slide.slide_settings import SlideSettings
from coach.score.phrase import Part

MS_IN_S = 1000
MOST_BARS = 6
"""Bars that a notice names before it says "and others"."""


class Placed(Protocol):
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
    plan: Placed,
    locked: Mapping[int, str],
) -> tuple[str, ...]:
    """Tell what the player must know of a plan.

    Parameters
    ----------
    part : Part
        What is played.
    instrument : Instrument
        On what.
    settings : SlideSettings
        How fast the arm is.
    moments : sequence of Moment
        When each note comes.
    plan : Placed
        Where each is played.
    locked : mapping
        What the player insists on.

    Returns
    -------
    tuple of str
        Notes that cannot be played, locks that cannot be kept, moves too quick for
        the arm; empty if all is well.
    """
    return (
        *_unplayable(part, instrument),
        *_broken_locks(part, instrument, locked),
        *_hurried(part, settings, moments, plan),
    )


def _unplayable(part: Part, instrument: Instrument) -> list[str]:
    """Name the pitches that the instrument does not have, and their bars."""
    bars: dict[str, list[int]] = {}
    for note in part.notes:
        if not instrument.choices(note.sounding.midi):
            bars.setdefault(str(note.sounding), []).append(note.bar)
    return [
        f"{pitch} in {_bars(where)} cannot be played on the {instrument.title}."
        for pitch, where in bars.items()
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
                f"{note.sounding} in bar {note.bar}, beat {float(note.beat):.4g} has no"
                f" {instrument.say_place(asked)}"
                + (f": choose from {labels}." if labels else ".")
            )
    return notices


def _hurried(
    part: Part, settings: SlideSettings, moments: Sequence[Moment], plan: Placed
) -> list[str]:
    """Name the move that is most too quick for any arm, and count the others."""
    over = [
        move_time_s(travel, settings.limit_mps2) / moment.ioi_s
        for travel, moment in zip(plan.travel_by_note_cm, moments, strict=True)
    ]
    count = sum(ratio > 1.0 for ratio in over)
    if not count:
        return []
    k = over.index(max(over))
    note, travel, has_s = part.notes[k], plan.travel_by_note_cm[k], moments[k].ioi_s
    others = f" ({count - 1} more like it)" if count > 1 else ""
    return [
        f"Bar {note.bar}, beat {float(note.beat):.4g}: {travel:.0f} cm of slide in"
        f" {MS_IN_S * has_s:.0f} ms is quicker than an arm moves{others}:"
        " glide through it, or take it slower."
    ]


def _bars(numbers: Sequence[int]) -> str:
    """Name bars, each once, in order: ``bars 2, 3 and others``."""
    each = sorted(set(numbers))
    named = ", ".join(str(number) for number in each[:MOST_BARS])
    more = " and others" if len(each) > MOST_BARS else ""
    return f"bar{'s' if len(each) > 1 else ''} {named}{more}"
