"""Be the child that hears: recordings, and runs while they are played.

It takes frames of words (what is asked) and blocks of sound, and answers with frames of
words: what was heard, that nothing can be said, or an error in words.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, BinaryIO

from coach.edges.child_pipes import take_pipes
from coach.edges.engine_wire import (
    FrameKind,
    pack_fact,
    pack_words,
    read_block,
    read_frame,
    unpack_words,
)
from coach.edges.hearing.frozen_words import from_words
from coach.edges.hearing.heard_answer import lay_said, lay_told
from coach.edges.hearing.hearing_numbers import (
    read_following_settings,
    read_hearing_settings,
)
from coach.edges.hearing.in_child.held_take import HeldTake, read_kept
from coach.edges.hearing.in_child.recording_file import open_recording
from coach.edges.hearing.in_child.take_maker import TakeMaker, samples_of
from coach.edges.hearing.recording_limits import RecordingLimits, read_recording_limits
from coach.errors import CoachError, RecordingError
from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.following.follower import Follower
from coach.rehearsal.hearing.following.hands_free_start import StartEar
from coach.rehearsal.hearing.following.told import StartWish
from coach.rehearsal.hearing.hear import Ear
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.take import Sounding, TakenClick
from coach.score.tempo import Seconds

GONE = (
    "There is no recording of this run: only the last one is held, and none is kept "
    "unless you say so."
)
BYTES_A_SAMPLE = 4
LOOK_SHARE = 0.1
LISTEN_SHARE = 0.6
"""Shares of the work: looking through a file, listening to it; the rest is telling."""

Answer = dict[str, Any]


class EarChild:
    """Answers one question after another."""

    def __init__(self, limits: RecordingLimits, send: Callable[[bytes], None]) -> None:
        self._limits = limits
        self._send = send
        self._maker = TakeMaker()
        self._held: tuple[int, HeldTake] | None = None
        self._due: DuePart | None = None
        self._ear: Ear | None = None
        self._run_id = 0
        self._is_followed = False
        self._follower: Follower | None = None
        self._wish: StartWish | None = None
        self._start: StartEar | None = None

    def obey(self, asked: Answer) -> None:
        """Do what is asked, and answer what wants an answer."""
        about = {key: asked[key] for key in ("run_id",) if key in asked}
        try:
            answer = self._do(asked)
        except CoachError as error:
            answer = {"error": [error.message, error.hint]}
        except MemoryError:
            answer = {
                "error": [
                    "The recording needs more memory than there is.",
                    "Cut it to the run.",
                ]
            }
        if answer is not None:
            self._tell({**about, **answer})

    def add(self, body: bytes) -> None:
        """Look at a block of sound at once: it is of a take, or of the room."""
        block = read_block(body)
        if self._due is None:
            self._await_start(block)
            return
        samples = self._maker.add(block)
        if self._ear is None:
            self._ear = Ear(self._due, block.rate_hz, read_hearing_settings())
            if self._is_followed:
                settings = read_following_settings()
                self._follower = Follower(self._due, self._ear.grid, settings)
        rows = self._ear.push(samples)
        if self._follower is not None:
            for told in self._follower.follow(rows, self._maker.stamped):
                self._tell({"run_id": self._run_id, **lay_told(told)})

    def _await_start(self, block: SoundHeard) -> None:
        """Listen for what begins a run, while none is taken."""
        if self._wish is None:
            return
        if self._start is None:
            features, follows = (
                read_hearing_settings().features,
                read_following_settings(),
            )
            self._start = StartEar(
                self._wish, block.rate_hz, features, follows.sounding, follows.starts
            )
        if self._start.push(samples_of(block)):
            self._start = None
            self._tell({"start": self._wish.by})

    def _do(self, asked: Answer) -> Answer | None:
        """Do what is asked; give the answer where one is wanted."""
        match asked["do"]:
            case "read":
                return self._read(asked)
            case "hear":
                return self._hear(asked)
            case "keep":
                return self._keep(asked)
            case "give":
                return self._give(asked)
            case "throw":
                self._throw(asked)
            case _:
                self._listen_as_asked(asked)
        return None

    def _tell(self, answer: Answer) -> None:
        """Say something in words."""
        self._send(pack_words(answer))

    def _listen_as_asked(self, asked: Answer) -> None:
        """Listen to a run, or for what begins one."""
        match asked["do"]:
            case "begin":
                self._forget()
                self._due = from_words(DuePart, asked["due"])
                self._run_id = asked["run_id"]
                self._is_followed = asked.get("is_followed", False)
            case "change" if self._follower is not None:
                self._follower.change(from_words(DuePart, asked["due"]))
            case "drop":
                self._forget()
            case "await":
                self._wish = from_words(StartWish, asked["wish"])
                self._start = None
            case "pass-over" if self._start is not None:
                self._start.pass_over()

    def _read(self, asked: Answer) -> Answer:
        """Hear a recording: looked through first, then listened to as it is read."""
        due, settings = from_words(DuePart, asked["due"]), read_hearing_settings()
        with open_recording(
            Path(asked["path"]),
            self._limits,
            lambda share: self._tell({"share": LOOK_SHARE * share}),
        ) as recording:
            ear = Ear(due, recording.rate_hz, settings)
            for done, samples in recording.blocks():
                ear.push(samples)
                self._tell({"share": LOOK_SHARE + LISTEN_SHARE * done})
            lasts = recording.lasts
        said = ear.finish(from_words(Sounding, asked["sounding"]))
        return {**lay_said(said), "lasts_s": lasts}

    def _hear(self, asked: Answer) -> Answer:
        """Hear the take that was made; what comes from now on is none of it."""
        clicks = tuple(from_words(TakenClick, click) for click in asked["clicks"])
        maker, ear = self._maker, self._ear
        self._forget()
        self._held = None
        take = maker.take(clicks)
        if take is None or ear is None:
            return {"nothing": True}
        said = ear.finish(take.sounding, from_words(DuePart, asked["due"]))
        # A refused take that knows no time of its own lies where its stamps say.
        began = said.offset if isinstance(said, Heard) else maker.stamped
        self._held = asked["run_id"], HeldTake(take.samples, take.rate_hz, began)
        return lay_said(said)

    def _take_of(self, asked: Answer) -> HeldTake | None:
        """Find the take of a run: the last one that was heard, or one that was kept."""
        if self._held is not None and self._held[0] == asked["run_id"]:
            return self._held[1]
        path = Path(asked["path"])
        return read_kept(path) if path.is_file() else None

    def _forget(self) -> None:
        """Take no run; what comes from now on is none of the last."""
        self._maker, self._ear, self._due = TakeMaker(), None, None
        self._follower = self._start = None

    def _keep(self, asked: Answer) -> Answer:
        """Keep a take as a file."""
        path, take = Path(asked["path"]), self._take_of(asked)
        if take is None:
            return {"error": [GONE, ""]}
        take.write(path)
        return {"kept": str(path), "bytes_count": path.stat().st_size}

    def _give(self, asked: Answer) -> Answer:
        """Give a take to be played, from a run time on."""
        try:
            take = self._take_of(asked)
        except RecordingError as error:
            return {"silent": f"{error.message} {error.hint}"}
        blocks = take.blocks(Seconds(asked["since"])) if take else ()
        begins = ends = None
        for block in blocks:
            self._send(pack_fact(block, 0))
            begins = block.at if begins is None else begins
            ends = block.at + len(block.samples) / BYTES_A_SAMPLE / block.rate_hz
        if take is None or begins is None:
            return {"silent": GONE if take is None else "The recording ends before."}
        return {"begins": begins, "ends": ends}

    def _throw(self, asked: Answer) -> None:
        """Forget the take of a run."""
        if self._held is not None and self._held[0] == asked["run_id"]:
            self._held = None


def main() -> None:
    """Answer until there are no more questions."""
    asks, answers = take_pipes()
    limits = read_recording_limits()
    _stand_back(limits)
    child = EarChild(limits, lambda frame: _send(answers, frame))
    while (frame := read_frame(asks)) is not None:
        kind, body = frame
        if kind is FrameKind.BLOCK:
            child.add(body)
        else:
            child.obey(unpack_words(body))


def _send(answers: BinaryIO, frame: bytes) -> None:
    """Write a frame at once."""
    answers.write(frame)
    answers.flush()


def _stand_back(limits: RecordingLimits) -> None:
    """Give way to the click, and let the system stop us before a file hurts.

    Not every system can.
    """
    with suppress(ImportError, ValueError, OSError):
        import os
        import resource

        os.nice(limits.gives_way_steps)
        memory = limits.memory_bytes
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))


if __name__ == "__main__":
    main()
