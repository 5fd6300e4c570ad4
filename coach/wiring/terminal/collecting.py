"""Memory is looked through for what nobody needs, but not before the first picture.

What a start loads stays until the end, so the collector would find nothing in it: it
waits, and passes over all that by then stands there.  Looking through all that is old
holds up the screen for some 20 to 50 ms, so it is done between runs.
"""

from __future__ import annotations

import gc

YOUNG = 10_000
"""Once so many things have come to stand that nobody has let go of, what is young is
looked through: our own choice.  A plan of 270 notes makes five such rounds with the
usual 700, and nothing is ever found in them."""

ROUNDS = 100
"""After so many rounds among what is young the old is looked through too, if no pause
came before: our own choice, more rounds than runs of several minutes take."""


def collect_later() -> None:
    """Let the collector wait until the first picture stands."""
    gc.disable()


def collect_from_here() -> None:
    """Pass over what has been loaded, and collect what comes after it, part by part."""
    if not gc.isenabled():
        gc.freeze()
        _, younger, _ = gc.get_threshold()
        gc.set_threshold(YOUNG, younger, ROUNDS)
        gc.enable()


def collect_all() -> None:
    """Collect all of it: not while a run plays, since no picture is drawn meanwhile."""
    gc.collect()
