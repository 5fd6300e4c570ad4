"""The words between the engine and the process that carries messages to a port."""

from __future__ import annotations

import struct
from typing import BinaryIO

LENGTH = struct.Struct("<H")
OPENED, FAILED, HERE = "opened", "failed", "here"


def frame_message(message: bytes) -> bytes:
    """Make a frame: short enough that a pipe takes it whole or not at all."""
    return LENGTH.pack(len(message)) + message


def read_message(stream: BinaryIO) -> bytes | None:
    """Wait for a message; None when the other side is gone."""
    head = stream.read(LENGTH.size)
    if len(head) < LENGTH.size:
        return None
    (length,) = LENGTH.unpack(head)
    body = stream.read(length)
    return body if len(body) == length else None
