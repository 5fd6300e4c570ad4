"""What was heard of a run as a whole, in a player's words, and what to do next."""

from __future__ import annotations

from collections.abc import Mapping

from coach.planning.naming import say_bars, say_count, say_place
from coach.planning.plan import Plan
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.hearing.heard import (
    Doubt,
    Heard,
    Refusal,
    Refused,
    ToldAgainst,
)
from coach.rehearsal.hearing.heard_findings import last_heard
from coach.rehearsal.hearing.heard_tempo import is_other_tempo, tempo_heard
from coach.rehearsal.hearing.judging.missed_breaths import lacking_breaths
from coach.rehearsal.hearing.telling_settings import TellingSettings

PERCENT = 100
BREATH_STEP_S = 0.05
"""Lengths of breaths are told to this: a room's ring hides the rest."""

REFUSALS: Mapping[Refusal, tuple[str, str]] = {
    Refusal.TOO_SHORT: (
        "it ends before the run has begun",
        "Record from before the count-in to after the last note.",
    ),
    Refusal.SILENT: (
        "it is hardly louder than silence",
        "Put the microphone nearer, or turn its level up.",
    ),
    Refusal.CLIPPED: (
        "too much of it is overloaded",
        "Turn the microphone's level down, or put it farther away.",
    ),
    Refusal.TOO_NOISY: (
        "the horn does not stand out of the noise",
        "Put the microphone nearer to the bell.",
    ),
    Refusal.NO_HORN: (
        "no notes are held in it near the pitches of {page}",
        "Name the recording of the run, and the octave that was played.",
    ),
    Refusal.ANOTHER_PIECE: (
        "too little of what is played in it is on {page}",
        "Name the etude, bars, part, instrument and tempo that were played.",
    ),
}
"""Why nothing can be said, and what to do."""

DOUBTS: Mapping[Doubt, str] = {
    Doubt.NOISY: "The room is noisy: small things may be missed.",
    Doubt.CLIPPED: "Loud notes are overloaded: levels are not to be trusted there.",
    Doubt.RINGING_ROOM: "The room rings long: short breaths may be missed.",
    Doubt.STOPPED_EARLY: "It stops before the last note.",
    Doubt.BEGAN_AGAIN: "It goes back and plays on from there: each note is told as it "
    "was played last.",
    Doubt.TEMPO_ITS_OWN: "It goes at a tempo of its own: {tempo}.",
    Doubt.SWUNG: "Pairs of notes are swung, {swing} to 1: ahead and behind are told "
    "against that.",
    Doubt.FAR_OFF_PITCH: "It is far off pitch.",
    Doubt.OWN_AVERAGE_ONLY: "No count-in is heard: ahead and behind are told "
    "against your own average.",
}
"""What makes the ear less sure."""

SAID_AGAINST: Mapping[ToldAgainst, str] = {
    ToldAgainst.CLICK: "the click",
    ToldAgainst.COUNT_IN: "the count-in",
    ToldAgainst.OWN_AVERAGE: "your own average",
}
"""What ahead and behind are told against."""


def say_refused(refused: Refused, page: str = "this page") -> tuple[str, str]:
    """Say why nothing can be said of a recording, and what to do.

    Parameters
    ----------
    page : str
        What it was held against.
    """
    why, mend = REFUSALS[refused.why]
    return why.format(page=page), mend


def say_doubts(plan: Plan, heard: Heard) -> list[str]:
    """Say what makes the ear less sure, a sentence each."""
    faster = round((heard.own_tempo_share - 1.0) * PERCENT)
    way = "faster" if faster > 0 else "slower"
    tempo = f"{abs(faster)} % {way} than {say_bpm(plan.bpm)}"
    swing = f"{heard.swing_ratio:.1f}"
    return [DOUBTS[doubt].format(tempo=tempo, swing=swing) for doubt in heard.doubts]


def say_length(length: float) -> str:
    """Say how long a breath took, from seconds.

    Examples
    --------
    >>> say_length(0.333)
    '0.35 s'
    """
    return f"{round(length / BREATH_STEP_S) * BREATH_STEP_S:.2f} s"


def say_found(heard: Heard) -> str:
    """Say how much was heard, how surely, and what lateness is told against."""
    found = sum(note.heard is not None for note in heard.notes)
    passed = sum(over.last - over.first + 1 for over in heard.passed_over)
    return (
        f"{found} of {say_count(len(heard.notes) - passed, 'note')} heard, "
        f"{heard.confidence * PERCENT:.0f} % sure; ahead and behind are told against "
        f"{SAID_AGAINST[heard.told_against]}."
    )


