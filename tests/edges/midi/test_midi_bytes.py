"""Messages against the MIDI 1.0 specification and another library's encoder.

Sources: MIDI 1.0 Detailed Specification (MIDI Manufacturers Association, 1995), Tables
I to V: status bytes, running status, song position; mido 1.3 (O. M. Bjørndalen).
General MIDI System Level 1 (MIDI Manufacturers Association, 1991), Table 3, percussion
key map, and Table 2, sound set.
"""

from __future__ import annotations

from collections.abc import Iterable

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings, read_shipped
from coach.edges.midi import midi_bytes
from coach.rehearsal.click.click_settings import ClickSettings

channels = st.integers(0, 15)
sevens = st.integers(0, 127)

DATA_BYTES = {0x8: 2, 0x9: 2, 0xA: 2, 0xB: 2, 0xC: 1, 0xD: 1, 0xE: 2}
"""MIDI 1.0, Table II: data bytes of each channel message, by its status."""

SYSTEM_DATA_BYTES = {0xF1: 1, 0xF2: 2, 0xF3: 1, 0xF6: 0}
"""MIDI 1.0, Table V: data bytes of system common messages."""

GM_PERCUSSION = {
    37: "Side Stick",
    70: "Maracas",
    76: "Hi Wood Block",
    77: "Low Wood Block",
}
"""General MIDI System Level 1, Table 3 (the keys that we use; it spans 35 to 81)."""


def hexed(*messages: bytes) -> str:
    """Write messages as the specification does."""
    return " ".join(f"{byte:02X}" for message in messages for byte in message)


def read_stream(data: Iterable[int]) -> list[list[int]]:
    """Read a stream as MIDI 1.0 says: running status, real time in between."""
    messages: list[list[int]] = []
    status, pending = 0, list[int]()
    for byte in data:
        if byte >= 0xF8:
            messages.append([byte])
            continue
        if byte >= 0x80:
            status, pending = byte, []
        else:
            pending.append(byte)
        needed = SYSTEM_DATA_BYTES.get(status, DATA_BYTES.get(status >> 4, 0))
        if len(pending) == needed:
            messages.append([status, *pending])
            pending = []
            status = 0 if status >= 0xF0 else status
    return messages


def test_real_time_messages_are_single_bytes() -> None:
    assert hexed(midi_bytes.TIMING_CLOCK) == "F8"
    assert hexed(midi_bytes.STOP_PLAYING) == "FC"


def test_gear_starts_at_the_top_with_song_position_0_and_start() -> None:
    assert hexed(*midi_bytes.start_at(0)) == "F2 00 00 FA"


@pytest.mark.parametrize(
    ("sixteenths", "said"),
    [(8, "F2 08 00 FB"), (128, "F2 00 01 FB"), (16383, "F2 7F 7F FB")],
)
def test_gear_continues_from_a_place_said_low_bits_first(
    sixteenths: int, said: str
) -> None:
    assert hexed(*midi_bytes.start_at(sixteenths)) == said


def test_a_click_is_a_note_on_channel_10() -> None:
    assert hexed(midi_bytes.note_on(9, 76, 100)) == "99 4C 64"
    assert hexed(midi_bytes.note_off(9, 76)) == "89 4C 00"


def test_a_channel_is_silenced_by_damper_up_and_all_notes_off() -> None:
    assert hexed(*midi_bytes.silence(0)) == "B0 40 00 B0 7B 00"


@given(channels, sevens, sevens, st.integers(0, 16383))
def test_every_message_is_as_another_library_writes_it(
    channel: int, key: int, velocity: int, place: int
) -> None:
    pairs = [
        (
            midi_bytes.note_on(channel, key, velocity),
            mido.Message("note_on", channel=channel, note=key, velocity=velocity),
        ),
        (
            midi_bytes.note_off(channel, key),
            mido.Message("note_off", channel=channel, note=key, velocity=0),
        ),
        (
            midi_bytes.choose_program(channel, key),
            mido.Message("program_change", channel=channel, program=key),
        ),
        (midi_bytes.start_at(place)[0], mido.Message("songpos", pos=place)),
        (midi_bytes.TIMING_CLOCK, mido.Message("clock")),
        (midi_bytes.STOP_PLAYING, mido.Message("stop")),
        (
            midi_bytes.silence(channel)[1],
            mido.Message("control_change", channel=channel, control=123, value=0),
        ),
    ]
    assert [ours for ours, _ in pairs] == [theirs.bin() for _, theirs in pairs]


whole_messages = st.one_of(
    st.builds(midi_bytes.note_on, channels, sevens, sevens),
    st.builds(midi_bytes.note_off, channels, sevens),
    st.builds(midi_bytes.choose_program, channels, sevens),
    st.just(midi_bytes.TIMING_CLOCK),
)


@given(st.lists(whole_messages))
def test_a_stream_of_messages_reads_the_same_with_and_without_running_status(
    messages: list[bytes],
) -> None:
    """A port that drops repeated status bytes must not change what is heard."""
    running, status = bytearray(), 0
    for message in messages:
        is_repeated = message[0] == status and message[0] < 0xF0
        running += message[1:] if is_repeated else message
        status = message[0] if message[0] < 0xF0 else status
    whole = [list(message) for message in messages]
    assert read_stream(b"".join(messages)) == whole
    assert read_stream(running) == whole


def test_the_shipped_sounds_are_in_general_midi_level_1() -> None:
    settings = read_settings(ClickSettings, "click", "track")
    keys = {
        settings.accent_key,
        settings.beat_key,
        settings.subdivision_key,
        settings.cue_key,
    }
    assert keys <= set(GM_PERCUSSION)
    assert len(keys) == 4
    assert settings.click_channel + 1 == 10
    assert settings.guide_program_midi + 1 == 58, "Trombone"
    assert settings.drone_program_midi + 1 == 20, "Church Organ"


def test_metronome_keys_beyond_level_1_are_only_offered() -> None:
    """General MIDI Level 2 (1999): 33 Metronome Click, 34 Metronome Bell."""
    offered = read_shipped("click")["metronome_keys"]
    assert (offered["beat_key"], offered["accent_key"]) == (33, 34)
