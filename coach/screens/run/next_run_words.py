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
    return say_mic(title, signs) if conductor.is_listening else title


STARTS = {
    "note": "hold a note, or space, to begin",
    "knock": "knock twice, or space, to begin",
}


def say_start(conductor: Conductor) -> str:
    """Say what begins a run, and whether to wait for a click then."""
    by = conductor.wishes.following.start_by if conductor.is_listening else ""
    starts = STARTS.get(by, "space starts the count-in")
    return f"no sound: {starts}" if conductor.is_silent else starts


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


def say_where(wishes: RunWishes, beat: Fraction, signs: Signs) -> str:
    """Say which bars are asked for, and how fast."""
    bars = say_bars(wishes.from_bar, wishes.to_bar)
    return f"{bars} {signs.bullet} {say_tempo(wishes.bpm, beat, signs)}"


def say_how(
    wishes: RunWishes, row: tuple[int, int] | None, *, is_silent: bool
) -> list[str]:
    """Say how a run is asked for, the least important first.

    Parameters
    ----------
    row : (int, int), optional
        Which of how many runs plays.
    is_silent : bool
        No click sounds, by wish or since there is no gear for it.
    """
    click = wishes.click
    plays = ""
    if row is not None and row[1] > 1:
        plays = f"run {row[0]} of {row[1]}"
    elif wishes.runs_in_a_row > 1:
        plays = f"{wishes.runs_in_a_row} in a row"
    words = [
        "guide" if click.guide else "",
        "drone" if click.drone else "",
        f"click in {click.subdivision}" if click.subdivision > 1 else "",
        "by breath" if wishes.segment_by == "breath" else "",
        "from the end" if wishes.is_from_end else "",
        "ladder" if wishes.is_ladder_on else "",
        "no sound" if is_silent else "",
        plays,
        say_room(wishes.room_beats) if wishes.room_beats else "",
    ]
    return [word for word in words if word]


def say_next(conductor: Conductor, signs: Signs) -> str:
    """Say what lies on the stand, and with which key it is played."""
    wishes = conductor.wishes
    tempo = say_tempo(wishes.bpm, conductor.part.tempo.beat, signs)
    return (
        f"Next: {say_bars(wishes.from_bar, wishes.to_bar)} at {tempo}. Space starts it."
    )
