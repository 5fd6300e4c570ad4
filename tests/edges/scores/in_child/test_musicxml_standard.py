"""MusicXML, element by element: each is played, kept at its note, or named.

Source of every row: MusicXML 4.0 (W3C Music Notation Community Group, 2021).
"""

from __future__ import annotations

import pytest

from coach.errors import ScoreError
from coach.score.note import Note
from coach.score.tempo import beats
from tests.edges.scores.in_child.musicxml_table import KEPT, NAMED, PLAYED, SPEEDS
from tests.edges.scores.score_samples import page, read, xml_note
from tests.score.page_samples import told


@pytest.mark.parametrize(("element", "bars", "played"), PLAYED)
def test_what_changes_the_notes_is_played(
    element: str, bars: list[str], played: str
) -> None:
    assert told(read(page(*bars))) == played, element


def signs_of(note: Note) -> set[str]:
    """Give all signs at a note."""
    found = {*note.articulations, note.breath_mark, note.marked_position}
    return found | ({"fermata"} if note.has_fermata else set())


@pytest.mark.parametrize(("element", "bar", "sign"), KEPT)
def test_signs_are_kept_at_their_note(element: str, bar: str, sign: str) -> None:
    part = read(page(bar))
    assert sign in signs_of(part.notes[1]), element
    assert not signs_of(part.notes[0]) - {""}


@pytest.mark.parametrize(("element", "bar", "word"), NAMED)
def test_what_is_not_played_as_written_is_named_with_its_bar(
    element: str, bar: str, word: str
) -> None:
    left_out = " ".join(read(page(bar)).left_out)
    assert word in left_out, (element, left_out)
    if word != "Chords":
        assert "bar 1" in left_out, element


@pytest.mark.parametrize(("element", "bar", "first", "last"), SPEEDS)
def test_speeds_are_read(element: str, bar: str, first: float, last: float) -> None:
    speeds = read(page(bar)).tempo_map
    assert speeds.quarters_per_minute_at(beats(0)) == first, element
    assert speeds.quarters_per_minute_at(beats(3)) == last, element


def test_the_table_is_long_enough() -> None:
    assert len(PLAYED) + len(KEPT) + len(NAMED) + len(SPEEDS) >= 60


def test_a_score_without_divisions_is_refused() -> None:
    timed = "<time><beats>4</beats><beat-type>4</beat-type></time>"
    with pytest.raises(ScoreError, match="says nowhere how long its notes are"):
        read(page(xml_note("C3", 48), head=timed))


def test_a_score_that_makes_no_sense_need_not_be_exported_as_what_it_is() -> None:
    with pytest.raises(ScoreError, match=r"as MusicXML in bar 1\. Export it again\.$"):
        read(page(xml_note("C3", 48).replace("<step>C</step>", "<step>Z</step>")))
