"""What the keys of the phrase ask for, each change of it in words, and the way back."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import Literal

from coach.planning.edits import Edits
from coach.planning.naming import say_bars
from coach.planning.transposing import say_shift
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.run.playing import say_room
from coach.score.phrase import Part
from coach.screens.phrase.edit_words import say_change


@dataclass(frozen=True, slots=True)
class Asked:
    """Everything that a key of the phrase can change and undoing brings back."""

    edits: Edits
    """What the player insists on."""

    bpm: float
    """Tempo, in the part's beat."""

    room_beats: float = 0.0
    """Beats of rest at each breath."""

    bars: tuple[int, int] | None = None
    """The bars to rehearse; None where none are chosen."""

    semitones: int = 0
    """How far the page is moved."""

    is_open: frozenset[Literal["bars", "tempo"]] = field(
        default=frozenset(), compare=False
    )
    """What nobody has asked for yet: goes with the rest, and is no change alone."""

    def turned(self, old: Asked, new: Asked) -> Asked:
        """Give it with all that differs between two others as the second has it."""
        changes = {
            one.name: getattr(new, one.name)
            for one in fields(Asked)
            if getattr(old, one.name) != getattr(new, one.name)
        }
        return replace(self, **changes)


def say_asked(before: Asked, after: Asked, part: Part) -> str:
    """Say what was changed from one to the other, as ``tempo 42 instead of 58``.

    A page that is moved has edits of its own: the move alone is named.
    """
    if before.semitones != after.semitones:
        return say_shift(after.semitones - before.semitones)
    words = []
    if before.edits != after.edits:
        words.append(say_change(before.edits, after.edits, part))
    if before.bpm != after.bpm:
        words.append(f"tempo {say_bpm(after.bpm)} instead of {say_bpm(before.bpm)}")
    if before.room_beats != after.room_beats:
        room = after.room_beats
        words.append(f"{say_room(room)} at each breath" if room else "breaths in time")
    if before.bars != after.bars:
        words.append(say_bars(*after.bars) if after.bars else "the whole etude")
    return "; ".join(words)


Change = tuple[Asked, Asked]
"""How it was before a change, and after it."""


class ChangeHistory:
    """Changes on both sides of now.

    Undoing brings back what that change has changed, and leaves alone what was asked
    for elsewhere since, as a tempo at the stand.
    """

    def __init__(self) -> None:
        self._done: list[Change] = []
        self._undone: list[Change] = []

    def add(self, before: Asked, after: Asked) -> None:
        """Remember a change, if it is one; what was undone is forgotten."""
        if before != after:
            self._done.append((before, after))
            self._undone.clear()

    def undo(self, now: Asked) -> tuple[Asked, Change] | None:
        """Undo the last change: what is to be asked for, and what was undone.

        One that changes nothing now, since it was refused, is passed over; None if
        there is no other.
        """
        while self._done:
            before, after = change = self._done.pop()
            self._undone.append(change)
            goal = now.turned(after, before)
            if goal != now:
                return goal, change
        return None

    def redo(self, now: Asked) -> tuple[Asked, Change] | None:
        """Do again what was undone last, told likewise."""
        while self._undone:
            before, after = change = self._undone.pop()
            self._done.append(change)
            goal = now.turned(before, after)
            if goal != now:
                return goal, change
        return None
