"""Threads take turns often: a key is answered while a plan is made beside it.

Python lets a thread go on for 5 ms before another may; who draws a picture asks for its
turn several times, and waits as often.
"""

from __future__ import annotations

import sys

TURN_S = 0.001
"""So long a thread goes on before another may.  Measured while a plan of 270 notes is
made: the answer to a key is drawn in less time than with 5 ms, the plan in as much."""


def take_turns() -> None:
    """Let threads take turns often."""
    sys.setswitchinterval(TURN_S)
