"""Start the engine process: load what clicks need, in haste if notes sound meanwhile.

``engine_life`` starts it with a pipe each way.  Beside busy programs the loading takes
longest, and the notes of an engine that died sound on until it is done.
"""

from __future__ import annotations

import os
import sys
from typing import BinaryIO

from coach.config import read_settings
from coach.edges.engine import scheduling
from coach.edges.engine.engine_settings import EngineSettings


def main() -> None:
    """Be the engine."""
    os.environ["JACK_NO_START_SERVER"] = "1"
    read, write = _take_pipes()
    settings = read_settings(EngineSettings, "click", "engine")
    if scheduling.IN_HASTE in sys.argv:
        scheduling.load_soon(settings)
    from coach.edges.engine.in_child.click_engine import run

    code = run(read, write, settings)
    sys.stderr.flush()
    os._exit(code)  # clients of a dead MIDI server must not be deleted


def _take_pipes() -> tuple[BinaryIO, BinaryIO]:
    """Take the pipes for ourselves: libraries write where they like."""
    words, facts = os.dup(0), os.dup(1)
    nowhere = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nowhere, 0)
    os.close(nowhere)
    os.dup2(2, 1)
    return os.fdopen(words, "rb"), os.fdopen(facts, "wb")


if __name__ == "__main__":
    main()
