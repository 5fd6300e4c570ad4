"""What is wrong in a tune that is being typed, with lines and columns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coach.score.abc.abc_faults import AbcFault
from coach.score.abc.abc_lines import split_tunes
from coach.score.abc.abc_reader import read_abc

Row = list[int | str | None]


def slips_of(text: str) -> dict[str, Any]:
    """List what cannot be read and what looks like a slip, in the first tune."""
    tunes = split_tunes(text)
    if not tunes:
        return {"faults": [], "doubts": [], "has_notes": False}
    reading = read_abc(tunes[0])
    return {
        "faults": _rows(reading.faults),
        "doubts": _rows(reading.doubts),
        "has_notes": any(bar.notes for page in reading.pages for bar in page.bars),
    }


def _rows(faults: Sequence[AbcFault]) -> list[Row]:
    """Lay faults out as plain lists."""
    return [
        [fault.spot.line, fault.spot.column, fault.bar, fault.what, fault.hint]
        for fault in faults
    ]
