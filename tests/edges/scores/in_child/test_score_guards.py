"""Scores that would take too long are refused before music21 meets them."""

from __future__ import annotations

from dataclasses import replace

import mido
import pytest

from coach.edges.scores.in_child.formats.midi_scan import MidiScan, find_grid, scan_midi
from coach.edges.scores.in_child.formats.score_formats import find_score
from coach.edges.scores.in_child.score_guards import check_score
from coach.edges.scores.score_limits import ScoreLimits, read_score_limits
from coach.errors import ScoreError
from tests.benchmarks.bad_files import END, ON_OFF, midi
from tests.edges.scores.score_samples import (
    ABC,
    KERN,
    MEI,
    WHOLE,
    keys,
    midi_file,
    page,
)

LIMITS = read_score_limits()


def check(content: str | bytes, limits: ScoreLimits = LIMITS) -> None:
    data = content.encode() if isinstance(content, str) else content
    check_score(find_score(data, "x", limits), "x", limits)


@pytest.mark.parametrize("content", [ABC, KERN, MEI, page(WHOLE)])
def test_scores_of_sane_size_are_let_through(content: str) -> None:
    check(content)


@pytest.mark.parametrize(
    ("limits", "content", "why"),
    [
        (replace(LIMITS, notes_count=5), ABC, "more than 5 notes"),
        (replace(LIMITS, bars_count=2), ABC, "more than 2 bars"),
        (LIMITS, "X:1\nK:C\n" + "-" * 500_000, "more than 400000 signs in a tune"),
        (replace(LIMITS, notes_count=5), KERN, "more than 5 notes"),
        (replace(LIMITS, score_notes_count=5), KERN, "more than 5 notes"),
        (replace(LIMITS, bars_count=2), KERN, "more than 2 bars"),
        (replace(LIMITS, parts_count=1), KERN, "more than 1 spines"),
        (replace(LIMITS, notes_count=5), MEI, "more than 5 notes in a part"),
        (replace(LIMITS, bars_count=2), MEI, "more than 2 bars"),
        (replace(LIMITS, elements_count=9), MEI, "too much for one score"),
        (replace(LIMITS, depth_count=3), MEI, "nested too deeply"),
        (
            replace(LIMITS, score_notes_count=1),
            midi_file(keys((48, 9), (50, 9))),
            "more than 1 notes",
        ),
        (
            replace(LIMITS, length_quarters=1),
            midi_file(keys((48, 480), (50, 481))),
            "longer than 1 beats",
        ),
    ],
)
def test_scores_that_are_too_large_are_refused(
    limits: ScoreLimits, content: str | bytes, why: str
) -> None:
    with pytest.raises(ScoreError, match=why):
        check(content, limits)


def test_every_kind_of_midi_event_is_passed_over() -> None:
    """Events of the Standard MIDI Files 1.0, running status among them."""
    track = [
        mido.MetaMessage("text", text="x" * 200),
        mido.Message("program_change", program=57),
        mido.Message("aftertouch", value=3),
        mido.Message("control_change", control=7, value=100),
        mido.Message("pitchwheel", pitch=99),
        mido.Message("polytouch", note=1, value=2),
        mido.Message("sysex", data=(1, 2, 3)),
        mido.Message("note_on", note=48, velocity=80),
        mido.Message("note_on", note=48, velocity=0, time=480),
        *keys((50, 240), (52, 240)),
    ]
    scan = scan_midi(midi_file(track), "x", LIMITS)
    assert scan.onsets == (0, 480, 720)
    running = b"\x00\x90\x30\x50\x81\x00\x30\x00\x00\x32\x50\x81\x00\x32\x00" + END
    assert scan_midi(midi(running), "x", LIMITS).onsets == (0, 128)


def test_chunks_of_other_kinds_are_passed_over() -> None:
    other = b"XFIH\x00\x00\x00\x03abc"
    whole = midi(ON_OFF + END, tracks=2)
    assert len(scan_midi(whole[:14] + other + whole[14:], "x", LIMITS).onsets) == 1


@pytest.mark.parametrize(
    ("division", "why"),
    [(0, "says nowhere how long a beat is"), (0xE728, "in film frames, not in beats")],
)
def test_a_file_that_does_not_count_in_beats_is_refused(
    division: int, why: str
) -> None:
    """Standard MIDI Files 1.0: a negative division is frames a second."""
    with pytest.raises(ScoreError, match=why):
        scan_midi(midi(ON_OFF + END, division=division), "x", LIMITS)


@pytest.mark.parametrize(
    "track",
    [
        b"\x00\x90\x30",  # a note without its velocity
        b"\x00",  # a time without an event
        b"\xff\xff\xff\xff\x00\x90\x30\x50",  # a number of five bytes
        b"\x00\xf4\x00",  # a status byte that files do not have
        b"\x00\xf0\x7f\x01",  # a system message past the end
    ],
)
def test_a_broken_track_is_named(track: bytes) -> None:
    with pytest.raises(ScoreError, match="broken in track 1"):
        scan_midi(midi(track), "x", LIMITS)


@pytest.mark.parametrize(
    ("ticks", "grid"),
    [
        ((0, 480, 600, 720), (4, 3)),
        ((0, 160, 320, 480), (4, 3)),
        ((0, 60, 120), (8, 6)),
        ((0, 30, 60), (16, 12)),
        ((0, 96, 192, 288), (8, 6, 5)),
        # A program that rounds: a third of 100 ticks is 33.
        ((0, 481, 959), (4, 3)),
    ],
)
def test_the_coarsest_grid_that_fits_is_found(
    ticks: tuple[int, ...], grid: tuple[int, ...]
) -> None:
    gaps = [b - a for a, b in zip((0, *ticks), ticks, strict=False)]
    track = [
        message
        for gap in gaps
        for message in (
            mido.Message("note_on", note=48, velocity=9, time=gap),
            mido.Message("note_off", note=48),
        )
    ]
    assert find_grid(scan_midi(midi_file(track), "x", LIMITS)) == (grid, True)


@pytest.mark.parametrize(
    ("ticks", "grid"),
    [
        ((0, 463, 951, 1433), (4, 3)),
        # Freely played thirty-seconds: on a coarser grid some would fall together.
        ((0, 63, 117, 183, 245, 299), (8, 6)),
        (tuple(range(7, 480, 17)), (16, 12, 10, 7)),
    ],
)
def test_freely_played_notes_get_the_coarsest_grid_that_keeps_them_apart(
    ticks: tuple[int, ...], grid: tuple[int, ...]
) -> None:
    assert find_grid(MidiScan(480, ticks)) == (grid, False)
