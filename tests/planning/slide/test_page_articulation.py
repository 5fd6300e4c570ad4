"""What the page asks of the tongue."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.planning.slide.page_articulation import (
    Begin,
    find_breaks,
    find_free,
    find_turns,
    read_begins,
)
from coach.score.phrase import Part
from tests.hand_made import part_of

LETTERS = {
    Begin.TONGUE: "T",
    Begin.SLUR: "~",
    Begin.SOFT: "s",
    Begin.OPEN: "o",
    Begin.GLIDE: "g",
    Begin.GRACE: ",",
}


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


@pytest.mark.parametrize(("long", "short"), [("e.", "s"), ("q", "e")])
def test_where_the_page_slurs_some_of_swung_pairs_the_others_are_tongued(
    long: str, short: str
) -> None:
    """As where it slurs in twos: what it leaves unslurred there it means."""
    words = f"F3{long} ~G3{short} A3{long} Bb3{short} C4{long} D4{short} Eb4{long}"
    assert begins(part_of(words)) == "T~TTTTT"
    assert begins(part_of(words.replace("~", "") + " F4h")) == "Toooooo" + "o"
    alone = f"F3{long} ~G3{short} A3q. Bb3h"
    assert begins(part_of(alone)) == "T~oo"


def test_swung_pairs_are_one_passage_with_no_turn_within_the_bar() -> None:
    part = part_of("F3e. G3s A3e. Bb3s C4e. D4s Eb4e. F4s G4q A4q Bb4h")
    breaks = find_breaks(part, frozenset())
    turns = "".join("!" if turn else "." for turn in find_turns(part, breaks))
    assert turns == "!.......!.!"
    assert find_free(part, breaks, read_begins(part, breaks)) == (True,) * 11
    pair = part_of("F3q. G3e A3h")
    assert find_turns(pair, find_breaks(pair, frozenset())) == (True,) * 3
    far = part_of("F3h ~G3e A3h Bb3e")
    assert begins(far) == "T~oo"


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


def graced(words: str, *graces: int, place: dict[int, tuple[int, int]]) -> Part:
    """A part by hand in which some notes are small; `place` moves bar and beat."""
    part = part_of(words)
    notes = [
        replace(note, is_grace=k in graces, bar=bar, beat=Fraction(beat))
        for k, note in enumerate(part.notes)
        for bar, beat in [place.get(k, (note.bar, k + 10))]
    ]
    return replace(part, notes=tuple(notes))


def test_small_notes_are_slurred_to_their_note_with_one_stroke_for_all() -> None:
    """Common practice, no published source."""
    place = {1: (1, 2), 2: (1, 2), 3: (1, 2)}
    part = graced("F3q G3s A3s Bb3q C4q", 1, 2, place=place)
    assert begins(part) == "TT,,o"
    assert begins(signed(part, 3, "accent")) == "TT,so"


def test_small_notes_that_end_a_note_are_slurred_from_it() -> None:
    place = {0: (1, 1), 1: (1, 1), 2: (1, 1)}
    assert begins(graced("F3q G3s A3s Bb3q", 1, 2, place=place)) == "T,,o"
    assert begins(graced("F3q G3s A3s", 1, 2, place=place)) == "T,,"


def test_a_bar_of_one_note_that_comes_again_begins_with_its_small_note() -> None:
    place = dict.fromkeys(range(4), (1, 1))
    assert begins(graced("G3s F3q G3s F3q", 0, 2, place=place)) == "T,T,"


def test_a_glissando_is_the_slide_alone() -> None:
    part = signed(part_of("D4q F4q G4q"), 0, "glissando")
    assert begins(part) == "Tgo"
    assert begins(part, frozenset({0})) == "TTo"
    assert begins(signed(part_of("D4q D4q"), 0, "glissando")) == "TT"
