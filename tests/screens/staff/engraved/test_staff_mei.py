"""Lines of the staff as MEI, read back by music21: the same notes, as long."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import converter, stream
from music21 import note as read_note

from coach.config import shipped
from coach.edges.scores.score_files import read_part
from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Part
from coach.score.tempo import Beats, beats
from coach.screens.staff.engraved.staff_mei import write_mei
from coach.screens.staff.staff_lines import StaffLine, break_lines
from coach.screens.staff.staff_slots import cut_slots
from coach.screens.staff.staff_values import VALUES, split_length
from tests.hand_made import part_of
from tests.screens.paper_studio import make_part

ETUDES = sorted(shipped("etudes").glob("*.musicxml"))
MEI = "{http://www.music-encoding.org/ns/mei}"


def lines_of(part: Part, width: int = 70) -> tuple[StaffLine, ...]:
    """Break a part into lines."""
    return break_lines(part, cut_slots(part), [width])


def read_back(mei: str) -> stream.Stream[read_note.Note]:
    """Let music21 read a line, ties merged."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return converter.parseData(mei, format="mei").flatten().stripTies()


def sounding(
    lines: Sequence[stream.Stream[read_note.Note]],
) -> list[tuple[str, Fraction]]:
    """Give pitch and length of every note of some lines, grace notes left out."""
    return [
        (note.pitch.nameWithOctave, Fraction(note.quarterLength))
        for line in lines
        for note in line.getElementsByClass(read_note.Note)
        if not note.duration.isGrace
    ]


def music21_name(pitch: Pitch) -> str:
    """Name a pitch as music21 does."""
    return str(pitch).replace("b", "-")


def elements(mei: str, name: str) -> list[ElementTree.Element]:
    """Find elements of a document."""
    return list(ElementTree.fromstring(mei).iter(MEI + name))


WORDS = "\nBb2 D3 F3 ~Bb3 A3/2 r/2 E3/4 ~F#3/4\n"


def test_pitches_and_lengths_are_those_of_the_part() -> None:
    part = make_part("One", WORDS)
    (line,) = lines_of(part)
    mei = write_mei(line, part)
    heads = sounding([read_back(mei)])
    # music21 reads accidentals where they are written, and only there.
    written = [music21_name(replace(n.written, alter=0)) for n in part.notes]
    assert [name for name, _ in heads][:4] == written[:4]
    assert [length for _, length in heads] == [n.length for n in part.notes]
    assert [a.get("accid") for a in elements(mei, "accid")] == ["n", "s"]
    assert [s.get("sig") for s in elements(mei, "keySig")] == ["2f"]


@pytest.mark.usefixtures("read_etudes")
@pytest.mark.parametrize("path", ETUDES, ids=lambda path: path.stem)
def test_all_lines_of_an_etude_together_are_the_etude(path: Path) -> None:
    """Steps, octaves and summed lengths, whatever is tied over bars and lines."""
    part = read_part(path)
    lines = lines_of(part)
    documents = [write_mei(line, part) for line in lines]
    read = [read_back(mei) for mei in documents]
    heads = [(name[0], int(name[-1])) for name, _ in sounding(read)]
    tied = sum(1 for line in lines if line.places[0].slot.kind == "tie")
    written = [(n.written.step, n.written.octave) for n in part.notes if not n.is_grace]
    assert len(heads) == len(written) + tied
    in_order = iter(heads)
    assert all(head in in_order for head in written)
    total = sum(
        (Fraction(el.quarterLength) for line in read for el in line.notesAndRests),
        Fraction(0),
    )
    assert total == part.end - part.start
    graces = sum(
        len([n for n in elements(mei, "note") if n.get("grace")]) for mei in documents
    )
    assert graces == sum(n.is_grace for n in part.notes)


@given(st.lists(st.sampled_from([*range(1, 17)]), min_size=1, max_size=12))
def test_any_lengths_in_any_place_are_written_whole(lengths: list[int]) -> None:
    """Sixteenths of every number, cut at bars and lines wherever they fall."""
    pitch = Pitch(3, "F")
    at = Fraction(0)
    notes = []
    for length in lengths:
        notes.append(
            Note(beats(at), beats(Fraction(length, 4)), pitch, pitch, 1, Fraction(1))
        )
        at += Fraction(length, 4)
    whole = make_part("Any", "\n" + "r/16\n" * ceil(at / 4))
    part = replace(whole, notes=tuple(notes))
    documents = [write_mei(line, part) for line in lines_of(part, 20)]
    total = sum(
        (
            Fraction(el.quarterLength)
            for mei in documents
            for el in read_back(mei).notesAndRests
        ),
        Fraction(0),
    )
    assert total == part.end


