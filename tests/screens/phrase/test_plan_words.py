"""What is said of a plan, and of one note in it, on the page of a phrase."""

from __future__ import annotations

from coach.planning.instrument.placement import Articulation
from coach.screens.phrase.plan_words import BEGUN, say_plan
from coach.screens.signs import FULL
from tests.dry_music import endless
from tests.hand_rehearsal import HandRehearsal


def test_the_bar_is_named_in_which_the_air_of_a_long_note_is_gone() -> None:
    plan = HandRehearsal(endless()).conductor.plan
    place = plan.breaths.dry_place(0)
    assert place.bar > plan.part.notes[0].bar
    assert f"runs out in bar {place.bar} " in f"{say_plan(plan, FULL)[0]} "


def test_there_is_a_word_for_each_way_to_begin_a_note() -> None:
    assert set(BEGUN) == set(Articulation)
    assert len(set(BEGUN.values())) == len(BEGUN)
