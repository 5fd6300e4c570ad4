"""Hears runs while they are played: the engine's microphone, the listening child.

A take lives in the child's memory alone.  It goes with the next one, or with the
program, unless the player keeps it.

Long, since takes, what is told of them and the child all change under one lock.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from coach.edges.engine_wire import pack_fact
from coach.edges.hearing.ear_process import EarProcess
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.heard_answer import read_said, read_told
from coach.edges.hearing.take_settings import MEGABYTE, TakeSettings, take_path
from coach.rehearsal.click.clicks import lay_take
from coach.rehearsal.gear.gear import Fact, RunHeard, SoundHeard, TakeKept, TakeSilent
from coach.rehearsal.hearing.following.told import RunTold, StartHeard
from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from coach.edges.hearing.room_sound import RoomSound
    from coach.rehearsal.hearing.due_part import DuePart
    from coach.rehearsal.hearing.following.told import StartWish
    from coach.rehearsal.hearing.take import TakenClick

BYTES_A_SAMPLE = 4
NO_TAKE = "The microphone brought no sound of this run."
LOST = "The listening process has stopped, and the recording with it."
STOPPED = "The listening process has stopped: this run was not heard."


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
        self._playing: int | None = None
        self._wish: StartWish | None = None

    def open(self) -> None:
        """Open the microphone, so that it is ready when a run begins."""
        with self._lock:
            if self._child is None:
                self._child = child = EarProcess(
                    lambda said: self._hear_from(child, said)
                )
                self._room.listen(self._take)
                if self._wish is not None:
                    self._ask(do="await", wish=to_words(self._wish))
        self._room.listen_to_room(True)

    def close(self) -> None:
        """Let the microphone go, and forget a take that is being made."""
        with self._lock:
            child, self._child, self._wish = self._child, None, None
            self._forget()
            self._asked.clear()
        if child is not None:
            self._room.listen_no_more(self._take)
            self._room.listen_to_room(False)
            child.end()

    def begin(self, run_id: int, due: DuePart, *, is_followed: bool) -> None:
        """Take what is heard from now on, for a run; ends any other take."""
        self.open()
        with self._lock:
            self._ask_what_waits()
            self._forget()
            self._playing = None
            self._run_id = run_id
            words = {"run_id": run_id, "is_followed": is_followed}
            self._ask(do="begin", due=to_words(due), **words)

    def change(self, due: DuePart) -> None:
        """Follow what is due from now on: breaths have moved."""
        with self._lock:
            if self._run_id is not None and self._question is None:
                self._ask(do="change", due=to_words(due))

    def await_start(self, wish: StartWish) -> None:
        """Tell `StartHeard` of a sound that is to begin a run, while none is taken."""
        with self._lock:
            if wish != self._wish:
                self._wish = wish
                self._ask(do="await", wish=to_words(wish))

    def pass_over(self) -> None:
        """Take nothing for a start that is heard just now: a key was pressed."""
        with self._lock:
            if self._wish is not None and self._run_id is None:
                self._ask(do="pass-over")

    def drop(self) -> None:
        """Forget the take that is being made."""
        with self._lock:
            self._forget()
            self._ask(do="drop")

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
            self._room.tell(RunHeard(run_id, None, NO_TAKE, has_take=False))

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
            self._ask(do="keep", run_id=run_id, path=str(take_path(run_id)))

    def throw_away(self, run_id: int) -> None:
        """Forget the sound of a run, and take its file away; tell `TakeKept`."""
        path = take_path(run_id)
        try:
            path.unlink(missing_ok=True)
            said = "The recording of this run is thrown away."
        except OSError as error:
            said = f"{path} cannot be thrown away: {error.strerror}."
        with self._lock:
            self._ask(do="throw", run_id=run_id)
        self._room.tell(TakeKept(said))

    def play(self, run_id: int, since: Seconds) -> None:
        """Let the sound of a run be heard from a run time on."""
        self._room.stop()
        with self._lock:
            self._playing = run_id
            is_lost = self._child is None
            path = str(take_path(run_id))
            self._ask(do="give", run_id=run_id, path=path, since=since)
        if is_lost:
            self._room.tell(TakeSilent(LOST))

    def hush(self) -> None:
        """Let the sound of a run be heard no more."""
        with self._lock:
            self._playing = None
        self._room.stop()

    def _take(self, fact: Fact) -> None:
        """Pass a block on to the child, on the engine's thread."""
        if not isinstance(fact, SoundHeard):
            return
        with self._lock:
            if self._child is None:
                return
            if self._run_id is None:
                if self._wish and self._wish.by and self._playing is None:
                    self._child.send(pack_fact(fact, 0))
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
            return [RunHeard(run, None, STOPPED, has_take=False) for run in lost]
        if self._is_sound(said) or self._is_too_late(said):
            return []
        if "silent" in said:
            return [TakeSilent(said["silent"])]
        if "start" in said or "told" in said:
            return [_told_now(said)]
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
            return [RunHeard(run_id, None, NO_TAKE, has_take=False)]
        return [RunHeard(run_id, read_said(said))]

    def _is_too_late(self, said: dict[str, Any]) -> bool:
        """Tell whether what was told at once is of a moment that has passed."""
        if "start" in said:
            return self._run_id is not None
        return "told" in said and said["run_id"] != self._run_id

    def _is_sound(self, said: dict[str, Any]) -> bool:
        """Pass a block of a take on, and play it when all have come; tell if it is."""
        if "block" in said and self._playing is not None:
            self._room.hold_take(said["block"])
        if "begins" in said and said["run_id"] == self._playing:
            self._room.play(lay_take(Seconds(said["begins"]), Seconds(said["ends"])))
        return "block" in said or "begins" in said


def _told_now(said: dict[str, Any]) -> RunTold | StartHeard:
    """Read what is told at once."""
    if "start" in said:
        return StartHeard(said["start"])
    return RunTold(said["run_id"], read_told(said))