@given(st.integers(1, 512))
def test_a_length_is_the_sum_of_its_values(parts: int) -> None:
    plain = {name: length for length, name in VALUES.items()}
    length = Fraction(parts, 32)
    values = split_length(length)
    assert length == sum(
        plain[name] * (2 - Fraction(1, 2) ** dots) for name, dots in values
    )


def test_a_length_off_every_grid_is_written_as_nearly_as_can_be() -> None:
    assert split_length(Fraction(1, 3)) == (("16", 0), ("64", 0))
    assert split_length(Fraction(1, 100)) == (("128", 0),)


def test_a_triplet_is_bracketed_only_where_no_beam_shows_it() -> None:
    pitch = Pitch(3, "F")
    third, two_thirds = Fraction(1, 3), Fraction(2, 3)
    lengths = [third, third, third, two_thirds, third]
    at, notes = Fraction(0), []
    for length in lengths:
        notes.append(
            Note(
                beats(at),
                beats(length),
                pitch,
                pitch,
                1,
                Fraction(1 + at),
                tuplet=(3, 2),
            )
        )
        at += length
    part = replace(make_part("Three", "\nr/16\n"), notes=tuple(notes))
    (line,) = lines_of(part)
    mei = write_mei(line, part)
    tuplets = elements(mei, "tuplet")
    assert [t.get("bracket.visible") for t in tuplets] == ["false", "true"]
    assert [len(list(t.iter(MEI + "note"))) for t in tuplets] == [3, 2]
    assert [length for _, length in sounding([read_back(mei)])] == lengths


def test_a_line_cut_in_the_middle_of_a_bar_has_no_bar_line_there() -> None:
    part = make_part("Long", "\n" + "F3 " * 16 + "\n" + "F3 " * 16 + "\n")
    lines = lines_of(part, 30)
    ends = [
        elements(write_mei(line, part), "measure")[-1].get("right") for line in lines
    ]
    assert ends == ["invis", "single", "invis", "end"]


def test_a_slur_over_the_lines_end_goes_on_in_the_next() -> None:
    part = make_part("Long", "\n" + "F3 " + "~G3 " * 15 + "\n")
    first, *_, last = lines_of(part, 30)
    (going,) = elements(write_mei(first, part), "slur")
    assert going.get("startid") == "#s0"
    assert going.get("endid") is None
    assert going.get("tstamp2") == f"0m+{4 * (first.end - first.start) / 4 + 1}"
    (coming,) = elements(write_mei(last, part), "slur")
    assert coming.get("tstamp") == "0"


def test_a_held_note_is_tied_over_the_bar_line_and_over_the_lines_end() -> None:
    part = make_part("Held", "\nF3/16\nr/16\n")
    part = replace(part, notes=(replace(part.notes[0], length=beats(8)),))
    (line,) = lines_of(part)
    (tie,) = elements(write_mei(line, part), "tie")
    assert (tie.get("startid"), tie.get("endid")) == ("#s0", "#s2")
    first, second = break_lines(part, cut_slots(part), [10])
    assert len(elements(write_mei(first, part), "lv")) == 1
    assert elements(write_mei(second, part), "tie")[0].get("tstamp") == "0"


def test_a_new_metre_key_and_clef_are_drawn_where_they_begin() -> None:
    part = make_part("New", "\nF3/16\nF3/12\n")
    first, second = part.bars
    second = replace(second, metre=Metre(3, 4), length=beats(3), fifths=1, clef="tenor")
    part = replace(part, bars=(first, second))
    (line,) = lines_of(part)
    mei = write_mei(line, part)
    change = elements(mei, "scoreDef")[1]
    assert change.get("keysig") == "1s"
    assert (change.get("meter.count"), change.get("meter.unit")) == ("3", "4")
    assert [c.get("shape") for c in elements(mei, "clef")] == ["F", "C"]
    assert elements(mei, "meterSig")[0].get("visible") is None
    bare = write_mei(line, part, has_prefix=False)
    assert elements(bare, "clef")[0].get("visible") == "false"


def test_where_no_metre_is_written_none_is_drawn() -> None:
    part = make_part("Free", "\nF3/16\nF3/12\n")
    first, second = part.bars
    first = replace(first, metre=Metre(4, 4, is_free=True))
    second = replace(second, metre=Metre(3, 4, is_free=True), length=beats(3))
    part = replace(part, bars=(first, second))
    mei = write_mei(lines_of(part)[0], part)
    assert elements(mei, "meterSig")[0].get("visible") == "false"
    assert len(elements(mei, "scoreDef")) == 1, "none changes"


def test_a_grace_note_takes_no_time_on_the_page() -> None:
    """Round the Valley has quick ones, each at the end of the bar before its note."""
    part = read_part(next(p for p in ETUDES if p.stem == "round-the-valley"))
    graces = [k for k, note in enumerate(part.notes) if note.is_grace]
    assert graces
    shown = {s.note: s.shown for s in cut_slots(part) if s.kind == "note"}
    for k in graces:
        assert part.notes[k - 1].length == Fraction(3, 8)
        assert shown[k - 1] == Fraction(1, 2)


