"""Room to breathe: a beat of rest put in at each breath, to be taken away again later.

A player who runs out, or has no time to breathe, first practises with room and then in
time (common practice, no published source).

Conventions
-----------
The click goes on, so what is put in is always the whole beat before the breath, counted
once more: every note after it stays where its click is.  Of half a beat of room the
first half goes to the note before, which is held, and the second is rest.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import floor

from coach.planning.breathing.breaths import Breath
from coach.planning.breathing.locks import Locks
from coach.planning.plan import Plan
from coach.rehearsal.click.metre_beats import FeltBeat, bar_starts_at, feel_bar
from coach.rehearsal.run.playing import A_BEAT
from coach.score.note import Note
from coach.score.phrase import Bar, Part, Room
from coach.score.tempo import Beats, TempoMap, beats

SIXTEENTH = Fraction(1, 4)
"""In quarter notes."""


def put_in_room(
    part: Part, breathed: Iterable[int], room_beats: float, groups: Sequence[int] = ()
) -> Part:
    """Put rest into a part at its breaths.

    Parameters
    ----------
    breathed : iterable of int
        The notes before the breaths, none of them the last.
    room_beats : float
        Felt beats of rest at each breath: a whole one, a half, or none.
    groups : sequence of int
        How the player groups the beats, in written units; empty for the usual way.

    Returns
    -------
    Part
        With as many notes, each with its place on the page.  Where the page rests for
        as long already, nothing is put in.
    """
    if not room_beats:
        return part
    notes = list(part.notes)
    onsets, starts = [bar.onset for bar in part.bars], bar_starts_at(part.bars)
    rooms: dict[int, list[Room]] = {}
    for k in sorted(breathed):
        following = part.notes[k + 1].onset
        index = max(0, bisect_left(onsets, following) - 1)
        bar = part.bars[index]
        at = Beats(following - bar.onset)
        felt = feel_bar(bar.metre, part.tempo.beat, groups)
        beat = _beat_before(felt, Fraction(starts[index] + at) % bar.metre.length)
        room = Room(at, beat)
        if following - part.notes[k].end >= room.length * Fraction(room_beats):
            continue
        rooms.setdefault(index, []).append(room)
        if room_beats < A_BEAT and part.notes[k].end == following:
            held = Beats(notes[k].length + room.length * Fraction(1 - room_beats))
            notes[k] = replace(notes[k], length=held, tuplet=None)
    return _moved(part, notes, rooms) if rooms else part


def _beat_before(felt: Sequence[FeltBeat], place: Fraction) -> Beats:
    """Give the length of the beat before a place of a full bar, 0 being its end."""
    return next(
        (b.length for b in felt if b.at < place <= b.at + b.length), felt[-1].length
    )


def _moved(
    part: Part, notes: Sequence[Note], rooms: Mapping[int, Sequence[Room]]
) -> Part:
    """Let everything after a room come later."""
    bars: list[Bar] = []
    ats: list[Beats] = []
    put_in = [beats(0)]

    def later(place: Beats) -> Beats:
        """Tell where a place has gone; what begins at a room goes behind it."""
        return Beats(place + put_in[bisect_right(ats, place)])

    for k, bar in enumerate(part.bars):
        here = tuple(rooms.get(k, ()))
        onset = Beats(bar.onset + put_in[-1])
        length = Beats(bar.length + sum(room.length for room in here))
        bars.append(replace(bar, onset=onset, length=length, rooms=here))
        for room in here:
            ats.append(Beats(bar.onset + room.at))
            put_in.append(Beats(put_in[-1] + room.length))
    return replace(
        part,
        notes=tuple(replace(note, onset=later(note.onset)) for note in notes),
        bars=tuple(bars),
        tempo_map=TempoMap(
            tuple(replace(mark, at=later(mark.at)) for mark in part.tempo_map.marks)
        ),
        rehearsal_marks=tuple(
            replace(mark, at=later(mark.at)) for mark in part.rehearsal_marks
        ),
    )


def hold_as_in_time(part: Part, plan: Plan) -> Part:
    """Hold no note before a breath longer than its plan does, in whole sixteenths.

    Held in full, for which the room has the time, notes may take more air than in time.
    One that would be left without a sixteenth keeps its length.
    """
    notes = list(part.notes)
    for breath in plan.breaths.breaths:
        note = notes[breath.after_note]
        stops = plan.tempo_map.beats_at(breath.start)
        held = beats(floor((stops - float(note.onset)) / SIXTEENTH) * SIXTEENTH)
        if breath.taken and held:
            notes[breath.after_note] = replace(note, length=held, tuplet=None)
    return replace(part, notes=tuple(notes))


def with_room(locks: Locks, breaths: Iterable[Breath] = ()) -> Locks:
    """Give what the player insists on where breaths have room: no note is left out.

    Parameters
    ----------
    breaths : iterable of Breath
        Breaths of the plan in time, which all stay.
    """
    return replace(
        locks,
        must=locks.must | {breath.after_note for breath in breaths},
        left_out=frozenset(),
        may_leave_out=False,
    )


def as_in_time(plan: Plan, in_time: Plan) -> Plan:
    """Let breaths with room keep the reasons that they have in time."""
    known = {breath.after_note: breath for breath in in_time.breaths.breaths}
    breaths = tuple(
        breath
        if breath.after_note not in known
        else replace(
            breath,
            say_why=known[breath.after_note].say_why,
            is_locked=known[breath.after_note].is_locked,
            is_extra=known[breath.after_note].is_extra,
        )
        for breath in plan.breaths.breaths
    )
    return replace(plan, breaths=replace(plan.breaths, breaths=breaths))
