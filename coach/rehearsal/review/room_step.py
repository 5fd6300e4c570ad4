"""Steps for breath: another one, or room at each: a beat of rest, half, then in time.

What runs out or finds no time to breathe is first played with room and then in time
(common practice, no published source).  The tempo stays while the room is taken away.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from coach.planning.naming import say_count
from coach.rehearsal.ahead.breath_before import first_out, last_before, say_fill_up
from coach.rehearsal.click.tempo_scale import TempoSettings, say_bpm, step_tempo
from coach.rehearsal.review.advice import Advice, Standing, advice_on
from coach.rehearsal.review.footing import Footing
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.marked import (
    missed_before,
    ran_out_most,
    say_times,
    say_what_failed,
)
from coach.rehearsal.review.next_step import NextStep
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import A_BEAT, less_room, say_room

NO_BREATH = frozenset(
    {MarkKind.RAN_OUT, MarkKind.MISSED_BREATH, MarkKind.LATE_AFTER_BREATH}
)
"""What room to breathe may cure."""

ELSE = "breathe before it, or softer"
"""What is said where no plan tells more."""


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
    (kind, bar), times = short.most_common(1)[0]
    if not _has_use(step, kind, bar):
        return None
    what = say_times(kind, times, bar)
    why = f"{what}: first {say_room(A_BEAT)} at each breath, then in time."
    return replace(advice_on(here, "breathe", bpm, why), room_beats=A_BEAT)


def _has_use(step: NextStep, kind: MarkKind, bar: int) -> bool:
    """Tell whether a breath with room could cure what went wrong in a bar.

    Where the air ran out that is the last breath before, if it does not fill up anyway.
    """
    here = step.here
    bars, bpm = (here.from_bar, here.to_bar), step.rung.bpm
    is_out = kind is MarkKind.RAN_OUT
    # What these runs have taught is what the next start plans for, too.
    ahead = here.outlook.ask_anew(bars, bpm) if is_out else None
    ahead = ahead or here.outlook.ask(bars, bpm)
    if ahead is None:
        return here.has_breaths
    if not is_out:
        return bool(ahead.breath_bars)
    place = last_before(ahead.breath_places, first_out(step.failed, (bar, bar)))
    return place in ahead.short_places


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
        what = say_what_failed(rung.failed)
        fill = say_fill_up(here, bpm, rung.failed[:1])
        why = f"Not clean yet with {room}{what}: once more at {say_bpm(bpm)}{fill}."
    advice = advice_on(here, "again", bpm, why)
    return replace(advice, clean=clean, needed=wanted)


def breathe_elsewhere(step: NextStep) -> Advice | None:
    """Ask for another breath; then for a faster tempo, a part, or to leave it.

    Slower would take more air.  The breath is one that the plan takes for the air that
    these runs have taught.

    Returns
    -------
    Advice or None
        None where the air did not run out at one place in several failed runs.
    """
    found = ran_out_most(step.failed)
    enough = step.ladder.breathe_runs
    if found is None or found[1] < enough:
        return None
    bars, times = found
    ran_out = say_times(MarkKind.RAN_OUT, times, *bars)
    is_most = 2 * times > len(step.failed)
    bpm = step.rung.bpm
    if times < 2 * enough:
        missed = missed_before(step.failed, bars[1])
        cure = (
            f"the breath in bar {missed} was missed: take it"
            if missed is not None
            else _learned_breath(step, bars)
        )
        why = f"{ran_out}: {cure}."
        why += " Slower would take more air." if is_most else ""
        return advice_on(step.here, "breathe", bpm, why)
    faster = step_tempo(bpm, 1, step.scale)
    if is_most and times < 3 * enough and faster <= step.here.goal_bpm:
        why = f"{ran_out}: slower would take more air, so try {say_bpm(faster)}."
        return advice_on(step.here, "faster", faster, why)
    return step.smaller(ran_out) or step.leave(ran_out)


def _learned_breath(step: NextStep, bars: tuple[int, int]) -> str:
    """Say which breath the plan has for this player's air before it runs out.

    One that it takes only now, for what these runs have taught, is told as new.
    """
    here, bpm = step.here, step.rung.bpm
    segment = (here.from_bar, here.to_bar)
    known = here.outlook.ask(segment, bpm)
    learned = here.outlook.ask_anew(segment, bpm)
    if known is None or learned is None:
        return ELSE
    out = first_out(step.failed, bars)
    new = [one for one in learned.breath_places if one not in known.breath_places]
    fresh = last_before(new, out)
    if fresh is not None:
        return f"your air is learned to be less, and there is now a breath {fresh}"
    place = last_before(learned.breath_places, out)
    if place is None:
        return ELSE
    return f"fill right up {place}, where the plan breathes, or play softer"
