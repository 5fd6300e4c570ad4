"""Signs of kern and MEI that music21 leaves out."""

from __future__ import annotations

from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest

from coach.edges.scores.in_child.formats.kern_signs import read_kern_signs
from coach.edges.scores.in_child.formats.mei_signs import (
    LineNote,
    prepare_mei,
    read_mei_signs,
)
from coach.edges.scores.in_child.found_signs import FoundSigns
from tests.benchmarks.bad_files import mei, mei_bar
from tests.edges.scores.score_samples import at_bar, page, read, spelled, xml_note


def kern(*rows: str, spine: int = 0, kinds: str = "**kern\t**dynam") -> FoundSigns:
    return read_kern_signs("\n".join([kinds, *rows]) + "\n", spine)


def test_kern_slurs_may_be_nested() -> None:
    found = kern("(4c\t.", "(4d\t.", "4e)\t.", "4f)\t.", "4g\t.")
    assert [note.is_slurred for note in found.notes] == [0, 1, 1, 1, 0]


def test_kern_grace_notes_say_how_they_are_meant() -> None:
    found = kern("qc\t.", "Qd\t.", "8pe\t.", "4f\t.")
    assert [n.takes_from_before for n in found.notes] == [True, False, False, None]


def test_kern_breaths_stand_at_notes_and_rests() -> None:
    found = kern("4c,\t.", "4d\t.", "4r,\t.", "4e\t.")
    assert [note.breath_mark for note in found.notes] == ["breath", "breath", ""]
    assert kern("4r,\t.").notes == []


def test_a_glissando_stands_at_its_first_note() -> None:
    found = kern("4cH\t.", "4eh\t.")
    assert [sorted(note.articulations) for note in found.notes] == [["glissando"], []]
    signs = mei_signs('<gliss startid="#n1" endid="#n2"/>').notes
    assert [sorted(note.articulations) for note in signs[:3]] == [[], ["glissando"], []]


def test_a_glissando_over_other_notes_is_only_named() -> None:
    """From the first note to the third: what lies between has pitches of its own."""
    first = xml_note("C3", 12, notations='<glissando type="start" number="1"/>')
    last = xml_note("E3", 12, notations='<glissando type="stop" number="1"/>')
    part = read(page(first + xml_note("D3", 24) + last))
    assert not any(note.articulations for note in part.notes)
    assert "To guide and ear a glissando is its two ends: bar 1." in part.left_out
    alone = xml_note("C3", 48, notations='<slide type="stop" number="1"/>')
    assert spelled(read(page(alone))) == "C3"


def test_kern_dynamics_belong_to_the_note_they_stand_at_or_before() -> None:
    found = kern("4c\tp", "4r\tf", "4d\t.", "4e\tx", "4f\tsfz")
    assert found.dynamics == [(0, "p"), (1, "f"), (3, "sfz")]


def test_kern_hairpins_end_at_their_sign_or_at_the_next_one() -> None:
    rows = ("4c\t<", "4d\t(", "4e\t[", "4f\t>", "4g\t)", "4a\tp", "4b\t<", "4c\t(")
    assert kern(*rows).hairpins == [(0, 1, 1), (3, 4, -1), (6, 6, 1)]
    assert kern("4c\t<", "4d\t>", "4e\tp").hairpins == [(0, 0, 1), (1, 1, -1)]


def test_a_kern_spine_without_dynamics_beside_it_has_none() -> None:
    kinds = "**kern\t**kern\t**dynam"
    assert kern("4c\t4e\tp", spine=0, kinds=kinds).dynamics == []
    assert kern("4c\t4e\tp", spine=1, kinds=kinds).dynamics == [(0, "p")]


def test_kern_spines_are_followed_where_they_split_join_swap_and_end() -> None:
    kinds = "**kern\t**kern"
    rows = ("4c\t4e", "*^\t*", "4d,\t4a\t4f", "*v\t*v\t*", "4e\t4g", "*x\t*x")
    found = kern(*rows, "4b\t4f,", "*-\t*", "4c,", kinds=kinds)
    breaths = [bool(note.breath_mark) for note in found.notes]
    assert breaths == [False, True, False, True, True]
    odd = kern("*\t*\t*", "4c", "", "! a word\t!", "=2\t=2", "4d\t4e", kinds=kinds)
    assert len(odd.notes) == 1


def mei_signs(signs: str, notes: int = 4) -> FoundSigns:
    layer = "".join(
        f'<note xml:id="n{k}" pname="c" oct="3" dur="4"/>' for k in range(4)
    )
    measure = mei_bar(layer).replace("</measure>", f"{signs}</measure>")
    line = [LineNote(f"n{k}", 0, Fraction(k)) for k in range(notes)]
    return read_mei_signs(prepare_mei(ET.fromstring(mei(measure))), "1", line)


@pytest.mark.parametrize(
    ("sign", "note"),
    [
        ('<dynam startid="#n2">p</dynam>', 2),
        ('<dynam tstamp="3">p</dynam>', 2),
        ('<dynam tstamp="2.5">p</dynam>', 2),
        ('<dynam tstamp="1" staff="1 2">p dolce</dynam>', 0),
    ],
)
def test_mei_dynamics_belong_to_their_note_or_beat(sign: str, note: int) -> None:
    assert mei_signs(sign).dynamics == [(note, "p")]


