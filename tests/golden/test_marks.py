"""The teachers' table of marks: every mark names a note that is there."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import cache
from itertools import chain, combinations, pairwise

import pytest

from tests.shipped_etudes import FOUND, MARKED, MARKS, path_of

BREATHS = ("surely", "good", "never")
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
PARTIALS = (12, 19, 24, 28, 31, 34, 36, 38, 40, 43)
"""Semitones of the partials above the pedal that a player uses: the harmonic series."""

PEDAL = 34
"""B flat 1, the pedal note of first position."""


def spell(pitch: ET.Element) -> str:
    sign = {"-1": "b", "0": "", "1": "#"}[pitch.findtext("alter", "0")]
    return f"{pitch.findtext('step')}{sign}{pitch.findtext('octave')}"


@cache
def notes(name: str) -> tuple[str, ...]:
    """Spell every note that is begun, in order, as ``8:3 Bb3``."""
    found = []
    root = ET.parse(path_of(name)).getroot()
    divisions = int(root.findtext(".//divisions", ""))
    unit = 4
    for measure in root.iterfind(".//measure"):
        unit = int(measure.findtext("attributes/time/beat-type", str(unit)))
        at = 0
        for note in measure.iterfind("note"):
            pitch = note.find("pitch")
            is_begun = note.find("tie[@type='stop']") is None
            if pitch is not None and is_begun and note.find("grace") is None:
                beat = 1 + at * unit / 4 / divisions
                found.append(f"{measure.get('number')}:{beat:g} {spell(pitch)}")
            at += int(note.findtext("duration", "0"))
    return tuple(found)


def place(mark: str) -> tuple[int, float]:
    bar, _, beat = mark.split()[0].partition(":")
    return int(bar), float(beat)


def midi(name: str) -> int:
    alter = name.count("#") - name[1:].count("b")
    return 12 * (int(name[-1]) + 1) + STEPS[name[0]] + alter


def test_every_etude_is_marked() -> None:
    fresh = [name for name in FOUND if name not in MARKED]
    assert not fresh, (
        f"write a table for {fresh} into tests/golden/marks.toml: where a teacher "
        f"breathes ({', '.join(BREATHS)}), and positions"
    )
    gone = [name for name in MARKED if name not in FOUND]
    assert not gone, f"take {gone} out of tests/golden/marks.toml"


@pytest.mark.parametrize("name", MARKED)
def test_a_table_of_marks_has_every_kind(name: str) -> None:
    lacks = {*BREATHS, "positions"} - set(MARKS[name])
    assert not lacks, f"[{name}] in tests/golden/marks.toml lacks {sorted(lacks)}"


def test_the_table_owns_up_to_its_source() -> None:
    assert MARKS["source"].startswith("common practice, no published source")


@pytest.mark.parametrize("name", MARKED)
class TestMarks:
    def test_breaths_come_after_notes_that_are_there(self, name: str) -> None:
        for kind in BREATHS:
            assert [m for m in MARKS[name][kind] if m not in notes(name)] == []

    def test_they_stand_in_order_and_only_once(self, name: str) -> None:
        for kind in BREATHS:
            places = [place(mark) for mark in MARKS[name][kind]]
            assert all(a < b for a, b in pairwise(places)), kind
        for one, other in combinations(BREATHS, 2):
            assert set(MARKS[name][one]).isdisjoint(MARKS[name][other])

    def test_there_is_something_to_hold_a_plan_to(self, name: str) -> None:
        assert len(MARKS[name]["surely"]) >= 2
        assert len(MARKS[name]["never"]) >= 8

    def test_no_breath_is_marked_after_the_last_note(self, name: str) -> None:
        marks = chain.from_iterable(MARKS[name][kind] for kind in BREATHS)
        assert notes(name)[-1] not in set(marks)

    def test_each_position_gives_its_note(self, name: str) -> None:
        """Held to the harmonic series: a position lowers every partial alike."""
        for mark in MARKS[name]["positions"]:
            note, _, position = mark.partition(" = ")
            assert note in notes(name), mark
            lowered = int(position) - 1
            wanted = midi(note.split()[1]) - PEDAL + lowered
            assert wanted in PARTIALS, mark
