"""MIDI 1.0 messages as bytes, each complete with its status byte.

Ports want whole messages, so running status is never used.
"""

from __future__ import annotations

NOTE_OFF, NOTE_ON, CONTROL, PROGRAM = 0x80, 0x90, 0xB0, 0xC0
SONG_POSITION, CLOCK, START, CONTINUE, STOP = 0xF2, 0xF8, 0xFA, 0xFB, 0xFC
DAMPER, ALL_NOTES_OFF = 64, 123
CHANNELS = range(16)
SEVEN_BITS = 0x7F
KIND_BITS, CHANNEL_BITS = 0xF0, 0x0F
"""MIDI 1.0: which bits of a status byte tell what it is, and on which channel."""

TIMING_CLOCK = bytes((CLOCK,))
STOP_PLAYING = bytes((STOP,))


def note_on(channel: int, key: int, velocity: int) -> bytes:
    """Begin a note."""
    return bytes((NOTE_ON | channel, key, velocity))


def note_off(channel: int, key: int) -> bytes:
    """End a note."""
    return bytes((NOTE_OFF | channel, key, 0))


def choose_program(channel: int, program: int) -> bytes:
    """Choose a sound."""
    return bytes((PROGRAM | channel, program))


def silence(channel: int) -> tuple[bytes, ...]:
    """End whatever sounds on a channel: damper up, all notes off."""
    return (
        bytes((CONTROL | channel, DAMPER, 0)),
        bytes((CONTROL | channel, ALL_NOTES_OFF, 0)),
    )


def start_at(song_position: int) -> tuple[bytes, ...]:
    """Start other gear on the next clock, from a place counted in sixteenths."""
    place = bytes(
        (SONG_POSITION, song_position & SEVEN_BITS, song_position >> 7 & SEVEN_BITS)
    )
    return place, bytes((CONTINUE if song_position else START,))
