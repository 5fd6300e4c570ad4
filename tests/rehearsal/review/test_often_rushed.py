"""Which kinds of notes are rushed, held against chance."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from scipy.stats import binom

from coach.config import read_settings
from coach.rehearsal.review.often_rushed import find_rushed, name_kind
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.rehearsal.review.test_review import run

PAGE = part_of("Bb2q C3q D3e Eb3e F3e G3e " * 3)
"""Half of each bar in quarters, half in eighths."""

CHANCE = read_settings(TroubleSettings, "rehearsal", "trouble")


def rushed(*places: tuple[int, float]) -> Run:
    marks = tuple(
        Mark(MarkKind.RUSHED, bar, beat, Seconds(bar + beat)) for bar, beat in places
    )
    return run(marks=marks, to_bar=3, reached_bar=3)


def test_eighths_that_are_rushed_again_and_again_are_named() -> None:
    """Their chance is that of the binomial tail of SciPy, twice for two kinds."""
    runs = [rushed((k % 3 + 1, 3.5)) for k in range(9)] + [rushed((1, 2.0))]
    (kind,) = find_rushed(PAGE.notes, runs, CHANCE)
    assert (kind.notes, kind.marks, kind.of) == ("eighths", 9, 10)
    assert kind.share == pytest.approx(0.5)
    assert kind.chance == pytest.approx(2 * binom.sf(8, 10, 0.5))
    assert kind.says == (
        "Eighths are rushed: 9 of 10 times, though they are 50 % of what is played."
    )


def test_few_marks_or_marks_everywhere_are_chance() -> None:
    assert find_rushed(PAGE.notes, [rushed((1, 3.5))] * 5, CHANCE) == ()
    both = [rushed((1, 3.5)), rushed((1, 1.0))]
    assert find_rushed(PAGE.notes, both * 20, CHANCE) == ()
    assert find_rushed((), both, CHANCE) == ()


def test_several_marks_in_one_run_are_one_stumble() -> None:
    stumbled = rushed((1, 3.0), (2, 3.5), (3, 4.0))
    assert find_rushed(PAGE.notes, [stumbled] * 5, CHANCE) == ()
    assert find_rushed(PAGE.notes, [stumbled] * 7, CHANCE)


def test_what_was_rushed_long_ago_says_nothing_of_today() -> None:
    old = [rushed((1, 3.5))] * 30
    assert find_rushed(PAGE.notes, old, CHANCE)
    assert find_rushed(PAGE.notes, [*old, *[rushed()] * 24], CHANCE) == ()


def test_other_marks_and_places_that_are_not_there_say_nothing() -> None:
    late = Mark(MarkKind.DRAGGED, 1, 3.0, Seconds(3.0))
    runs = [run(marks=(late,), to_bar=3, reached_bar=3)] * 20
    assert find_rushed(PAGE.notes, runs, CHANCE) == ()
    assert find_rushed(PAGE.notes, [rushed((9, 1.0), (1, 0.5))] * 20, CHANCE) == ()


def test_where_all_notes_are_alike_no_kind_is_named() -> None:
    page = part_of("Bb2e C3e D3e Eb3e F3e G3e A3e Bb3e")
    assert find_rushed(page.notes, [rushed((1, 1.0))] * 20, CHANCE) == ()


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("Bb2s", "sixteenths"),
        ("Bb2e.", "dotted eighths"),
        ("Bb2q", "quarters and longer notes"),
        ("Bb2h.", "quarters and longer notes"),
    ],
)
def test_kinds_have_the_names_of_the_trade(word: str, kind: str) -> None:
    (note,) = part_of(word).notes
    assert name_kind(note) == kind


def test_a_grace_note_and_an_odd_length_have_a_kind_too() -> None:
    (note,) = part_of("Bb2e").notes
    assert name_kind(replace(note, is_grace=True)) == "grace notes"
    odd = replace(note, length=type(note.length)(Fraction(2, 5)))
    assert name_kind(odd) == "other short notes"