def test_signs_and_fermatas_are_drawn() -> None:
    part = make_part("Signs", "\nF3/8 G3/8\n")
    first, second = part.notes
    part = replace(
        part,
        notes=(
            replace(first, articulations=frozenset({"staccato", "accent", "unknown"})),
            replace(second, has_fermata=True),
        ),
    )
    (line,) = lines_of(part)
    mei = write_mei(line, part)
    assert [a.get("artic") for a in elements(mei, "artic")] == ["acc", "stacc"]
    assert [f.get("startid") for f in elements(mei, "fermata")] == ["#s1"]


def test_the_same_line_gives_the_same_document() -> None:
    part = make_part()
    line = lines_of(part)[0]
    assert write_mei(line, part) == write_mei(line, part)


def test_leaned_grace_notes_leave_their_main_note_whole() -> None:
    """An appoggiatura takes half of its main note; on the page that is a half note."""
    pitch = Pitch(3, "F")
    grace = Note(beats(0), beats(1), pitch, pitch, 1, Fraction(1), is_grace=True)
    main = Note(beats(1), beats(1), pitch, pitch, 1, Fraction(1))
    part = replace(make_part("Leans", "\nr/16\n"), notes=(grace, main))
    shown = [s.shown for s in cut_slots(part) if s.kind == "note"]
    assert shown[1] == 2
    (line,) = lines_of(part)
    drawn = elements(write_mei(line, part), "note")
    assert [n.get("grace") for n in drawn] == ["acc", None]
    assert Beats(main.end) == 2


def dynamics_of(part: Part, width: int = 70) -> list[tuple[str, ...]]:
    """Give the dynamics and hairpins of a part in order, with where they stand."""
    found: list[tuple[str, ...]] = []
    for line in lines_of(part, width):
        for sign in ElementTree.fromstring(write_mei(line, part)).iter():
            if sign.tag == f"{MEI}dynam":
                found.append((sign.text or "", sign.get("startid", "")))
            elif sign.tag == f"{MEI}hairpin":
                end = sign.get("endid") or sign.get("tstamp2") or ""
                ends = sign.get("startid", ""), end
                found.append((sign.get("form", ""), *ends))
    return found


def loud(*levels: tuple[float, float]) -> Part:
    """Give quarters that begin and end so loud, in steps from mezzo-forte."""
    part = make_part("Loud", "\n" + "F3/4\n" * len(levels))
    notes = tuple(
        replace(note, loud_start=start, loud_end=end)
        for note, (start, end) in zip(part.notes, levels, strict=True)
    )
    return replace(part, notes=notes)


def test_a_dynamic_stands_where_it_begins_to_hold() -> None:
    part = loud((0, 0), (0, 0), (1, 1), (1, 1), (-2, -2))
    told = [sign[0] for sign in dynamics_of(part)]
    assert told == ["mf", "f", "p"]


def test_a_hairpin_leads_to_the_dynamic_that_it_ends_in() -> None:
    part = loud((-2, -2), (-2, -1), (-1, 0), (0, 0), (0, -1), (-1, -1))
    kinds = [sign[0] for sign in dynamics_of(part)]
    assert sorted(kinds) == sorted(["p", "cres", "mf", "dim", "mp"])
    cres = next(sign for sign in dynamics_of(part) if sign[0] == "cres")
    assert cres[1] != cres[2]


def test_a_hairpin_that_leads_to_a_downbeat_ends_at_the_bar_line() -> None:
    """So its tip is not torn off where a new line begins there."""
    rising = [(k / 8, (k + 1) / 8) for k in range(8)]
    over, inside = (*rising, (1.0, 1.0)), (*rising[:6], (0.75, 0.75))
    ends = []
    for levels in (over, inside):
        part = part_of("F3q " * len(levels))
        notes = tuple(
            replace(note, loud_start=start, loud_end=end)
            for note, (start, end) in zip(part.notes, levels, strict=True)
        )
        told = dynamics_of(replace(part, notes=notes), width=400)
        ends += [sign for sign in told if sign[0] == "cres"]
    assert ends == [("cres", "#s0", "1m+5"), ("cres", "#s0", "#s7")]


@pytest.mark.parametrize("path", ETUDES, ids=lambda path: path.stem)
def test_dynamics_of_an_etude_are_those_of_its_page(path: Path) -> None:
    """What the page has, straight from its file: MusicXML 4.0, <dynamics>."""
    written = {sign[0].tag for sign in ElementTree.parse(path).iter("dynamics")}
    told = {sign[0] for sign in dynamics_of(read_part(path))}
    assert written
    assert written <= told
