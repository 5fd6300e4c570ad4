"""What is pencilled into a part: breaths, positions, slurs and notes left out."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest

from coach.config import shipped
from coach.edges.scores.score_files import read_part
from coach.plain.paper.marked_page import write_marked_page
from coach.planning.plan import Plan
from coach.score.tempo import Beats
from coach.screens.staff.engraved.mei_marks import write_marked_mei
from tests.dry_music import unbroken
from tests.hand_made import part_of
from tests.hand_rehearsal import HandRehearsal, long
from tests.screens.staff.engraved.test_staff_mei import MEI

ETUDES = sorted(shipped("etudes").glob("*.musicxml"))
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


@cache
def plan_of(etude: Path) -> Plan:
    """Plan an etude."""
    return HandRehearsal(read_part(etude)).conductor.plan


def read(plan: Plan) -> ElementTree.Element:
    """Read the document of a plan."""
    return ElementTree.fromstring(write_marked_mei(plan))


def texts(document: ElementTree.Element, sign: str) -> list[str]:
    """Give the words of every sign of a kind, in order."""
    return ["".join(found.itertext()) for found in document.iter(f"{MEI}{sign}")]


@pytest.mark.usefixtures("read_etudes")
@pytest.mark.parametrize("etude", ETUDES, ids=lambda path: path.stem)
def test_every_position_and_breath_of_an_etude_is_marked(etude: Path) -> None:
    plan = plan_of(etude)
    document = read(plan)
    assert texts(document, "fing") == [
        f"({place.label})" if place.is_alternate else place.label
        for place in plan.slide.placements
    ]
    breaths = plan.breaths.breaths
    sure = [one for one in breaths if one.kind != "full" and not one.is_optional]
    assert len(texts(document, "breath")) == len(sure)
    assert texts(document, "dir") == [
        f"({sign})" if one.is_optional else sign
        for one in breaths
        if one not in sure
        for sign in ("V" if one.kind == "full" else "’",)
    ]


@pytest.mark.usefixtures("read_etudes")
@pytest.mark.parametrize("etude", ETUDES, ids=lambda path: path.stem)
def test_a_breath_stands_over_a_rest_or_between_two_notes_and_over_neither(
    etude: Path,
) -> None:
    """Read back from the document: bars count from its beginning."""
    plan = plan_of(etude)
    part, document = plan.part, read(plan)
    places = []
    for bar, measure in zip(part.bars, document.iter(f"{MEI}measure"), strict=True):
        assert measure.get("n") == str(bar.number)
        unit = float(bar.metre.unit_beats)
        places += sorted(
            float(bar.onset) + (float(sign.get("tstamp", "")) - 1) * unit
            for sign in (
                *measure.findall(f"{MEI}breath"),
                *measure.findall(f"{MEI}dir"),
            )
        )
    assert len(places) == len(plan.breaths.breaths)
    for place, breath in zip(places, plan.breaths.breaths, strict=True):
        before, after = part.notes[breath.after_note], part.notes[breath.after_note + 1]
        assert float(before.onset) < place < float(after.onset)
        is_over_rest = place == pytest.approx(float(before.end))
        assert is_over_rest == (after.onset > before.end)


def test_a_breath_of_the_slow_tempo_alone_has_a_plus_and_the_page_says_why() -> None:
    plan = HandRehearsal(long(), bpm=40).conductor.plan
    extra = [breath for breath in plan.breaths.breaths if breath.is_extra]
    assert extra
    signs = [text for text in texts(read(plan), "dir") if "+" in text]
    assert len(signs) == len(extra)
    told = "+V +’ only at 40: at 60 you play through"
    assert told in write_marked_page(plan, ["<svg/>"])
    goal = HandRehearsal(long(), bpm=60).conductor.plan
    assert "+" not in "".join(texts(read(goal), "dir"))
    assert "play through" not in write_marked_page(goal, ["<svg/>"])


def test_notes_left_out_stand_in_brackets() -> None:
    plan = HandRehearsal(unbroken()).conductor.plan
    assert plan.breaths.left_out
    notes = [
        note
        for note in read(plan).iter(f"{MEI}note")
        if "t" not in note.get(XML_ID, "")
    ]
    bracketed = {k for k, note in enumerate(notes) if note.get("head.mod") == "paren"}
    assert bracketed == set(plan.breaths.left_out)


def test_a_slur_that_the_page_has_not_is_dashed() -> None:
    plan = HandRehearsal(long()).conductor.plan
    dashed = [
        slur for slur in read(plan).iter(f"{MEI}slur") if slur.get("lform") == "dashed"
    ]
    assert plan.slide.natural_slurs >= len(dashed) > 0


def test_no_slur_is_dashed_where_the_page_has_it() -> None:
    part = long()
    notes = tuple(replace(note, is_slurred=k > 0) for k, note in enumerate(part.notes))
    plan = HandRehearsal(replace(part, notes=notes)).conductor.plan
    assert plan.slide.natural_slurs
    forms = Counter(slur.get("lform") for slur in read(plan).iter(f"{MEI}slur"))
    assert forms == {None: 1}


def test_a_note_held_over_the_bar_line_is_breathed_after_where_it_ends() -> None:
    part = part_of("Bb3w F3w D3w Bb2w Bb3w F3w D3w Bb2w " * 2, bpm=60)
    held = replace(part.notes[0], length=Beats(part.notes[0].length * 2))
    part = replace(part, notes=(held, *part.notes[2:]))
    plan = HandRehearsal(part).conductor.plan
    assert plan.breaths.breaths[0].after_note == 0
    measures = list(read(plan).iter(f"{MEI}measure"))
    signs = [
        k
        for k, measure in enumerate(measures)
        if measure.find(f"{MEI}dir") is not None
        or measure.find(f"{MEI}breath") is not None
    ]
    assert signs[0] == 1


@pytest.mark.usefixtures("read_etudes")
def test_after_a_note_in_tied_values_a_breath_stands_behind_the_last_of_them() -> None:
    """A half tied to an eighth, in 9/8: the comma stands behind the eighth."""
    plan = plan_of(next(etude for etude in ETUDES if etude.stem == "tide"))
    breath = plan.breaths.breaths[0]
    held = plan.part.notes[breath.after_note]
    assert (held.length, held.end) == (Fraction(5, 2), Fraction(17, 2))
    sign = next(read(plan).iter(f"{MEI}breath"))
    in_bar = (float(sign.get("tstamp", "")) - 1) / 2
    assert 3.5 < in_bar < 4.0
