"""Ask what is heard in a recording, and never wait for the answer too long."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

from coach.edges.hearing.ear_process import EarProcess
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.heard_answer import read_said
from coach.edges.hearing.recording_limits import read_recording_limits
from coach.errors import RecordingError
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import Heard, Refused
from coach.rehearsal.hearing.take import Sounding
from coach.score.plain_text import plain_words
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class HeardRecording:
    """What the ear says of a recording."""

    said: Heard | Refused
    """What was heard, or why nothing can be said."""

    lasts: Seconds
    """How long the recording is."""


def hear_recording(
    path: Path, due: DuePart, sounding: Sounding, tell: Callable[[float], None]
) -> HeardRecording:
    """Give what is heard in a recording; `tell` is told the share that is done.

    Raises `RecordingError` where there is no recording that can be read.
    """
    name = plain_words(path.name) or plain_words(str(path))
    _look_at(path, name)
    told: SimpleQueue[dict[str, Any] | None] = SimpleQueue()
    child = EarProcess(told.put)
    try:
        child.ask(
            do="read",
            path=str(path.absolute()),
            due=to_words(due),
            sounding=to_words(sounding),
        )
        answer = _wait(told, name, tell)
    finally:
        child.end()
    if "error" in answer:
        raise RecordingError(*answer["error"])
    return HeardRecording(read_said(answer), Seconds(answer["lasts_s"]))


def _look_at(path: Path, name: str) -> None:
    """Refuse what is no file before anybody opens it: a pipe would never end."""
    is_there = "\0" not in str(path) and path.exists()
    if is_there and path.is_file():
        return
    if is_there:
        what = "is a folder" if path.is_dir() else "is no file"
        raise RecordingError(f"“{name}” {what}.", "Name the recording itself.")
    raise RecordingError(
        f"There is no recording “{plain_words(str(path))}”.",
        "Name a WAV or FLAC file.",
    )


def _wait(
    told: SimpleQueue[dict[str, Any] | None], name: str, tell: Callable[[float], None]
) -> dict[str, Any]:
    """Pass the progress on, and give the answer."""
    quiet_s = read_recording_limits().quiet_s
    while True:
        try:
            answer = told.get(timeout=quiet_s)
        except Empty:
            raise RecordingError(
                f"“{name}” could not be heard within {quiet_s:g} seconds.",
                "Cut it to the run, and end some other programs.",
            ) from None
        if answer is None:
            raise RecordingError(
                f"“{name}” made the listening process stop.",
                "Save it anew as WAV, and report this if it comes again.",
            )
        if "share" not in answer:
            return answer
        tell(answer["share"])
