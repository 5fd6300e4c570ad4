"""A room whose microphone and time a test has in hand, for an ear to listen in."""

from __future__ import annotations

from collections.abc import Callable

from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import Fact, SoundHeard
from coach.score.tempo import Seconds


class HandRoom:
    """A `RoomSound` that keeps what it is asked and told."""

    def __init__(self) -> None:
        self.time: Seconds | None = None
        self.is_open = False
        self.tellers: list[Callable[[Fact], None]] = []
        self.told: list[Fact] = []
        self.held: list[SoundHeard] = []
        self.played: list[ClickTrack] = []

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every block to `tell`."""
        self.tellers.append(tell)

    def listen_no_more(self, tell: Callable[[Fact], None]) -> None:
        """Hand no more to `tell`."""
        self.tellers.remove(tell)

    def listen_to_room(self, wanted: bool) -> None:
        """Open the microphone, or let it go."""
        self.is_open = wanted

    def run_time(self) -> Seconds | None:
        """Tell the run time of the block that is heard."""
        return self.time

    def tell(self, fact: Fact) -> None:
        """Keep what the ear says."""
        self.told.append(fact)

    def hold_take(self, block: SoundHeard) -> None:
        """Keep what is to be played again."""
        self.held.append(block)

    def play(self, track: ClickTrack) -> None:
        """Keep what is asked to be played."""
        self.played.append(track)

    def stop(self) -> None:
        """Forget what was to be played again."""
        self.held.clear()
