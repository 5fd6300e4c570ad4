"""How the run that plays is, or the next one will be, in a line."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from coach.planning.naming import say_bars
from coach.rehearsal.run.playing import say_room
from coach.rehearsal.stand.wishes import RunWishes
from coach.screens.signs import Signs, say_mic
from coach.screens.tempo_words import say_tempo

if TYPE_CHECKING:
    from coach.conductor import Conductor


def say_title(conductor: Conductor, signs: Signs) -> str:
    """Name the piece, behind the sign of a microphone that is on."""
    title = conductor.part.title
    return say_mic(title, signs) if conductor.wishes.listens else title


STARTS = {
    "note": "hold a note, or space, to begin",
    "knock": "knock twice, or space, to begin",
}


def say_start(wishes: RunWishes) -> str:
    """Say what begins a run."""
    by = wishes.following.start_by if wishes.listens else ""
    return STARTS.get(by, "space starts the count-in")


def as_played(conductor: Conductor) -> RunWishes:
    """Give how the run that plays was asked for: its bars, tempo and room."""
    segment = conductor.segment
    return replace(
        conductor.wishes,
        from_bar=segment.from_bar,
        to_bar=segment.to_bar,
        bpm=conductor.plan.bpm,
        room_beats=conductor.room_beats,
    )


def say_wishes(
    wishes: RunWishes, beat: Fraction, row: tuple[int, int] | None, signs: Signs
) -> str:
    """Say in a line how a run is asked for; `row` is which of how many plays."""
    words = []
    if wishes.click.guide:
        words.append("guide")
    if wishes.click.drone:
        words.append("drone")
    if wishes.click.subdivision > 1:
        words.append(f"click in {wishes.click.subdivision}")
    if wishes.segment_by == "breath":
        words.append("by breath")
    if wishes.is_from_end:
        words.append("from the end")
    if wishes.is_ladder_on:
        words.append("ladder")
    if row is not None and row[1] > 1:
        words.append(f"run {row[0]} of {row[1]}")
    elif wishes.runs_in_a_row > 1:
        words.append(f"{wishes.runs_in_a_row} in a row")
    if wishes.room_beats:
        words.append(say_room(wishes.room_beats))
    words.append(say_bars(wishes.from_bar, wishes.to_bar))
    words.append(say_tempo(wishes.bpm, beat, signs))
    return f" {signs.bullet} ".join(words)


def say_next(conductor: Conductor, signs: Signs) -> str:
    """Say what lies on the stand, and with which key it is played."""
    wishes = conductor.wishes
    tempo = say_tempo(wishes.bpm, conductor.part.tempo.beat, signs)
    return (
        f"Next: {say_bars(wishes.from_bar, wishes.to_bar)} at {tempo}. Space starts it."
    )
