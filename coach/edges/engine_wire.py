"""The words that the screens' process and the engine say to each other.

A frame is its length and kind, then its body.  Commands and facts are JSON; tracks,
lateness and blocks of sound are packed numbers, since parsing long JSON would hold
up the engine's clicks.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from dataclasses import asdict
from enum import IntEnum
from typing import Any, BinaryIO, cast

from coach.rehearsal.gear import gear
from coach.rehearsal.gear.gear import Fact, SoundHeard
from coach.score.tempo import Seconds

FRAME = struct.Struct("<IB")
BLOCK = struct.Struct("<dd???")
LONGEST_FRAME = 2**26
FACTS: dict[str, type] = {
    kind.__name__: kind
    for kind in (
        gear.ClickSent,
        gear.PedalPressed,
        gear.PedalLearned,
        gear.NoteHeard,
        gear.LevelHeard,
        gear.GearLost,
        gear.ClickAwaited,
        gear.TrackEnded,
        gear.GearReport,
    )
}


class FrameKind(IntEnum):
    """What a frame holds."""

    WORDS = 1
    PLAY = 2
    CHANGE = 3
    BLOCK = 4
    LATENESS = 5
    ALIVE = 6


ALIVE = FRAME.pack(0, FrameKind.ALIVE)
"""Asks for a sign of life, and is the answer."""


class BrokenWire(Exception):  # noqa: N818  # it says what happened
    """What came is no frame: the other side is not what it should be."""


def pack(kind: FrameKind, body: bytes) -> bytes:
    """Make a frame."""
    return FRAME.pack(len(body), kind) + body


def read_frame(stream: BinaryIO) -> tuple[FrameKind, bytes] | None:
    """Wait for a frame; None when the other side is gone."""
    head = stream.read(FRAME.size)
    if len(head) < FRAME.size:
        return None
    length, kind = FRAME.unpack(head)
    if length > LONGEST_FRAME or kind not in list(FrameKind):
        raise BrokenWire(f"a frame of kind {kind} and {length} bytes")
    body = stream.read(length)
    return (FrameKind(kind), body) if len(body) == length else None


def pack_words(words: Mapping[str, Any]) -> bytes:
    """Make a frame of a command or an answer."""
    return pack(FrameKind.WORDS, json.dumps(words).encode())


def unpack_words(body: bytes) -> dict[str, Any]:
    """Read a command or an answer."""
    return cast(dict[str, Any], json.loads(body))


def pack_fact(fact: Fact, serial: int) -> bytes:
    """Make a frame of a fact of one run."""
    if isinstance(fact, SoundHeard):
        head = BLOCK.pack(
            fact.at, fact.rate_hz, fact.is_overloaded, fact.has_gap, fact.is_timed
        )
        return pack(FrameKind.BLOCK, head + fact.samples)
    return pack_words({"fact": type(fact).__name__, "serial": serial, **asdict(fact)})


def read_fact(words: Mapping[str, Any]) -> Fact:
    """Read a fact from words."""
    kind = FACTS[words["fact"]]
    values = {
        key: tuple(value) if isinstance(value, list) else value
        for key, value in words.items()
        if key not in ("fact", "serial")
    }
    return cast(Fact, kind(**values))


def read_block(body: bytes) -> SoundHeard:
    """Read a block of sound."""
    at, rate_hz, is_overloaded, has_gap, is_timed = BLOCK.unpack_from(body)
    samples = body[BLOCK.size :]
    return SoundHeard(Seconds(at), rate_hz, samples, is_overloaded, has_gap, is_timed)
