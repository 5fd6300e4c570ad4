"""The child process that hears: started, spoken to, and ended."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from queue import SimpleQueue
from typing import Any, BinaryIO, cast

from coach.config import PACKAGE
from coach.edges.engine_wire import (
    BrokenWire,
    FrameKind,
    pack_words,
    read_block,
    read_frame,
    unpack_words,
)
from coach.errors import GearError

CHILD = "coach.edges.hearing.in_child.ear_child"


class EarProcess:
    """Hands frames to the child, and what it says to whoever started it.

    Parameters
    ----------
    tell : callable
        Is told each answer, on a thread of ours, and as ``block`` each block of sound;
        None when the child is gone.
    """

    def __init__(self, tell: Callable[[dict[str, Any] | None], None]) -> None:
        self._tell = tell
        self._frames: SimpleQueue[bytes | None] = SimpleQueue()
        path = [str(PACKAGE.parent), os.environ.get("PYTHONPATH", "")]
        one_core = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1")
        try:
            self._process = subprocess.Popen(
                [sys.executable, "-P", "-m", CHILD],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={
                    **os.environ,
                    **one_core,
                    "PYTHONPATH": os.pathsep.join(filter(None, path)),
                },
            )
        except OSError as error:
            raise GearError(
                f"The listening process cannot be started: {error.strerror}.",
                "End some other programs, or leave the microphone off.",
            ) from error
        for work in (self._read, self._write):
            threading.Thread(target=work, name="ear", daemon=True).start()

    def ask(self, **words: object) -> None:
        """Ask for something soon."""
        self.send(pack_words(words))

    def send(self, frame: bytes) -> None:
        """Send a frame soon."""
        self._frames.put(frame)

    def end(self) -> None:
        """End the child at once."""
        self._frames.put(None)
        self._process.kill()
        self._process.wait()

    def _write(self) -> None:
        """Write frames until the last."""
        stream = cast(BinaryIO, self._process.stdin)
        with suppress(OSError, ValueError), stream:
            while (frame := self._frames.get()) is not None:
                stream.write(frame)
                stream.flush()

    def _read(self) -> None:
        """Hand on what the child says until it is gone."""
        stream = cast(BinaryIO, self._process.stdout)
        with suppress(OSError, ValueError, BrokenWire), stream:
            while (frame := read_frame(stream)) is not None:
                kind, body = frame
                is_sound = kind is FrameKind.BLOCK
                said = {"block": read_block(body)} if is_sound else unpack_words(body)
                self._tell(said)
        self._frames.put(None)
        self._tell(None)
