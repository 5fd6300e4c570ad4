"""Tunes for the tests of ABC."""

from __future__ import annotations

from coach.score.abc.abc_lines import split_tunes
from coach.score.abc.abc_reader import AbcReading, read_abc
from coach.score.page import Page
from coach.score.phrase import Part
from coach.score.played.unfolding import unfold
from tests.score.page_samples import SETTINGS

HEAD = "X:1\nT:Study\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n"
FIRST_LINE = 7
"""Line of the music in a tune made with `HEAD`."""


def reading(tune: str) -> AbcReading:
    """Read the first tune of a text."""
    return read_abc(split_tunes(tune)[0])


def page_of(tune: str, voice: int = 0) -> Page:
    """Read a tune that has no fault."""
    found = reading(tune)
    assert not found.faults, found.faults
    return found.pages[voice]


def part_of(tune: str, voice: int = 0) -> Part:
    """Play a tune that has no fault."""
    return unfold(page_of(tune, voice), SETTINGS, most_bars=1000)


def body(music: str, voice: int = 0) -> Part:
    """Play some music under `HEAD`."""
    return part_of(HEAD + music + "\n", voice)
