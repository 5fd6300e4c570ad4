"""The sound of the run at hand: heard by the ear, kept, played back, thrown away."""

from __future__ import annotations

from coach.rehearsal.run_at_hand import RunAtHand
from coach.score.tempo import Seconds

NO_TAKE = "There is no recording of this run."


class TakeAtHand(RunAtHand):
    """A run at hand whose sound may have been recorded."""

    @property
    def is_take_playing(self) -> bool:
        """The recording of the run at hand is played, or will be at once."""
        return self._takes.is_playing

    @property
    def take_time(self) -> Seconds | None:
        """The run time of what is heard of the recording; None where none sounds."""
        return self._player.run_time() if self._takes.is_playing else None

    @property
    def reaction(self) -> Seconds:
        """How long after what is meant a key comes."""
        return Seconds(self._settings.run.reaction_s)

    @property
    def is_listening(self) -> bool:
        """The microphone is on: it is wanted, and nothing says that it is not there."""
        return self.wishes.listens and not self._takes.is_deaf

    def open_ear(self) -> None:
        """Open the microphone, if the player wants to be heard."""
        if self.wishes.listens:
            self._takes.open()

    def shut_ear(self) -> None:
        """Let the microphone go."""
        self._takes.close()

    def keep_take(self) -> None:
        """Keep the sound of the run at hand."""
        run_id = self._taken_run
        if run_id is not None:
            self._takes.keep(run_id)

    def throw_take_away(self) -> None:
        """Throw the sound of the run at hand away, kept or not."""
        run_id = self._taken_run
        if run_id is not None:
            self._takes.throw_away(run_id)

    def play_take(self, since: Seconds) -> bool:
        """Play the run at hand from a run time on; tell whether it was recorded."""
        run_id = self._taken_run
        if run_id is not None:
            self._takes.play(run_id, since)
        return run_id is not None

    def hush_take(self) -> None:
        """End the sound of the run at hand, if it plays."""
        self._takes.hush()

    @property
    def _taken_run(self) -> int | None:
        """Number of the run at hand, where it was recorded and has been heard."""
        if self._book.run is None or not self.heard_lines:
            self._notice = NO_TAKE
            return None
        if self.is_being_heard:
            self._notice = "The run is still being listened to."
            return None
        if not self._takes.has_take(self._book.run.id):
            self._notice = NO_TAKE
            return None
        self._notice = ""
        return self._book.run.id
