"""Hears runs while they are played: the engine's microphone, the listening child.

A take lives in the child's memory alone.  It goes with the next one, or with the
program, unless the player keeps it.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Protocol

from coach.edges.engine_wire import pack_fact
from coach.edges.hearing.ear_process import EarProcess
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.heard_answer import read_said
from coach.edges.hearing.take_settings import MEGABYTE, TakeSettings, takes_folder
from coach.rehearsal.gear.gear import Fact, RunHeard, SoundHeard, TakeKept
from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.rehearsal.hearing.due_part import DuePart
    from coach.rehearsal.hearing.take import TakenClick

BYTES_A_SAMPLE = 4
NO_TAKE = "The microphone brought no sound of this run."
STOPPED = "The listening process has stopped: this run was not heard."


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


@dataclass(frozen=True, slots=True)
class _Question:
    """A take that ends."""

    due: DuePart
    clicks: tuple[TakenClick, ...]
    until: Seconds


class RunEar:
    """An `Listener` on an engine's microphone."""

    def __init__(self, room: RoomSound, settings: TakeSettings) -> None:
        self._room = room
        self._settings = settings
        self._lock = threading.RLock()
        self._child: EarProcess | None = None
        self._run_id: int | None = None
        self._covered: Seconds | None = None
        self._question: _Question | None = None
        self._asked: list[int] = []

    def open(self) -> None:
        """Open the microphone, so that it is ready when a run begins."""
        with self._lock:
            if self._child is None:
                self._child = child = EarProcess(
                    lambda said: self._hear_from(child, said)
                )
                self._room.listen(self._take)
        self._room.listen_to_room(True)

    def close(self) -> None:
        """Let the microphone go, and forget a take that is being made."""
        with self._lock:
            child, self._child = self._child, None
            self._forget()
            self._asked.clear()
        if child is not None:
            self._room.listen_no_more(self._take)
            self._room.listen_to_room(False)
            child.end()

    def begin(self, run_id: int, due: DuePart) -> None:
        """Take what is heard from now on, for a run; ends any other take."""
        self.open()
        with self._lock:
            self._ask_what_waits()
            self._forget()
            self._run_id = run_id
            self._ask(do="begin", due=to_words(due))

    def drop(self) -> None:
        """Forget the take that is being made."""
        with self._lock:
            self._forget()

    def hear(
        self,
        run_id: int,
        due: DuePart,
        clicks: tuple[TakenClick, ...],
        until: Seconds,
    ) -> None:
        """Say soon what was heard of the run that was being taken, up to a run time."""
        with self._lock:
            is_taken = self._run_id == run_id
            if is_taken:
                self._end_take(due, clicks, until)
        if not is_taken:
            self._room.tell(RunHeard(run_id, None, NO_TAKE))

    def _end_take(
        self, due: DuePart, clicks: tuple[TakenClick, ...], until: Seconds
    ) -> None:
        """Have the take heard once it goes on to its end, or after a while."""
        last = max(note.written_end for note in due.notes)
        ends = Seconds(min(until, last) + self._settings.tail_s)
        self._question = _Question(due, clicks, ends)
        if self._is_covered:
            self._ask_what_waits()
            return
        timer = threading.Timer(
            self._settings.patience_s, self._wait_no_more, (self._question,)
        )
        timer.daemon = True
        timer.start()

    def keep(self, run_id: int) -> None:
        """Keep the sound of a run, and tell `TakeKept`."""
        with self._lock:
            path = takes_folder() / f"run-{run_id}.wav"
            self._ask(do="keep", run_id=run_id, path=str(path))

    def _take(self, fact: Fact) -> None:
        """Pass a block on to the child, on the engine's thread."""
        if not isinstance(fact, SoundHeard):
            return
        with self._lock:
            if self._run_id is None or self._child is None:
                return
            block = self._placed(fact)
            if block is None:
                return
            length = len(block.samples) / BYTES_A_SAMPLE / block.rate_hz
            self._covered = Seconds(block.at + length)
            self._child.send(pack_fact(block, 0))
            if self._question is not None and self._is_covered:
                self._ask_what_waits()

    def _placed(self, block: SoundHeard) -> SoundHeard | None:
        """Give a block its run time; None before there is one.

        While nothing plays the engine's stamps are those of its clock: what comes
        after the track's end follows on what came before.
        """
        now = self._room.run_time()
        if now is not None and abs(block.at - now) < self._settings.nearest_s:
            return block
        if self._covered is None:
            return None
        return replace(block, at=self._covered)

    @property
    def _is_covered(self) -> bool:
        """Whether the take goes on to the end that is asked for."""
        return (
            self._question is not None
            and self._covered is not None
            and self._covered >= self._question.until
        )

    def _wait_no_more(self, question: _Question) -> None:
        """Have a take heard as far as it has come."""
        with self._lock:
            if self._question is question:
                self._ask_what_waits()

    def _ask_what_waits(self) -> None:
        """Have the take heard that waits for its end."""
        question, run_id = self._question, self._run_id
        if question is None or run_id is None:
            return
        self._forget()
        self._asked.append(run_id)
        self._ask(
            do="hear",
            run_id=run_id,
            due=to_words(question.due),
            clicks=[to_words(click) for click in question.clicks],
        )

    def _forget(self) -> None:
        """Take no more blocks."""
        self._run_id = self._covered = self._question = None

    def _ask(self, **words: object) -> None:
        """Ask the child, if there is one."""
        if self._child is not None:
            self._child.ask(**words)

    def _hear_from(self, child: EarProcess, said: dict[str, Any] | None) -> None:
        """Tell what the child says, on its reader's thread."""
        with self._lock:
            if child is not self._child:
                return
            facts = self._facts(said)
        for fact in facts:
            self._room.tell(fact)

    def _facts(self, said: dict[str, Any] | None) -> list[Fact]:
        """Turn an answer into facts."""
        if said is None:
            lost, self._asked = self._asked, []
            self._child = None
            self._forget()
            self._room.listen_no_more(self._take)
            return [RunHeard(run_id, None, STOPPED) for run_id in lost]
        if "kept" in said:
            size = said["bytes_count"] / MEGABYTE
            return [TakeKept(f"Kept as {said['kept']}, {size:.1f} MB.")]
        if "error" in said and said["run_id"] not in self._asked:
            return [TakeKept(" ".join(said["error"]).strip())]
        run_id = said["run_id"]
        self._asked.remove(run_id)
        if self._settings.keeps:
            self.keep(run_id)
        if "error" in said:
            return [RunHeard(run_id, None, " ".join(said["error"]).strip())]
        if "nothing" in said:
            return [RunHeard(run_id, None, NO_TAKE)]
        return [RunHeard(run_id, read_said(said))]
