"""Reading takes in proportion to a score's length, and what is read stays the same."""

from __future__ import annotations

import cProfile
import pstats

import pytest

from tests.edges.scores.score_samples import page, read, spelled, xml_note

SLUR_OPENS = '<slur type="start" number="1"/>'
SLUR_CLOSES = '<slur type="stop" number="1"/>'


def study(bars: int) -> str:
    """A MusicXML study with a slur in each bar."""
    first = xml_note("C3", notations=SLUR_OPENS)
    last = xml_note("E3", notations=SLUR_CLOSES)
    return page(*([first + xml_note("D3") + last + xml_note("F3")] * bars))


def calls(bars: int) -> int:
    """Count the calls of functions that reading takes: time, without a clock."""
    profile = cProfile.Profile()
    score = study(bars)
    profile.enable()
    read(score)
    profile.disable()
    return int(pstats.Stats(profile).total_calls)  # type: ignore[attr-defined]


def test_reading_grows_in_proportion() -> None:
    calls(1)  # music21 is loaded once
    few, more, many = calls(100), calls(200), calls(400)
    assert many - more < 2.2 * (more - few)


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
