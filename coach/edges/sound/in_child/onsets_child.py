"""Be the child that finds onsets: take blocks until there are no more, and answer."""

from __future__ import annotations

import sys
from array import array

from coach.edges.engine_wire import read_block, read_frame
from coach.rehearsal.hearing.onsets import find_heard_onsets


def main() -> None:
    """Read blocks of sound, write the run time of each onset."""
    blocks = []
    while (frame := read_frame(sys.stdin.buffer)) is not None:
        blocks.append(read_block(frame[1]))
    sys.stdout.buffer.write(array("d", find_heard_onsets(blocks)).tobytes())


if __name__ == "__main__":
    main()
