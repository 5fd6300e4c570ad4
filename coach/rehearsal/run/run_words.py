"""A run in words: how it came out, and all of it in a line."""

from __future__ import annotations

from coach.planning.naming import (
    say_bars,
    say_place,
    say_place_short,
    say_time_through,
)
from coach.rehearsal.hearing.heard_findings import say_behind
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.playing import say_room
from coach.rehearsal.run.run import Run
from coach.score.plain_text import one_line

NO_VERDICT = "No verdict: next time c says clean, t not clean."
"""Said after words that are kept and that nothing is learned from."""


def say_outcome(run: Run) -> str:
    """Say how a run came out: ``clean``, ``cut off in bar 3``, ``no word on it``.

    Of one that was cut off the player's word is said too.
    """
    if not run.is_completed:
        so_far = {True: ", clean so far", False: ", not clean yet", None: ""}
        bar = f" in bar {run.reached_bar}" if run.reached_bar else ""
        return f"cut off{bar}{so_far[run.called_clean]}"
    if run.is_clean is None:
        return "no word on it"
    return "clean" if run.is_clean else "not clean"


def say_kept(run: Run, *, is_kept: bool = True) -> str:
    """Say how a run stands in the log.

    Parameters
    ----------
    is_kept : bool
        The log takes it; else it is forgotten at the end, and that is said.
    """
    if not run.was_played:
        return "Stopped before the first note: there is nothing to keep."
    how = say_outcome(run)
    if run.is_completed:
        how = f"Played to the end, {how}"
    kept = f"kept in the log as run {run.id}" if is_kept else "not kept in the log"
    words = f"{how[0].upper()}{how[1:]}", _say_marks(run), kept
    return f"{'; '.join(word for word in words if word)}."


def say_mark(mark: Mark) -> str:
    """Say what happened where, as ``ran out at bar 7, beat 3, time 2 through``."""
    where = say_place(mark.bar, mark.beat) + say_time_through(mark.time)
    return f"{mark.kind.words} at {where}"


def say_mark_short(mark: Mark) -> str:
    """Say where a mark stands as it is typed: ``7.3, time 2 through``."""
    return say_place_short(mark.bar, mark.beat) + say_time_through(mark.time)


def say_mark_heard(mark: Mark) -> str:
    """Say what happened where, and how much: ``rushed at bar 3, beat 1, 60 ms ahead``.

    How much is left out where it was not measured.
    """
    much = "" if mark.amount is None else f", {say_behind(mark.amount)}"
    return f"{say_mark(mark)}{much}"


def say_run(run: Run) -> str:
    """Say all of a run in a line, its marks as they are typed, its note in quotes.

    Examples
    --------
    ``Tide, bars 1 to 4 at 58: not clean; ran out 2.1; “lips tired”``
    """
    note = one_line(run.note)
    room = f" with {say_room(run.how.room_beats)}" if run.how.room_beats else ""
    words = [
        f"{one_line(run.etude)}, {say_bars(run.from_bar, run.to_bar)} "
        f"at {run.bpm:g}{room}: {say_outcome(run)}",
        _say_marks(run),
        f"“{note}”" if note else "",
    ]
    return "; ".join(word for word in words if word)


def _say_marks(run: Run) -> str:
    """Say all marks of a run as they are typed."""
    return ", ".join(f"{mark.kind.words} {say_mark_short(mark)}" for mark in run.marks)
