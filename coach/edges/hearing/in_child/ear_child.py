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
    pack_words,
    read_block,
    read_frame,
    unpack_words,
)
from coach.edges.hearing.frozen_words import from_words
from coach.edges.hearing.heard_answer import lay_said
from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.edges.hearing.in_child.recording_file import read_recording, write_take
from coach.edges.hearing.in_child.take_maker import TakeMaker
from coach.edges.hearing.recording_limits import RecordingLimits, read_recording_limits
from coach.errors import CoachError
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.hear import Ear, hear
from coach.rehearsal.hearing.take import Sounding, Take, TakenClick

READ_SHARE = 0.2
"""Share of the progress at which a file is read: the ear takes longer."""

Answer = dict[str, Any]


class EarChild:
    """Answers one question after another."""

    def __init__(self, limits: RecordingLimits, tell: Callable[[Answer], None]) -> None:
        self._limits = limits
        self._tell = tell
        self._maker = TakeMaker()
        self._take: Take | None = None
        self._due: DuePart | None = None
        self._ear: Ear | None = None

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
        """Add a block of sound to the take that is made, and look at it at once."""
        block = read_block(body)
        samples = self._maker.add(block)
        if self._ear is None and self._due is not None:
            self._ear = Ear(self._due, block.rate_hz, read_hearing_settings())
        if self._ear is not None:
            self._ear.push(samples)

    def _do(self, asked: Answer) -> Answer | None:
        """Do what is asked; give the answer where one is wanted."""
        match asked["do"]:
            case "read":
                return self._read(asked)
            case "begin":
                self._maker, self._ear = TakeMaker(), None
                self._due = from_words(DuePart, asked["due"])
            case "hear":
                return self._hear(asked)
            case "keep":
                return self._keep(asked)
        return None

    def _read(self, asked: Answer) -> Answer:
        """Hear a recording."""
        samples, rate_hz = read_recording(
            Path(asked["path"]),
            self._limits,
            lambda share: self._tell({"share": READ_SHARE * share}),
        )
        take = Take(samples, rate_hz, from_words(Sounding, asked["sounding"]))
        due, settings = from_words(DuePart, asked["due"]), read_hearing_settings()
        said = hear(
            take,
            due,
            settings,
            lambda share: self._tell({"share": READ_SHARE + (1 - READ_SHARE) * share}),
        )
        return {**lay_said(said), "lasts_s": take.length}

    def _hear(self, asked: Answer) -> Answer:
        """Hear the take that was made; what comes from now on is none of it."""
        clicks = tuple(from_words(TakenClick, click) for click in asked["clicks"])
        self._take, ear = self._maker.take(clicks), self._ear
        self._maker, self._ear, self._due = TakeMaker(), None, None
        if self._take is None or ear is None:
            return {"nothing": True}
        due = from_words(DuePart, asked["due"])
        return lay_said(ear.finish(self._take.sounding, due))

    def _keep(self, asked: Answer) -> Answer:
        """Keep the take that was heard last as a file."""
        path = Path(asked["path"])
        if self._take is None:
            return {"error": ["There is no recording of this run.", ""]}
        write_take(path, self._take)
        return {"kept": str(path), "bytes_count": path.stat().st_size}


def main() -> None:
    """Answer until there are no more questions."""
    asks, answers = take_pipes()
    limits = read_recording_limits()
    _stand_back(limits)
    child = EarChild(limits, lambda words: _tell(answers, words))
    while (frame := read_frame(asks)) is not None:
        kind, body = frame
        if kind is FrameKind.BLOCK:
            child.add(body)
        else:
            child.obey(unpack_words(body))


def _tell(answers: BinaryIO, words: Answer) -> None:
    """Write words at once."""
    answers.write(pack_words(words))
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
