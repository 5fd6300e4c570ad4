"""Memory is looked through for what nobody needs, but not before the first picture.

What a start loads stays until the end, so the collector would find nothing in it: it
waits, and passes over all that by then stands there.  So it is quicker in a run too.
"""

from __future__ import annotations

import gc


def collect_later() -> None:
    """Let the collector wait until the first picture stands."""
    gc.disable()


def collect_from_here() -> None:
    """Pass over what has been loaded, and collect what comes after it."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
