"""Slurs, breath marks, fermatas and rests on the page."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.phrasing.melody import hear_melody
from coach.planning.phrasing.phrase_signs import (
    PhraseSigns,
    SignSettings,
    odds_to_chance,
    read_signs,
)
from coach.score.phrase import Part
from tests.hand_made import part_of

SETTINGS = SignSettings(
    slurred_at_most_share=0.02,
    marked_at_least_share=0.99,
    strain_at_least_share=0.9,
    rest_at_least_share=0.9,
    clear_rest_beats=1.0,
    clear_rest_after_bars=1.0,
    held_at_least_share=0.8,
    before_held_at_most_share=0.1,
    slur_end_weight=2.5,
    long_slur_bars=2.0,
)


def signs_of(part: Part) -> PhraseSigns:
    return read_signs(part, hear_melody(part), SETTINGS)


def test_inside_a_slur_hardly_any_chance_is_left() -> None:
    signs = signs_of(part_of("C3q ~D3q ~E3q F3q"))
    assert signs.agree([9.0, 9.0, 9.0]) == pytest.approx([0.02, 0.02, 1.0], abs=1e-3)


def test_a_breath_mark_counts_even_inside_a_slur() -> None:
    assert signs_of(part_of("C3q, ~D3q")).agree([-9.0]) == [0.99]


def test_a_grace_note_belongs_to_its_main_note() -> None:
    part = part_of("C3e D3q E3q")
    grace = replace(part.notes[0], is_grace=True)
    signs = signs_of(replace(part, notes=(grace, *part.notes[1:])))
    assert signs.agree([9.0, 9.0])[0] == 0.02


def test_the_longer_the_slur_the_more_its_end_says() -> None:
    one_bar = signs_of(part_of("C3q ~D3q ~E3q ~F3q G3q")).odds
    two_bars = signs_of(part_of("C3h ~D3h ~E3h ~F3h G3q")).odds
    four_bars = signs_of(part_of("C3w ~D3w ~E3w ~F3w G3q")).odds
    assert one_bar[-1] == pytest.approx(1.25)
    assert two_bars[-1] == four_bars[-1] == pytest.approx(2.5)
    assert one_bar[:-1] == [0, 0, 0]


def held_at(words: str, *held: int) -> PhraseSigns:
    """Read signs of a part with fermatas over some notes."""
    part = part_of(words)
    notes = [replace(n, has_fermata=k in held) for k, n in enumerate(part.notes)]
    return signs_of(replace(part, notes=tuple(notes)))


def test_a_phrase_ends_after_a_fermata_and_not_before_it() -> None:
    signs = held_at("C3q D3q E3q F3q", 2)
    assert signs.agree([9.0, 9.0, -9.0]) == pytest.approx([1.0, 0.1, 0.8], abs=1e-3)


def test_before_a_fermata_a_rest_and_another_hold_say_more() -> None:
    assert held_at("C3q re D3q", 1).agree([9.0])[0] > 0.99
    assert held_at("C3q D3q E3q", 0, 1).agree([-9.0, -9.0]) == [0.8, 0.8]


@pytest.mark.parametrize(
    ("words", "least"),
    [
        ("C3w rq D3h.", 0.9),
        ("C3h. rq D3w", 0.9 * 3 / 4),
        ("C3w re D3h.", 0.0),
    ],
)
def test_a_rest_of_a_beat_counts_the_more_the_more_music_came_before(
    words: str, least: float
) -> None:
    assert signs_of(part_of(words)).at_least == pytest.approx([least])


def test_rests_between_short_notes_are_no_phrase_ends() -> None:
    assert max(signs_of(part_of("C3q rq " * 8 + "C3w")).at_least) < 0.25


def test_chances_stay_finite() -> None:
    assert 0 <= odds_to_chance(-1e9) < 1e-9
    assert 1 - 1e-9 < odds_to_chance(1e9) <= 1
