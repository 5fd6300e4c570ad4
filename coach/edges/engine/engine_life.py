"""One engine process from its start to its end, as seen from the screens' process."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from queue import SimpleQueue
from typing import IO, BinaryIO, cast

from coach.config import home
from coach.edges import engine_wire
from coach.edges.engine.engine_watchdog import Watchdog, WatchdogSettings
from coach.edges.engine.scheduling import IN_HASTE
from coach.edges.engine_wire import BrokenWire, FrameKind
from coach.errors import GearError

ENGINE = "coach.edges.engine.in_child.engine_start"
LOG_NAME = "engine.log"
PATIENCE_S = 1.5
"""How long an engine may take to end its notes and leave: our own choice."""


class EngineLife:
    """Starts an engine, hands frames both ways, and tells when it is gone."""

    def __init__(
        self,
        settings: WatchdogSettings,
        hear: Callable[[FrameKind, bytes], None],
        be_gone: Callable[[EngineLife], None],
        *,
        is_in_haste: bool,
    ) -> None:
        """Start it; GearError when the system has no process to give.

        In haste it loads before other programs run: notes sound until it is there.
        Else it would only take the first picture's time.
        """
        self.hangs = False
        """It was made to leave, since it answered nothing."""
        self._hear = hear
        self._be_gone = be_gone
        self._frames: SimpleQueue[bytes | None] = SimpleQueue()
        self._mourning = threading.Lock()
        log = _open_log()
        try:
            self.process = subprocess.Popen(
                [sys.executable, "-m", ENGINE, *([IN_HASTE] if is_in_haste else ())],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                start_new_session=True,
                creationflags=getattr(subprocess, "HIGH_PRIORITY_CLASS", 0),
            )
        except OSError as error:
            raise GearError(
                f"The click engine cannot be started: {error.strerror}.",
                "End some other programs, or rehearse with --silent.",
            ) from error
        finally:
            log.close()
        self._watchdog = Watchdog(settings, self._ask_for_life, self._make_leave)
        self._reader = threading.Thread(target=self._read, name="facts", daemon=True)
        self._writer = threading.Thread(target=self._write, name="words", daemon=True)
        self._reader.start()
        self._writer.start()

    def send(self, frame: bytes) -> None:
        """Send a frame soon."""
        self._frames.put(frame)

    def watch(self, is_wanted: bool) -> None:
        """Make it leave if it hangs while it is wanted."""
        self._watchdog.watch(is_wanted)

    def be_patient(self, is_slow: bool) -> None:
        """Give it time, since it opens gear; or no more."""
        self._watchdog.be_patient(is_slow)

    def end(self) -> None:
        """Let it end its notes and leave; make it leave if it does not."""
        if self.hangs:
            return  # its threads end with it, if a driver ever lets it go
        self._watchdog.end()
        self._frames.put(engine_wire.pack_words({"do": "quit"}))
        self._frames.put(None)
        try:
            self.process.wait(PATIENCE_S)
        except subprocess.TimeoutExpired:
            self._kill()
        for thread in (self._reader, self._writer, self._watchdog.thread):
            if thread is not threading.current_thread():
                thread.join(PATIENCE_S)

    def leave(self, patience_s: float) -> None:
        """Let it end its notes and leave, and wait for that no longer than this.

        It leaves by itself; its system ends it if a driver holds it.
        """
        self._watchdog.end()
        self._frames.put(engine_wire.pack_words({"do": "quit"}))
        self._frames.put(None)
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(patience_s)

    def _ask_for_life(self) -> None:
        """Ask for a sign of life."""
        self.send(engine_wire.ALIVE)

    def _make_leave(self) -> None:
        """Kill an engine that hangs; go on without it if a driver holds it still."""
        self.hangs = True
        if not self._kill():
            self._mourn()

    def _kill(self) -> bool:
        """Kill it; tell whether it is gone."""
        self.process.kill()
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(PATIENCE_S)
            return True
        return False

    def _mourn(self) -> None:
        """Tell once that it is gone."""
        if self._mourning.acquire(blocking=False):
            self._be_gone(self)

    def _write(self) -> None:
        """Write frames until the last."""
        stream = cast(IO[bytes], self.process.stdin)
        with suppress(OSError, ValueError), stream:
            while (frame := self._frames.get()) is not None:
                stream.write(frame)
                stream.flush()

    def _read(self) -> None:
        """Hand on what the engine tells until it is gone."""
        stream = cast(BinaryIO, self.process.stdout)
        with suppress(OSError, ValueError, BrokenWire), stream:
            while (read := engine_wire.read_frame(stream)) is not None:
                kind, body = read
                self._watchdog.answer()  # whatever comes, its main thread sent it
                if kind is not FrameKind.ALIVE:
                    self._hear(kind, body)
        self._frames.put(None)
        self._mourn()
        self.process.wait()  # so that no process is left without an end


def log_path() -> Path:
    """Tell where the engine and its libraries write what is no player's business."""
    return home() / LOG_NAME


def _open_log() -> IO[bytes]:
    """Open the log anew; where it cannot be written, there is none."""
    with suppress(OSError):
        log_path().parent.mkdir(parents=True, exist_ok=True)
        return log_path().open("wb")
    return Path(os.devnull).open("wb")
