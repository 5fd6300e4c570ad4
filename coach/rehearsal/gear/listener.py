"""What listens to runs with the microphone, as a protocol; and one that never does."""

from __future__ import annotations

from typing import Protocol

from coach.errors import GearError
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.following.told import StartWish
from coach.rehearsal.hearing.take import TakenClick
from coach.score.tempo import Seconds


class Listener(Protocol):
    """Takes a run while it plays, and tells `RunHeard` of it soon after its end."""

    def open(self) -> None:
        """Open the microphone, so that it is ready when a run begins.

        Raises `GearError` where there can be none.
        """
        ...

    def close(self) -> None:
        """Let the microphone go, and forget a take that is being made."""
        ...

    def begin(self, run_id: int, due: DuePart, *, is_followed: bool) -> None:
        """Take what is heard from now on, for a run; ends any other take.

        A run that is followed has `RunTold` told of it while it plays.
        """
        ...

    def change(self, due: DuePart) -> None:
        """Follow what is due from now on: breaths have moved."""
        ...

    def await_start(self, wish: StartWish) -> None:
        """Tell `StartHeard` of a sound that is to begin a run, while none is taken."""
        ...

    def pass_over(self) -> None:
        """Take nothing for a start that is heard just now: a key was pressed."""
        ...

    def drop(self) -> None:
        """Forget the take that is being made."""
        ...

    def hear(
        self,
        run_id: int,
        due: DuePart,
        clicks: tuple[TakenClick, ...],
        until: Seconds,
    ) -> None:
        """Say soon what was heard of the run that was being taken, up to a run time.

        What was due is told again: breaths may have moved since the run began.
        """
        ...

    def keep(self, run_id: int) -> None:
        """Keep the sound of a run, and tell `TakeKept`."""
        ...

    def throw_away(self, run_id: int) -> None:
        """Forget the sound of a run, and take its file away; tell `TakeKept`."""
        ...

    def play(self, run_id: int, since: Seconds) -> None:
        """Let the sound of a run be heard from a run time on.

        The player of the clicks plays it, so that its run time is that of the run;
        where that cannot be, `TakeSilent` is told.
        """
        ...

    def hush(self) -> None:
        """Let the sound of a run be heard no more."""
        ...


class NoListener:
    """An `Listener` where nobody listens."""

    def open(self) -> None:
        """Say why nobody listens."""
        raise GearError(
            "Nothing listens where the click engine is not used.",
            "Start without --silent and --fast.",
        )

    def close(self) -> None:
        """Let nothing go."""

    def begin(self, run_id: int, due: DuePart, *, is_followed: bool) -> None:
        """Take nothing."""

    def change(self, due: DuePart) -> None:
        """Follow nothing."""

    def await_start(self, wish: StartWish) -> None:
        """Await nothing."""

    def pass_over(self) -> None:
        """Hear nothing anyway."""

    def drop(self) -> None:
        """Forget nothing."""

    def hear(
        self,
        run_id: int,
        due: DuePart,
        clicks: tuple[TakenClick, ...],
        until: Seconds,
    ) -> None:
        """Say nothing."""

    def keep(self, run_id: int) -> None:
        """Keep nothing."""

    def throw_away(self, run_id: int) -> None:
        """Throw nothing away."""

    def play(self, run_id: int, since: Seconds) -> None:
        """Play nothing."""

    def hush(self) -> None:
        """Leave the silence as it is."""
