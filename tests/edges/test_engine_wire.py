"""What the screens and the engine say arrives as it was said."""

from __future__ import annotations

import math
from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.edges import engine_wire
from coach.edges.engine import track_wire
from coach.edges.engine_wire import BrokenWire, FrameKind
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.gear.gear import (
    ClickSent,
    Fact,
    GearLost,
    GearReport,
    LevelHeard,
    NoteHeard,
    PedalLearned,
    PedalPressed,
    SoundHeard,
    TrackEnded,
)
from coach.score.tempo import Seconds

seconds = st.floats(-1e4, 1e4, allow_nan=False).map(Seconds)
sevens = st.integers(0, 127)
clicks = st.builds(
    Click,
    due=seconds,
    length=seconds,
    kind=st.sampled_from(SoundKind),
    channel=st.integers(0, 15),
    key=sevens,
    velocity=sevens,
    bar=st.integers(-100, 10_000),
    beat=st.floats(0, 32),
)
tracks = st.builds(
    ClickTrack,
    clicks=st.lists(clicks, max_size=8).map(tuple),
    starts=seconds,
    ends=seconds,
    clocks=st.lists(seconds, max_size=8).map(tuple),
    song_position=st.integers(0, 2**14 - 1),
    clock_starts=seconds,
    programs=st.lists(st.tuples(sevens, sevens), max_size=3).map(tuple),
)
words = st.text(max_size=20)
names = st.lists(words, max_size=3).map(tuple)
facts: st.SearchStrategy[Fact] = st.one_of(
    st.builds(ClickSent, seconds, seconds, st.booleans()),
    st.builds(PedalPressed, seconds, st.sampled_from(["mark", "again"])),
    st.builds(PedalLearned, st.sampled_from(["mark", "again"]), words),
    st.builds(NoteHeard, seconds, sevens),
    st.builds(LevelHeard, st.floats(-100, 0), st.booleans()),
    st.builds(GearLost, words, st.booleans()),
    st.builds(TrackEnded, seconds, seconds, st.integers(0, 10**6)),
    st.builds(
        GearReport, names, names, words, names, words, seconds, words, remarks=names
    ),
)


def arrive(frame: bytes) -> tuple[FrameKind, bytes]:
    """Read a frame from a pipe."""
    read = engine_wire.read_frame(BytesIO(frame))
    assert read is not None
    return read


@given(tracks, st.integers(0, 2**31))
def test_a_track_arrives_as_it_was_laid(track: ClickTrack, serial: int) -> None:
    kind, body = arrive(track_wire.pack_track(FrameKind.PLAY, track, serial))
    assert kind is FrameKind.PLAY
    assert track_wire.read_track(body) == (serial, track)


@given(facts)
def test_a_fact_arrives_as_it_happened(fact: Fact) -> None:
    kind, body = arrive(engine_wire.pack_fact(fact, 3))
    said = engine_wire.unpack_words(body)
    assert (kind, said["serial"]) == (FrameKind.WORDS, 3)
    assert engine_wire.read_fact(said) == fact


def test_silence_below_any_level_arrives() -> None:
    _, body = arrive(engine_wire.pack_fact(LevelHeard(-math.inf, False), 0))
    said = engine_wire.unpack_words(body)
    assert engine_wire.read_fact(said) == LevelHeard(-math.inf, False)


@given(seconds, st.binary(max_size=64), st.booleans(), st.booleans())
def test_a_block_of_sound_arrives_as_it_was_heard(
    at: Seconds, samples: bytes, is_overloaded: bool, has_gap: bool
) -> None:
    block = SoundHeard(at, 48_000.0, samples, is_overloaded, has_gap)
    kind, body = arrive(engine_wire.pack_fact(block, 0))
    assert kind is FrameKind.BLOCK
    assert engine_wire.read_block(body) == block


@given(st.binary(max_size=40), st.integers(0, 39))
def test_half_a_frame_means_that_the_other_side_is_gone(body: bytes, cut: int) -> None:
    frame = engine_wire.pack(FrameKind.WORDS, body)
    assert engine_wire.read_frame(BytesIO(frame[: min(cut, len(frame) - 1)])) is None


@pytest.mark.parametrize("noise", [b"\xff\xff\xff\xff\x01", b"\x01\x00\x00\x00\x63x"])
def test_what_is_no_frame_is_told_apart(noise: bytes) -> None:
    with pytest.raises(BrokenWire):
        engine_wire.read_frame(BytesIO(noise))
