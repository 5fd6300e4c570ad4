"""Find where sounds begin in what the microphone heard, in a process of its own.

The screens load no array library; so a child does, is asked once, and leaves.
"""

from __future__ import annotations

import subprocess
import sys
from array import array
from collections.abc import Sequence

from coach.edges.engine_wire import pack_fact
from coach.errors import GearError
from coach.rehearsal.gear.gear import SoundHeard
from coach.score.tempo import Seconds

CHILD = "coach.edges.sound.in_child.onsets_child"

PATIENCE_S = 20.0
"""How long the child may take for a few seconds of sound: our own choice."""


def find_onsets_apart(blocks: Sequence[SoundHeard]) -> list[Seconds]:
    """Give the run time of each onset, found in a child process."""
    try:
        child = subprocess.run(
            [sys.executable, "-m", CHILD],
            input=b"".join(pack_fact(block, 0) for block in blocks),
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=PATIENCE_S,
            check=True,
        )
        found = array("d", child.stdout)
    except (OSError, subprocess.SubprocessError, ValueError) as error:
        raise GearError(
            "What the microphone heard could not be looked through.", "Measure again."
        ) from error
    return [Seconds(at) for at in found]
