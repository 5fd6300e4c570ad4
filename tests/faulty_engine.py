"""An engine that plays the line along with faults that are known to the sample.

Its microphone hears them as it would hear a player's: some notes early, one left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coach.config import write_player_file
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_choice, read_pedals
from coach.rehearsal.click.clicks import ClickTrack, SoundKind
from coach.score.tempo import Seconds

EARLY_S = 0.09


def spoil(track: ClickTrack, early: Iterable[int], left_out: int) -> ClickTrack:
    """Let the guide play some notes early and leave one out."""
    guide = [k for k, click in enumerate(track.clicks) if click.kind is SoundKind.GUIDE]
    clicks = list(track.clicks)
    for note in early:
        due = Seconds(clicks[guide[note]].due - EARLY_S)
        clicks[guide[note]] = replace(clicks[guide[note]], due=due)
    before = guide[min(early) - 1]
    clicks[before] = replace(
        clicks[before], length=Seconds(clicks[before].length - EARLY_S)
    )
    del clicks[guide[left_out]]
    return replace(track, clicks=tuple(sorted(clicks, key=lambda click: click.due)))


class FaultyEngine(EngineLink):
    """Plays tracks with faults once it is told to."""

    is_faulty = False

    def __init__(self, early: range, left_out: int) -> None:
        """Start an engine that sounds on the sound server."""
        clicks = {"clicks_count": 8, "apart_s": 0.25}
        write_player_file({"sound": {"round_trip": clicks}})
        super().__init__(replace(read_choice(), sound="on"), read_pedals())
        self._early, self._left_out = early, left_out

    def play(self, track: ClickTrack) -> None:
        """Start a track, with its faults."""
        if self.is_faulty and not track.is_take:
            track = spoil(track, self._early, self._left_out)
        super().play(track)
