"""What the screen after a run says: marks, how far it is to the next tempo, advice."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from coach.planning.naming import say_bars
from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.rung import Rung
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.playing import say_room
from coach.rehearsal.run.run_words import say_mark, say_mark_heard
from coach.screens.signs import Signs
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.tempo_words import say_tempo

START_SOUNDS = {"knock": "two knocks", "note": "a held note"}
"""What may begin a run, besides a key."""

PROPOSED_KEYS = "y takes it over, x waves it off; Y and X: all that is heard"
"""What to do with marks that are proposed."""


def say_marks(marks: Sequence[Mark], signs: Signs) -> str:
    """Say all marks of a run in a line, each behind its sign."""
    said = (f"{mark_sign(signs, mark.kind)} {say_mark(mark)}" for mark in marks)
    return f" {signs.bullet} ".join(said) or "nothing marked"


def say_proposed(marks: Sequence[Mark], signs: Signs) -> str:
    """Say all marks that are proposed, each with how much, as questions."""
    said = (f"{mark_sign(signs, mark.kind)} {say_mark_heard(mark)}?" for mark in marks)
    return f"heard: {f' {signs.bullet} '.join(said)}"


def say_rung(rung: Rung, signs: Signs, *, is_asked: bool) -> str:
    """Say how far it is to the next tempo, a sign for each run that is wanted.

    Parameters
    ----------
    is_asked : bool
        The run at hand may be the next clean one, but nobody has called it so.
    """
    full, empty = ("x", ".") if signs.is_plain else ("●", "○")
    clean = min(rung.clean, rung.wanted)
    row = [full] * clean + ["?"] * is_asked + [empty] * rung.wanted
    return f"{' '.join(row[: rung.wanted])}  {rung.say()}"


def say_why(advice: Advice, *, is_asked: bool) -> str:
    """Say why it comes next; as long as nobody has called the run clean, if it was."""
    if not is_asked:
        return advice.why
    return f"if it was clean: {advice.why[:1].lower()}{advice.why[1:]}"


def say_advice(advice: Advice, beat: Fraction, signs: Signs) -> str:
    """Say what comes next in a line."""
    if advice.kind == "rest":
        return "next: a rest for lips and arm"
    bars = say_bars(advice.from_bar, advice.to_bar)
    room = f" with {say_room(advice.room_beats)}" if advice.room_beats else ""
    return f"next: {bars} at {say_tempo(advice.bpm, beat, signs)}{room}"


def say_start(by: str, *, is_being_heard: bool) -> str:
    """Say what a sound that begins a run does now; while a run is heard it waits."""
    sound = START_SOUNDS[by]
    if is_being_heard:
        return f"{sound}: not yet, the run is being listened to"
    return f"{sound}: the same again"
