"""What is said of a plan, and of one note in it, on the page of a phrase."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.instrument.placement import Articulation
from coach.planning.naming import say_count
from coach.screens.phrase.plan_words import BEGUN, say_chosen, say_note, say_plan
from coach.screens.signs import FULL
from tests.dry_music import endless
from tests.hand_made import played
from tests.hand_rehearsal import HandRehearsal, long


def test_the_bar_is_named_in_which_the_air_of_a_long_note_is_gone() -> None:
    plan = HandRehearsal(endless()).conductor.plan
    place = plan.breaths.dry_place(0)
    assert place.bar > plan.part.notes[0].bar
    assert f"runs out in bar {place.bar} " in f"{say_plan(plan, FULL)[0]} "


def test_of_a_slow_plan_it_is_said_which_breaths_the_goal_does_without() -> None:
    goal, slow = (HandRehearsal(long(), bpm=bpm).conductor.plan for bpm in (60, 40))
    count = say_count(len(goal.breaths.breaths), "breath")
    assert f" ({count} at 60) " in say_plan(slow, FULL)[0]
    assert " at 60" not in say_plan(goal, FULL)[0]
    for breath in slow.breaths.breaths:
        said = say_note(slow, breath.after_note, FULL)
        assert said.endswith("; at 60 you play through") == breath.is_extra


def test_deep_breaths_are_counted_apart_from_those_that_fill() -> None:
    plan = HandRehearsal(long(), bpm=60).conductor.plan
    first, *others = plan.breaths.breaths
    filled, deep = (
        replace(
            plan,
            breaths=replace(
                plan.breaths,
                breaths=(replace(first, kind="full", fills=fills), *others),
            ),
        )
        for fills in (True, False)
    )
    assert ", 1 deep breath, " in say_plan(deep, FULL)[0]
    assert "deep" not in say_plan(filled, FULL)[0]
    assert "deep breath" in say_note(deep, first.after_note, FULL)


def test_there_is_a_word_for_each_way_to_begin_a_note() -> None:
    assert set(BEGUN) == set(Articulation)
    assert len(set(BEGUN.values())) == len(BEGUN)


def test_chosen_bars_are_told_in_the_order_that_they_are_played_in() -> None:
    part = played("F3w G3w A3w Bb3w", [1, 2, 3, 1, 2, 4])
    assert say_chosen(part, 1, 2) == "bars 1 to 2"
    assert say_chosen(part, 3, 4) == "bars 3 to 4, in the order 3, then 1 to 2, then 4"
    assert say_chosen(part, 3, 9) == "bars 3 to 9"
