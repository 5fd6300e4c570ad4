"""What brings the sound of the room to an ear, and plays it back: a protocol."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from coach.rehearsal.gear.gear import Fact, SoundHeard
from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from coach.rehearsal.click.clicks import ClickTrack


class RoomSound(Protocol):
    """What brings the sound of the room: the engine, as far as an ear needs it."""

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact to `tell` from now on, from a thread of its own."""
        ...

    def listen_no_more(self, tell: Callable[[Fact], None]) -> None:
        """Hand no more facts to `tell`."""
        ...

    def listen_to_room(self, wanted: bool) -> None:
        """Open the microphone, or let it go."""
        ...

    def run_time(self) -> Seconds | None:
        """Tell the run time that is heard now; None when nothing plays."""
        ...

    def tell(self, fact: Fact) -> None:
        """Hand a fact to all who listen."""
        ...

    def hold_take(self, block: SoundHeard) -> None:
        """Take a block of a take that the next track plays."""
        ...

    def play(self, track: ClickTrack) -> None:
        """Start a track; ends any other."""
        ...

    def stop(self) -> None:
        """End all sound at once."""
        ...
