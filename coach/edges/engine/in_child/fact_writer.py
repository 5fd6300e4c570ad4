"""Write what the engine tells, on a thread of its own: no click waits for a pipe."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from queue import SimpleQueue
from typing import BinaryIO

from coach.edges.engine import scheduling


class FactWriter:
    """Makes frames and writes them until nobody reads them."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._frames: SimpleQueue[Callable[[], bytes] | None] = SimpleQueue()
        self._thread = threading.Thread(target=self._write, name="facts", daemon=True)
        self._thread.start()

    def put(self, make: Callable[[], bytes]) -> None:
        """Have a frame made and written soon."""
        self._frames.put(make)

    def end(self, patience_s: float) -> None:
        """Write what waits, and no more."""
        self._frames.put(None)
        self._thread.join(patience_s)

    def _write(self) -> None:
        scheduling.stand_back()
        with suppress(OSError, ValueError), self._stream as stream:
            while (make := self._frames.get()) is not None:
                stream.write(make())
                if self._frames.empty():
                    stream.flush()