@pytest.mark.parametrize(
    "sign",
    [
        '<dynam startid="#other">p</dynam>',
        '<dynam tstamp="1" staff="2">p</dynam>',
        '<dynam tstamp="9">p</dynam>',
        "<dynam>p</dynam>",
        '<dynam tstamp="1"/>',
        '<hairpin form="cres" tstamp="1"/>',
        '<harm tstamp="1">C</harm>',
    ],
)
def test_mei_signs_without_a_note_of_this_staff_are_left_out(sign: str) -> None:
    found = mei_signs(sign)
    assert (found.dynamics, found.hairpins) == ([], [])


def test_mei_hairpins_lie_between_notes_or_beats() -> None:
    by_id = '<hairpin form="dim" startid="#n1" endid="#n3"/>'
    by_time = '<hairpin form="cres" tstamp="1" tstamp2="0m+2.5"/>'
    assert mei_signs(by_id).hairpins == [(1, 3, -1)]
    assert mei_signs(by_time).hairpins == [(0, 1, 1)]


def test_mei_ornaments_are_kept() -> None:
    found = mei_signs('<trill startid="#n0"/><turn tstamp="2"/><mordent tstamp="3"/>')
    assert [sorted(note.articulations) for note in found.notes] == [
        *(["trill-mark"], ["turn"], ["mordent"], []),
    ]


@pytest.mark.parametrize(
    ("sign", "speed", "beat"),
    [
        ('<tempo tstamp="1" mm="60" mm.unit="4" mm.dots="1"/>', 90, Fraction(3, 2)),
        ('<tempo tstamp="1" mm="60" mm.unit="2"/>', 120, Fraction(2)),
        ('<tempo tstamp="1" midi.bpm="96"/>', 96, None),
        ('<tempo tstamp="1" mm="fast">Allegro</tempo>', None, None),
    ],
)
def test_mei_tempo_marks_give_speed_and_beat(
    sign: str, speed: float | None, beat: Fraction | None
) -> None:
    (mark,) = mei_signs(sign).speeds
    assert (mark.quarters_per_minute, mark.beat) == (speed, beat)


def test_mei_score_definitions_give_speeds_between_the_bars() -> None:
    """MEI 4.0, att.scoreDef.ges: midi.bpm counts quarters, mm what mm.unit says."""
    bar = mei_bar('<note pname="c" oct="3" dur="1"/>')
    change = '<scoreDef mm="80" mm.unit="4" mm.dots="1"/>'
    text = mei(bar + change + bar).decode()
    text = text.replace("<scoreDef meter", '<scoreDef midi.bpm="90" meter', 1)
    found = read_mei_signs(prepare_mei(ET.fromstring(text)), "1", []).speeds
    assert [(s.bar, s.quarters_per_minute, s.beat, s.words) for s in found] == [
        (0, 90, None, ""),
        (1, 120, Fraction(3, 2), ""),
    ]
    assert read(text).tempo.bpm == 90


def test_mei_beats_count_in_the_unit_of_the_metre() -> None:
    layer = '<note pname="c" oct="3" dur="4" dots="1"/>' * 2
    six = mei_bar(layer).replace("</measure>", '<reh tstamp="4">B</reh></measure>')
    change = '<scoreDef><meterSig count="6" unit="8"/></scoreDef>'
    score = prepare_mei(ET.fromstring(mei(change + six)))
    assert read_mei_signs(score, "1", []).boxes == [(0, Fraction(3, 2), "B")]


def test_mei_chords_carry_the_signs_of_their_notes() -> None:
    chord = (
        '<chord dur="1"><note xml:id="low" pname="c" oct="3"/>'
        '<note xml:id="top" pname="e" oct="3"/></chord>'
    )
    bar = mei_bar(chord).replace("</measure>", '<fermata startid="#low"/></measure>')
    part = read(mei(bar))
    assert spelled(part) == "E3"
    assert part.notes[0].has_fermata


def test_mei_titles_come_from_the_file_or_the_work() -> None:
    def titled(head: str) -> str:
        content = mei(mei_bar('<note pname="c" oct="3" dur="1"/>')).decode()
        return read(
            content.replace("<music>", f"<meiHead>{head}</meiHead><music>")
        ).title

    empty = "<fileDesc><titleStmt><title/></titleStmt></fileDesc>"
    work = "<workList><work><title>The <i>work</i></title></work></workList>"
    assert titled(empty + work) == "The work"
    assert titled(empty) == ""


def test_mei_signs_past_the_last_bar_are_left_out() -> None:
    bar = mei_bar('<note pname="c" oct="3" dur="1"/>').replace(
        "</measure>",
        '<tempo tstamp="5m+1" mm="90"/><reh tstamp="5m+1">Z</reh></measure>',
    )
    part = read(mei(bar))
    assert part.rehearsal_marks == ()
    assert part.tempo.bpm == 80


def test_bar_of_mei_keeps_its_endings_in_order() -> None:
    def one(pitch: str, n: int) -> str:
        return mei_bar(f'<note pname="{pitch}" oct="3" dur="1"/>').replace(
            'n="1"', f'n="{n}"', 1
        )

    section = (
        one("c", 1).replace("<measure", '<measure left="rptstart"')
        + f'<ending n="1, 2">{one("d", 2)}</ending>'.replace(
            "<measure", '<measure right="rptend"'
        )
        + f'<ending n="3">{one("e", 3)}</ending>{one("f", 4)}'
    )
    part = read(mei(section))
    assert spelled(part) == "C3 D3 C3 D3 C3 E3 F3"
    assert len(at_bar(part, 2)) == 2
