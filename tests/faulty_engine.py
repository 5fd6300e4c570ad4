"""An engine that plays the line along with faults that are known to the sample.

Its microphone hears them as it would hear a player's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from coach.config import write_player_file
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_choice, read_pedals
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.score.tempo import Seconds

OFF_S = 0.09
"""So early or late come notes that are off."""

Spoil = Callable[[list[Click]], list[Click]]
"""Makes faults of the notes of the line, in order."""


def spoiled(track: ClickTrack, spoil: Spoil) -> ClickTrack:
    """Let the guide of a track play with faults."""
    guide = [click for click in track.clicks if click.kind is SoundKind.GUIDE]
    others = [click for click in track.clicks if click.kind is not SoundKind.GUIDE]
    clicks = sorted([*others, *spoil(guide)], key=lambda click: click.due)
    return replace(track, clicks=tuple(clicks))


def moved(notes: list[Click], which: Iterable[int], by: float) -> list[Click]:
    """Let some notes in a row come late, or early where `by` is below 0.

    The note before them is as much longer, so that no gap is heard; who is late ends
    in time.
    """
    row = list(which)
    changed = list(notes)
    for k in row:
        changed[k] = replace(notes[k], due=Seconds(notes[k].due + by))
    before = row[0] - 1
    changed[before] = longer(changed[before], by)
    if by > 0:
        changed[row[-1]] = longer(changed[row[-1]], -by)
    return changed


def longer(note: Click, by: float) -> Click:
    """Hold a note longer, or let it go earlier where `by` is below 0."""
    return replace(note, length=Seconds(note.length + by))


class FaultyEngine(EngineLink):
    """Plays tracks with faults once it is told to."""

    is_faulty = False

    def __init__(self, spoil: Spoil) -> None:
        """Start an engine that sounds on the sound server."""
        clicks = {"clicks_count": 8, "apart_s": 0.25}
        write_player_file({"sound": {"round_trip": clicks}})
        super().__init__(replace(read_choice(), sound="on"), read_pedals())
        self._spoil = spoil

    def play(self, track: ClickTrack) -> None:
        """Start a track, with its faults."""
        if self.is_faulty and not track.is_take:
            track = spoiled(track, self._spoil)
        super().play(track)
