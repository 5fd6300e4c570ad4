"""Names of MIDI ports: the part that stays, and which port is meant."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence

CHANGING_NUMBERS = re.compile(r"\s+\d+$" if sys.platform == "win32" else r"\s+\d+:\d+$")


def plain_name(name: str) -> str:
    """Give the part of a port's name that stays when it is unplugged.

    >>> plain_name("Pedal:Pedal MIDI 1 20:0")
    'Pedal:Pedal MIDI 1'
    """
    return CHANGING_NUMBERS.sub("", name)


def find_name(wanted: str, names: Sequence[str]) -> str | None:
    """Find a port by its name, or by a part of it in any case."""
    if wanted in names:
        return wanted
    inside = [name for name in names if wanted and wanted.lower() in name.lower()]
    return inside[0] if inside else None
