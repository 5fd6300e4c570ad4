"""Reading takes in proportion to a score's length, and what is read stays the same."""

from __future__ import annotations

import cProfile
import gc
import pstats
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

import coach
from tests.edges.scores.score_samples import (
    keys,
    midi_file,
    page,
    read,
    spelled,
    xml_note,
)

Tracer = Callable[[FrameType, str, Any], Any]
OURS = str(Path(coach.__file__).parent)

SLUR_OPENS = '<slur type="start" number="1"/>'
SLUR_CLOSES = '<slur type="stop" number="1"/>'


def study(bars: int) -> str:
    """A MusicXML study with a slur in each bar."""
    first = xml_note("C3", notations=SLUR_OPENS)
    last = xml_note("E3", notations=SLUR_CLOSES)
    return page(*([first + xml_note("D3") + last + xml_note("F3")] * bars))


def kern(bars: int) -> str:
    """A kern study of as many bars."""
    written = "".join(f"={k}\n4C\n4D\n4E\n4F\n" for k in range(1, bars + 1))
    return f"**kern\n*clefF4\n*M4/4\n{written}==\n*-\n"


def midi(bars: int) -> bytes:
    """A MIDI study of as many bars."""
    return midi_file(keys(*[(48, 480), (50, 480), (52, 480), (53, 480)] * bars))


def calls(make: Callable[[int], str | bytes], bars: int) -> Counter[str]:
    """Count the calls of each function that reading takes: time, without a clock.

    music21 asks all that still is in memory and refers to a note, so how often it asks
    would hang on when the collector came by.
    """
    profile = cProfile.Profile()
    score = make(bars)
    gc.collect()
    gc.disable()
    try:
        profile.enable()
        read(score)
        profile.disable()
    finally:
        gc.enable()
    found: Counter[str] = Counter()
    for (path, line, name), told in pstats.Stats(profile).stats.items():  # type: ignore[attr-defined]
        found[f"{name} in {path}, line {line}"] += told[1]
    return found


def lines(make: Callable[[int], str | bytes], bars: int) -> Counter[str]:
    """Count the lines that each function of ours goes through: its loops too."""
    found: Counter[str] = Counter()

    def within(frame: FrameType, event: str, _: object) -> Tracer:
        if event == "line":
            code = frame.f_code
            found[f"{code.co_name} in {code.co_filename}, {code.co_firstlineno}"] += 1
        return within

    def enter(frame: FrameType, _: str, __: object) -> Tracer | None:
        return within if frame.f_code.co_filename.startswith(OURS) else None

    score = make(bars)
    before = sys.gettrace()
    sys.settrace(enter)
    try:
        read(score)
    finally:
        sys.settrace(before)
    return found


@pytest.mark.parametrize("count", [calls, lines])
@pytest.mark.parametrize("make", [study, kern, midi])
def test_reading_grows_in_proportion(
    make: Callable[[int], str | bytes],
    count: Callable[[Callable[[int], str | bytes], int], Counter[str]],
) -> None:
    count(make, 1)  # music21 is loaded once
    few, more, many = (count(make, bars) for bars in (20, 40, 80))
    # What goes through all that was read before is done four times as much more
    # often, what does not twice.
    growing = {
        name: (few[name], more[name], many[name])
        for name in many
        if many[name] > 40 * 80
        and many[name] - more[name] > 3 * (more[name] - few[name])
    }
    assert many
    assert not growing


@pytest.mark.parametrize("make", [kern, midi])
def test_every_bar_has_its_notes_and_its_length(
    make: Callable[[int], str | bytes],
) -> None:
    part = read(make(9))
    assert spelled(part) == " ".join(["C3 D3 E3 F3"] * 9)
    assert [bar.length for bar in part.bars] == [4] * 9


def test_the_last_bar_of_a_midi_file_is_as_long_as_its_metre() -> None:
    part = read(midi_file(keys((48, 480), (50, 480), (52, 480), (53, 480), (48, 480))))
    assert [bar.length for bar in part.bars] == [4, 4]


@pytest.mark.parametrize("bars", [1, 30])
def test_slurs_find_their_ends(bars: int) -> None:
    part = read(study(bars))
    assert spelled(part) == " ".join(["C3 D3 E3 F3"] * bars)
    assert [n.is_slurred for n in part.notes] == [False, True, True, False] * bars


def test_slurs_inside_each_other_find_their_own_ends() -> None:
    outer = '<slur type="start" number="2"/>'
    first = xml_note("C3", notations=outer)
    second = xml_note("D3", notations=SLUR_OPENS)
    third = xml_note("E3", notations=SLUR_CLOSES + SLUR_OPENS)
    fourth = xml_note("F3", notations='<slur type="stop" number="2"/>')
    last = xml_note("G3", 48, notations=SLUR_CLOSES)
    part = read(page(first + second + third + fourth, last))
    assert [note.is_slurred for note in part.notes] == [False, True, True, True, True]
