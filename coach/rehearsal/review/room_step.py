"""Steps with room to breathe: a beat of rest at each breath, half a beat, then in time.

What runs out or finds no time to breathe is first played with room and then in time
(common practice, no published source).  The tempo stays while the room is taken away.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from coach.planning.naming import say_count
from coach.rehearsal.click.tempo_scale import TempoSettings, say_bpm, step_tempo
from coach.rehearsal.review.advice import Advice, Standing, advice_on
from coach.rehearsal.review.footing import Footing
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.marked import say_times
from coach.rehearsal.review.next_step import NextStep
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import A_BEAT, less_room, say_room

NO_BREATH = frozenset(
    {MarkKind.RAN_OUT, MarkKind.MISSED_BREATH, MarkKind.LATE_AFTER_BREATH}
)
"""What room to breathe may cure."""


def offer_room(step: NextStep) -> Advice | None:
    """Give each breath room, once a day, where slow runs are short of breath."""
    here, ladder, bpm = step.here, step.ladder, step.rung.bpm
    if bpm > here.goal_bpm * ladder.room_up_to_share:
        return None
    last, zone = step.last_with_room, here.now.tzinfo
    if last is not None and last.astimezone(zone).date() == here.now.date():
        return None
    short = Counter(
        fault
        for run in step.failed
        for fault in {(m.kind, m.bar) for m in run.marks if m.kind in NO_BREATH}
    )
    if not short or max(short.values()) < ladder.breathe_runs:
        return None
    if not (here.has_breaths or _breathes_ahead(here, bpm)):
        return None
    (kind, bar), times = short.most_common(1)[0]
    what = say_times(kind, times, bar)
    why = f"{what}: first {say_room(A_BEAT)} at each breath, then in time."
    return replace(advice_on(here, "breathe", bpm, why), room_beats=A_BEAT)


def _breathes_ahead(here: Standing, bpm: float) -> bool:
    """Tell whether the plan of bars that are not on the stand has a breath in it."""
    ahead = here.outlook.ask((here.from_bar, here.to_bar), bpm)
    return ahead is not None and bool(ahead.breath_bars)


def step_with_room(
    rung: Footing | None, here: Standing, ladder: LadderSettings, scale: TempoSettings
) -> Advice:
    """Tell what comes next where each breath has room.

    Parameters
    ----------
    rung : Footing, optional
        Where these bars stand with as much room; None where they were never played so.

    Returns
    -------
    Advice
        Less room at the same tempo after enough clean runs; more of it, or slower,
        after enough that failed; else the same again.
    """
    room = say_room(here.room_beats)
    if rung is None:
        why = f"Begin with {room} at each breath, at {say_bpm(here.bpm)}."
        return advice_on(here, "again", here.bpm, why)
    bpm, clean = rung.bpm, rung.clean
    if clean >= ladder.room_runs:
        less = less_room(here.room_beats)
        done = f"{say_count(clean, 'clean run')} with {room} at each breath"
        then = f"with {say_room(less)}" if less else "in time"
        advice = advice_on(here, "less-room", bpm, f"{done}: {then} at {say_bpm(bpm)}.")
        return replace(advice, room_beats=less)
    failed = len(rung.failed)
    if failed >= ladder.demote_runs:
        what = f"{say_count(failed, 'run')} with {room} were not clean"
        if here.room_beats < A_BEAT:
            why = f"{what}: back to {say_room(A_BEAT)} at each breath."
            return replace(advice_on(here, "breathe", bpm, why), room_beats=A_BEAT)
        below = step_tempo(bpm, -1, scale)
        why = f"{what}: go down to {say_bpm(below)}."
        return advice_on(here, "slower", below, why)
    wanted = ladder.room_runs
    why = f"{clean} clean in a row; {wanted - clean} more and there is less room."
    if not clean:
        why = f"Not clean yet with {room}: once more at {say_bpm(bpm)}."
    advice = advice_on(here, "again", bpm, why)
    return replace(advice, clean=clean, needed=wanted)
