"""A track as packed numbers: parsing long JSON would hold up the engine's clicks."""

from __future__ import annotations

import struct
from array import array
from typing import cast

from coach.edges.engine_wire import FrameKind, pack
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.score.tempo import Seconds

TRACK = struct.Struct("<IIIIIddd")
CLICK = struct.Struct("<ddBBBBid")
PROGRAM = struct.Struct("<BB")
KINDS = tuple(SoundKind)
KIND_PLACES = {kind: place for place, kind in enumerate(KINDS)}


def pack_track(kind: FrameKind, track: ClickTrack, serial: int) -> bytes:
    """Make a frame of a track to play, or to change to."""
    head = TRACK.pack(
        serial,
        len(track.clicks),
        len(track.clocks),
        len(track.programs),
        track.song_position,
        track.starts,
        track.ends,
        track.clock_starts,
    )
    clicks = b"".join(
        CLICK.pack(
            click.due,
            click.length,
            KIND_PLACES[click.kind],
            click.channel,
            click.key,
            click.velocity,
            click.bar,
            click.beat,
        )
        for click in track.clicks
    )
    programs = b"".join(PROGRAM.pack(*program) for program in track.programs)
    return pack(kind, head + clicks + programs + array("d", track.clocks).tobytes())


def read_track(body: bytes) -> tuple[int, ClickTrack]:
    """Read a track and the number of its run."""
    head = TRACK.unpack_from(body)
    serial, click_count, _, program_count, song_position, *times = head
    starts, ends, clock_starts = (Seconds(time) for time in times)
    programs_at = TRACK.size + CLICK.size * click_count
    clocks_at = programs_at + PROGRAM.size * program_count
    clicks = [
        Click(due, length, KINDS[kind], channel, key, velocity, bar, beat)
        for due, length, kind, channel, key, velocity, bar, beat in CLICK.iter_unpack(
            body[TRACK.size : programs_at]
        )
    ]
    clocks = array("d")
    clocks.frombytes(body[clocks_at:])
    return serial, ClickTrack(
        clicks=tuple(clicks),
        starts=starts,
        ends=ends,
        clocks=cast(tuple[Seconds, ...], tuple(clocks)),
        song_position=song_position,
        clock_starts=clock_starts,
        programs=cast(
            tuple[tuple[int, int], ...],
            tuple(PROGRAM.iter_unpack(body[programs_at:clocks_at])),
        ),
    )