def say_breaths(plan: Plan, heard: Heard) -> str:
    """Say how many of the planned breaths were heard, and how long they took."""
    passed = {k for one in heard.passed_over for k in range(one.first, one.last + 1)}
    last = last_heard(heard)
    planned = {
        breath.after_note: breath
        for breath in plan.breaths.breaths
        if passed.isdisjoint((breath.after_note, breath.following))
        and breath.following <= last
    }
    if plan.breaths.breaths and not planned:
        return "none of the planned ones was reached"
    taken = [breath for breath in heard.breaths if breath.after_note in planned]
    more = len(heard.breaths) - len(taken)
    words = [f"{len(taken)} of {say_count(len(planned), 'planned breath')} heard"]
    if more:
        words.append(f"{more} more")
    stolen = [b for b in taken if not planned[b.after_note].is_on_rest]
    if stolen:
        took = sum(b.end - b.start for b in stolen) / len(stolen)
        given = sum(planned[b.after_note].gap for b in stolen) / len(stolen)
        words.append(
            f"between notes {say_length(took)} each, {say_length(given)} planned"
        )
    return "; ".join(words)


def say_evenness(heard: Heard, settings: TellingSettings) -> str:
    """Say how evenly the sound was spent; empty where that could not be told."""
    if heard.evenness is None:
        return ""
    slope, spread = heard.evenness.slope_db_per_s, heard.evenness.spread_db
    words = f"notes within {spread:.1f} dB of their phrase's line"
    if slope <= -settings.spent_db_per_s:
        return f"{words}; {-slope:.1f} dB softer each second: you spent it at the start"
    if slope >= settings.spent_db_per_s:
        return f"{words}; {slope:.1f} dB louder each second: you held it back at first"
    return f"{words}, as loud at the end as at the start"


def say_next(plan: Plan, heard: Heard, settings: TellingSettings) -> str:
    """Say the one thing to work on next."""
    if is_other_tempo(heard, settings):
        goes = say_bpm(tempo_heard(plan, heard))
        return (
            f"Listen to it with --tempo {goes}, at which it goes; or play it at "
            f"{say_bpm(plan.bpm)} with the click."
        )
    if heard.ran_out is not None:
        note = heard.ran_out.note
        first = _phrase_start(plan, note)
        return (
            f"Rehearse {_bars(plan, first, note)} alone: fill up before it, and "
            f"top off before bar {plan.part.notes[note].bar}."
        )
    wrong = sorted({*heard.missed, *heard.wrong})
    if wrong:
        last = max(note for note in wrong if note <= wrong[0] + len(wrong))
        return f"Rehearse {_bars(plan, wrong[0], last)} slower, until every note comes."
    if heard.late_after_breath:
        note = heard.late_after_breath[0].note
        return (
            "Take the breath's time from the note before it, as before bar "
            f"{plan.part.notes[note].bar}."
        )
    lacking = lacking_breaths(plan, heard, settings)
    if lacking:
        before = plan.part.notes[lacking[0].after_note]
        place = say_place(before.bar, float(before.beat))
        return f"Breathe where it is planned, first after {place}."
    uneven = [*heard.rushed, *heard.dragged]
    if uneven:
        worst = max(uneven, key=lambda stretch: abs(stretch.behind))
        return (
            f"Rehearse {_bars(plan, worst.first, worst.last)} with the click "
            "subdivided."
        )
    if heard.came_in is not None:
        return "Breathe on the beat before the first note, and begin with the click."
    return _say_next_of_whole(heard, settings)


def _say_next_of_whole(heard: Heard, settings: TellingSettings) -> str:
    """Say what to work on where nothing went wrong at any place."""
    if heard.stopped is not None:
        return "Play it through to the last note."
    if Doubt.BEGAN_AGAIN in heard.doubts:
        return "Play it through without going back."
    if any(not over.is_recorded for over in heard.passed_over):
        return "Record from before the first note to after the last one."
    if heard.passed_over:
        return "Play it through with all that the page asks for, repeats too."
    if heard.evenness and heard.evenness.slope_db_per_s <= -settings.spent_db_per_s:
        return "Blow the same speed and volume from the first note to the last."
    return "Play it like this again; after three in a row, a notch faster."


def _bars(plan: Plan, first: int, last: int) -> str:
    """Say the bars of some notes."""
    notes = plan.part.notes[first : last + 1]
    numbers = [note.bar for note in notes]
    return say_bars(min(numbers), max(numbers))


def _phrase_start(plan: Plan, note: int) -> int:
    """Give the first note since the breath before a note."""
    before = [b.following for b in plan.breaths.breaths if b.following <= note]
    return max(before, default=0)
