"""What the page asks of the tongue."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.slide.page_articulation import Begin, find_breaks, read_begins
from coach.score.phrase import Part
from tests.hand_made import part_of

LETTERS = {Begin.TONGUE: "T", Begin.SLUR: "~", Begin.SOFT: "s", Begin.OPEN: "o"}


def begins(part: Part, breaths_after: frozenset[int] = frozenset()) -> str:
    found = read_begins(part, find_breaks(part, breaths_after))
    return "".join(LETTERS[begin] for begin in found)


def signed(part: Part, k: int, sign: str) -> Part:
    notes = list(part.notes)
    notes[k] = replace(notes[k], articulations=frozenset({sign}))
    return replace(part, notes=tuple(notes))


def test_a_plain_run_is_free_after_its_first_note() -> None:
    assert begins(part_of("F3e G3e A3e Bb3e")) == "Tooo"


def test_a_written_slur_is_never_struck() -> None:
    assert begins(part_of("F3e ~G3e ~A3e ~Bb3e")) == "T~~~"


def test_where_the_page_slurs_in_twos_the_pattern_is_kept() -> None:
    assert begins(part_of("F3e ~G3e A3e ~Bb3e C4e Bb3e A3e G3e")) == "T~T~TTTT"


def test_a_run_of_other_notes_is_free_again() -> None:
    assert begins(part_of("F3e ~G3e A3e ~Bb3e C4s D4s Eb4s D4s")) == "T~T~oooo"


def test_the_first_note_of_a_written_slur_is_tongued() -> None:
    assert begins(part_of("F3s G3s A3e ~Bb3e")) == "ToT~"


def test_a_repeated_pitch_needs_the_tongue() -> None:
    assert begins(part_of("F3e F3e G3e ~G3e")) == "TTTs"
    assert begins(part_of("F3e F3e G3e A3e")) == "TToo"


def test_a_rest_a_breath_and_a_caesura_need_the_tongue() -> None:
    assert begins(part_of("F3e re G3e A3e")) == "TTo"
    assert begins(part_of("F3e G3e A3e"), frozenset({1})) == "ToT"
    part = part_of("F3e G3e A3e")
    notes = (replace(part.notes[0], breath_mark="caesura"), *part.notes[1:])
    assert begins(replace(part, notes=notes)) == "TTo"


def test_a_slur_across_a_breath_begins_anew() -> None:
    assert begins(part_of("F3e ~G3e ~A3e"), frozenset({1})) == "T~T"


@pytest.mark.parametrize("sign", ["accent", "strong-accent", "tenuto", "staccato"])
def test_a_sign_needs_the_tongue(sign: str) -> None:
    expected = "TTTo" if sign == "staccato" else "TToo"
    assert begins(signed(part_of("F3e G3e A3e Bb3e"), 1, sign)) == expected


def test_a_sign_under_a_slur_is_a_soft_stroke() -> None:
    assert begins(signed(part_of("F3e ~G3e ~A3e"), 1, "tenuto")) == "Ts~"


def test_a_note_after_a_fermata_is_tongued() -> None:
    part = part_of("F3e G3e A3e")
    notes = (part.notes[0], replace(part.notes[1], has_fermata=True), part.notes[2])
    assert begins(replace(part, notes=notes)) == "ToT"
