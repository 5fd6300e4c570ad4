"""A player compares a few facts with the paper."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from coach.score.metre import Metre
from coach.score.page_facts import facts_of
from coach.score.tempo import beats
from tests.score.abc.abc_samples import body, part_of
from tests.score.whole_notes import make_part


def test_a_page_without_repeats_is_one_stretch() -> None:
    facts = facts_of(make_part([0, 1, 2, 3], pickup=1))
    assert facts.bars == (0, 3)
    assert facts.bar_count == 3
    assert facts.note_count == 4
    assert facts.way == ((0, 3),)


def test_repeats_endings_and_jumps_begin_a_stretch() -> None:
    facts = facts_of(body("|:C4|1D4:|2e4|C,4!D.C.!|]"))
    assert facts.way == ((1, 2), (1, 1), (3, 4), (1, 1), (3, 4))
    assert facts.note_count == 8
    assert [str(pitch) for pitch in facts.range] == ["C3", "E5"]


def test_the_range_is_that_of_the_lowest_and_the_highest_note_played_once() -> None:
    facts = facts_of(body("C D E F|C,4|"))
    assert [str(pitch) for pitch in facts.range] == ["C3", "F4"]


def test_both_halves_of_a_divided_bar_are_one_way() -> None:
    part = make_part([1, 2, 3])
    halves = (
        replace(part.bars[1], length=beats(3)),
        replace(part.bars[1], onset=beats(7), length=beats(1), first_beat=Fraction(4)),
    )
    divided = replace(part, bars=(part.bars[0], *halves, part.bars[2]))
    assert facts_of(divided).way == ((1, 3),)
    assert facts_of(make_part([1, 1])).way == ((1, 1), (1, 1))


def test_who_turns_back_into_the_middle_of_a_bar_begins_a_stretch() -> None:
    part = make_part([1, 2, 3, 2, 3])
    again = replace(part.bars[3], first_beat=Fraction(3))
    turned = replace(part, bars=(*part.bars[:3], again, part.bars[4]))
    assert facts_of(turned).way == ((1, 3), (2, 3))


def test_metres_stand_in_their_bars() -> None:
    part = make_part([1, 2, 3, 1, 2, 3])
    waltz = [
        replace(bar, metre=Metre(3, 4)) if bar.number == 3 else bar for bar in part.bars
    ]
    assert facts_of(replace(part, bars=tuple(waltz))).metres == ((1, "4/4"), (3, "3/4"))
    free = [replace(b, metre=Metre(26, 4, is_free=True)) for b in part.bars]
    assert facts_of(replace(part, bars=tuple(free))).metres == ((1, "free"),)


def test_keys_and_clefs_stand_in_their_bars() -> None:
    page = "X:1\nM:4/4\nL:1/4\nK:C clef=bass\n|:C,4|[K:G]D,4:|[K:F clef=tenor]F4|C4|\n"
    facts = facts_of(part_of(page))
    assert facts.keys == ((1, 0), (2, 1), (3, -1))
    assert facts.clefs == ((1, "bass"), (3, "tenor"))


def test_every_other_speed_stands_in_its_bar_once() -> None:
    page = "X:1\nM:6/8\nL:1/8\nQ:3/8=60\nK:C\n|:C6|[Q:3/8=90]D6:|[Q:3/8=60]E6|\n"
    assert facts_of(part_of(page)).speeds == ((2, 90.0), (1, 60.0), (3, 60.0))
    assert facts_of(part_of(page.replace("[Q:3/8=90]", "[Q:3/8=60]"))).speeds == ()


def test_what_was_left_out_and_what_was_guessed_are_told_apart() -> None:
    facts = facts_of(part_of("X:1\nM:4/4\nL:1/4\nK:C\n[CE]4|CDEFG|\n"))
    assert facts.left_out == ("Chords are written; their top notes are taken.",)
    odd, tempo = facts.guessed
    assert "The bar holds 5" in odd
    assert "is a guess" in tempo
