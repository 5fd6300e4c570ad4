"""The evidence of a run as the log keeps it: columns of numbers, as JSON, packed.

A column holds one thing of all notes, so that what repeats packs well; a run takes
about a kilobyte.  The same table of plain values travels between logs.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from typing import Any

from coach.rehearsal.run.evidence import AskedNote, Evidence, SoundedNote, TakenBreath

THINGS = (
    *("start_s", "written_s", "midi", "loud_start", "loud_end", "stroke"),
    "moved_cm",
)
"""What is kept of a note beside its signs."""

SOUNDED = ("bar", "behind_s", "level_db")
"""What is kept of how a note sounded, if somebody listened."""

DIGITS = 4
"""Decimals kept of seconds, steps and centimetres: far finer than anybody plays."""


def pack_evidence(evidence: Evidence) -> bytes:
    """Pack evidence for a row of the log."""
    told = json.dumps(evidence_as_dict(evidence), separators=(",", ":"))
    return zlib.compress(told.encode())


def unpack_evidence(packed: bytes) -> Evidence:
    """Read evidence from a row of the log."""
    return evidence_from_dict(json.loads(zlib.decompress(packed)))


def evidence_as_dict(evidence: Evidence) -> dict[str, Any]:
    """Lay evidence out as plain values: a list for each thing that a note has."""
    notes, sounded = evidence.notes, evidence.sounded
    heard = {thing: [getattr(note, thing) for note in sounded] for thing in SOUNDED}
    return {
        **({"sounded": heard} if sounded else {}),
        "notes": {
            **{
                thing: [_rounded(getattr(note, thing)) for note in notes]
                for thing in THINGS
            },
            "signs": [sorted(note.signs) for note in notes],
        },
        "breaths": [
            [
                breath.after_note,
                round(breath.start_s, DIGITS),
                round(breath.end_s, DIGITS),
                breath.is_gasp,
                breath.left_out,
            ]
            for breath in evidence.breaths
        ],
    }


def evidence_from_dict(told: Mapping[str, Any]) -> Evidence:
    """Make evidence of plain values; what else stands there is passed over."""
    notes = told["notes"]
    return Evidence(
        notes=tuple(
            AskedNote(**dict(zip(THINGS, values, strict=True)), signs=frozenset(signs))
            for signs, *values in zip(
                notes["signs"], *(notes[thing] for thing in THINGS), strict=True
            )
        ),
        breaths=tuple(TakenBreath(*breath) for breath in told["breaths"]),
        sounded=tuple(
            SoundedNote(*values)
            for values in zip(
                *(told["sounded"][thing] for thing in SOUNDED), strict=True
            )
        )
        if "sounded" in told
        else (),
    )


def _rounded(value: float | str) -> float | str:
    """Round what is a number."""
    return value if isinstance(value, str) else round(value, DIGITS)
