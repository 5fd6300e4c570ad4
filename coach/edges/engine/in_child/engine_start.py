"""Start the engine process: load what clicks need, in haste if notes sound meanwhile.

``engine_life`` starts it with a pipe each way.  Beside busy programs the loading takes
longest, and the notes of an engine that died sound on until it is done.
"""

from __future__ import annotations

import os
import sys

from coach.config import read_settings
from coach.edges.child_pipes import take_pipes
from coach.edges.engine import scheduling
from coach.edges.engine.engine_settings import EngineSettings


def main() -> None:
    """Be the engine."""
    os.environ["JACK_NO_START_SERVER"] = "1"
    read, write = take_pipes()
    settings = read_settings(EngineSettings, "click", "engine")
    if scheduling.IN_HASTE in sys.argv:
        scheduling.load_soon(settings)
    from coach.edges.engine.in_child.click_engine import run

    code = run(read, write, settings)
    sys.stderr.flush()
    os._exit(code)  # clients of a dead MIDI server must not be deleted


if __name__ == "__main__":
    main()
