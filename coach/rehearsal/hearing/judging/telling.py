"""Put together what is told of a take, in run time.

Conventions
-----------
Run time is a note's time in the take plus the take's `offset`.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coach.rehearsal.hearing.alignment.page_leaps import late_of, leapt_s
from coach.rehearsal.hearing.alignment.taken_notes import Taken, TakenNote
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import (
    Doubt,
    Heard,
    HeardNote,
    ToldAgainst,
)
from coach.rehearsal.hearing.hearing_settings import HearingSettings
from coach.rehearsal.hearing.judging.breath_gaps import find_breaths
from coach.rehearsal.hearing.judging.evenness import (
    find_evenness,
    find_ran_out,
    find_thin,
)
from coach.rehearsal.hearing.judging.missed_notes import (
    faint_notes,
    find_missed,
    find_wrong,
)
from coach.rehearsal.hearing.judging.own_tempo import find_own_tempo
from coach.rehearsal.hearing.judging.passed_over import find_passed_over
from coach.rehearsal.hearing.judging.rushed_stretches import (
    find_entry,
    find_late_entries,
    find_stretches,
)
from coach.rehearsal.hearing.judging.swing import find_swing, swung_s
from coach.rehearsal.hearing.judging.trust import (
    SoundFacts,
    doubts_of,
    found_share,
)
from coach.rehearsal.hearing.take_start import TakeStart
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a leg lies against the click."""

    late: float
    """How late it is as a whole."""

    is_own: bool
    """Only its own average tells who is ahead in it."""


def tell(
    taken: Taken,
    due: DuePart,
    start: TakeStart,
    facts: SoundFacts,
    settings: HearingSettings,
) -> Heard:
    """Tell what was heard."""
    there = taken.last_of_each()
    over = find_passed_over(taken, due, start)
    passed = {k for one in over for k in range(one.first, one.last + 1)}
    places = _places(taken, due, start, passed)
    is_apart = 2 * sum(place.is_own for place in places.values()) > len(places)
    times = [float(note.due) for note in due.notes]
    late = {
        k: note.at + start.offset - times[k] - places[k].late
        for k, note in there.items()
    }
    own = find_own_tempo(times, late, settings.timing)
    is_its_own = abs(own.share - 1.0) > settings.timing.own_tempo_share
    if start.told_against is ToldAgainst.OWN_AVERAGE:
        late = {k: own.behind_it(times[k], value) for k, value in late.items()}
    swing = find_swing(due, [late.get(k) for k in range(len(times))], settings.swing)
    if swing is not None:
        by_swing = swung_s(due, swing)
        late = {k: value - by_swing[k] for k, value in late.items()}
    faint = faint_notes(taken, settings.trust)
    notes = tuple(
        _note(
            times[k],
            there.get(k),
            start.offset,
            None if k in faint else late.get(k),
        )
        for k in range(len(times))
    )
    against = ToldAgainst.OWN_AVERAGE if is_apart else start.told_against
    is_alone = against is ToldAgainst.OWN_AVERAGE
    in_order = [late[k] for k in sorted(late)]
    came_in = None if is_alone else find_entry(in_order, settings.timing)
    behind = [
        None if note.behind is None else note.behind - (came_in or 0.0)
        for note in notes
    ]
    breaths = find_breaths(
        notes, {k: note.sank_db for k, note in there.items()}, due, settings.breaths
    )
    last = max(leg.notes[-1].note for leg in taken.legs)
    stopped = notes[last].ended if last < _last_due(due) else None
    again = tuple(leg.notes[0].note for leg in taken.legs[1:])
    levels = [note.level_db for note in notes]
    bright = [there[k].bright_db if k in there else None for k in range(len(notes))]
    doubts = [*doubts_of(taken, facts, settings.trust)]
    if stopped is not None:
        doubts.append(Doubt.STOPPED_EARLY)
    if _goes_back(taken):
        doubts.append(Doubt.BEGAN_AGAIN)
    if is_its_own:
        doubts.append(Doubt.TEMPO_ITS_OWN)
    if swing is not None:
        doubts.append(Doubt.SWUNG)
    if start.told_against is ToldAgainst.OWN_AVERAGE:
        doubts.append(Doubt.OWN_AVERAGE_ONLY)
    return Heard(
        notes=notes,
        breaths=breaths,
        rushed=find_stretches(times, behind, -1, settings.timing),
        dragged=find_stretches(times, behind, 1, settings.timing),
        late_after_breath=find_late_entries(behind, breaths, settings.timing),
        missed=find_missed(taken, due, passed, settings.trust),
        wrong=find_wrong(taken, due, settings.trust),
        ran_out=find_ran_out(
            due, notes[: last + 1], taken.evidence.floor_db, settings.evenness
        ),
        evenness=find_evenness(due, levels, settings.evenness),
        thin=find_thin(due, bright, settings.evenness),
        offset=Seconds(start.offset),
        tuning_cents=taken.evidence.tuning_cents,
        own_tempo_share=own.share,
        stopped=stopped,
        began_again=again,
        came_in=None if came_in is None else Seconds(came_in),
        told_against=against,
        confidence=_confidence(taken, due, there),
        doubts=tuple(doubts),
        passed_over=over,
        swing_ratio=1.0 if swing is None else swing.ratio,
    )


def _places(
    taken: Taken, due: DuePart, start: TakeStart, passed: Set[int]
) -> dict[int, _Place]:
    """Give the place of each note that is told."""
    leapt = leapt_s(taken.legs, due)
    places: dict[int, _Place] = {}
    for k, told in enumerate(taken.told_of_legs()):
        late = late_of(taken.legs[k], due) + start.offset
        is_ours = k == 0 and start.told_against is ToldAgainst.CLICK and 0 not in passed
        place = _place(late, leapt[k], float(due.beat), is_ours=is_ours)
        places |= dict.fromkeys((note.note for note in told), place)
    return places


def _place(late: float, leapt: float, beat: float, *, is_ours: bool) -> _Place:
    """Tell how late a leg is as a whole, if it has a place of its own.

    Who stops and begins again is no longer with the click: only the leg's own average
    can tell who is ahead then.  A leg within a beat of its place goes on with it, and
    so does one that was leapt to in time.
    """
    if leapt and abs(late - leapt) <= beat:
        return _Place(leapt, is_own=False)
    if is_ours or abs(late) <= beat:
        return _Place(0.0, is_own=False)
    return _Place(late, is_own=True)


def _goes_back(taken: Taken) -> bool:
    """Tell whether the player went back on the page."""
    return any(
        leg.notes[0].note <= before.notes[-1].note
        for before, leg in pairwise(taken.legs)
    )


def _note(
    due: float, taken: TakenNote | None, offset: float, late: float | None
) -> HeardNote:
    """Put one note into run time; how late a faint one was nobody can say."""
    if taken is None:
        return HeardNote(Seconds(due))
    at = taken.at + offset
    return HeardNote(
        due=Seconds(due),
        heard=Seconds(at),
        ended=Seconds(taken.end + offset),
        behind=None if late is None else Seconds(late),
        level_db=taken.level_db,
        cents=taken.cents,
        midi=taken.midi,
        confidence=taken.confidence,
    )


def _last_due(due: DuePart) -> int:
    """Name the last note that is not left out."""
    return max(k for k, note in enumerate(due.notes) if not note.is_left_out)


def _confidence(taken: Taken, due: DuePart, there: dict[int, TakenNote]) -> float:
    """Tell how sure the whole is."""
    sure = float(np.mean([note.confidence for note in there.values()]))
    return sure * found_share(taken, due)
