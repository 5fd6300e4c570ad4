"""A breath mark of the page that stands after a note too short for it.

Common practice, no published source: the page's breath is the one to take.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.prompts import place_of_breath
from coach.planning.breathing.ways.choose_ways import choose_ways
from coach.planning.breathing.ways.leaving_out import fewer_before_mark
from coach.score.note import Note
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import COSTS, who

RUN = "C3s Eb3s D3s F3s D3s F3s Eb3s G3s Eb3s G3s F3s A3s F3s A3s G3s Bb3s "
MARKED = f"{RUN * 4}".strip() + ", "
LAST = 4 * 16 - 1
"""The note before the mark, at the end of the fourth bar."""


def planned(words: str, locks: Locks = NOTHING_LOCKED, bpm: float = 92) -> BreathPlan:
    part = part_of(words, bpm=bpm)
    passage = set_passage(part, bpm, [0.1] * (len(part.notes) - 1))
    return plan_breaths(passage, who(measured(3.8)), locks)


def counts(words: str, mark: int = 7, kept: frozenset[int] = frozenset()) -> list[int]:
    fewer = fewer_before_mark(part_of(words), mark, COSTS, kept)
    return [notes.count for notes in fewer]


def test_what_comes_just_before_it_is_left_out_rather_than_anything_near() -> None:
    plan = planned(f"{MARKED}{RUN * 3}C3w")
    first = plan.breaths[0]
    assert first.left_out == (LAST - 2, LAST - 1, LAST)
    assert first.is_marked
    assert not any(breath.is_marked for breath in plan.breaths[1:])
    assert plan.notices[0] == (
        "The page's breath after bar 4, beat 4.75 finds no time at this tempo: what "
        "comes just before is left out."
    )
    unmarked = planned(f"{RUN * 7}C3w")
    assert LAST not in unmarked.left_out


def test_where_the_air_lasts_nothing_is_left_out_for_it() -> None:
    plan = planned(f"{RUN.strip()}, C3w")
    assert plan.breaths == ()
    assert plan.notices == (
        "The page's breath after bar 1, beat 4.75 finds no time at this tempo.",
    )


def test_nor_where_the_player_leaves_out_no_note() -> None:
    plan = planned(f"{MARKED}{RUN * 3}C3w", Locks(may_leave_out=False))
    assert not plan.left_out
    kept = planned(f"{MARKED}{RUN * 3}C3w", Locks(kept=frozenset({LAST})))
    assert LAST not in kept.left_out


def test_marks_without_time_are_told_together_with_what_is_done_instead() -> None:
    """Of six in six bars only some are worth leaving notes out for."""
    plan = planned(f"{RUN.strip()}, " * 6 + "C3w")
    done = [breath for breath in plan.breaths if breath.is_marked]
    assert 1 < len(done) < 6
    passed, taken = sorted(plan.notices[:2])
    assert f"{len(done)} breaths of the page, in bar" in taken + passed
    assert f"{6 - len(done)} breaths of the page, in bar" in taken + passed
    assert sum("is left out" in notice for notice in plan.notices) == 1


def test_what_the_player_asks_for_is_no_mark_of_the_page() -> None:
    """Not even after the last note, where there is none to leave out."""
    plan = planned(f"{RUN * 2}C3w", Locks(must=frozenset({15, 99})))
    assert not any(breath.is_marked for breath in plan.breaths)
    assert len(plan.notices) == 2


def test_the_place_of_the_mark_costs_nothing() -> None:
    part = part_of(f"{MARKED}{RUN * 3}C3w", bpm=92)
    passage = set_passage(part, 92, [0.1] * (len(part.notes) - 1))
    places = lay_places(passage, who(measured(3.8)))
    plain = choose_ways(places, NOTHING_LOCKED)
    ways = plain.with_fewer_notes(places, NOTHING_LOCKED, frozenset()).ways
    assert {k for k, at_gap in enumerate(ways) if at_gap} == {
        LAST - 3,
        LAST - 2,
        LAST - 1,
    }
    cheapest = min(way.cost for way in ways[LAST - 3])
    assert cheapest < COSTS.leave_out_weight + places.gaps[LAST - 3].place_cost


EVEN = "F3s G3s A3s Bb3s C4s D4s Eb4s F4s, "


def test_it_is_the_last_notes_of_the_beat_but_none_on_it() -> None:
    """Even a turning point, and the last note of what the mark ends."""
    assert counts(f"{EVEN}F3w") == [1, 2, 3]
    assert counts("F3s G3s A3s Bb3s C4s D4s, Eb4s F4s F3w", mark=5) == [1]
    assert counts("F3s G3s A3s Bb3s C4s, D4s Eb4s F4s F3w", mark=4) == []
    assert counts("F3s G3e., F3w", mark=1) == []


def test_nor_one_that_is_kept_or_accented_or_comes_after_a_rest() -> None:
    assert counts(f"{EVEN}F3w", kept=frozenset({6})) == [1]
    assert counts("F3s G3s A3s Bb3s C4s rs Eb4s F4s, F3w", mark=6) == [1]


def accented(note: Note) -> Note:
    return replace(note, articulations=frozenset({"accent"}))


def held(note: Note) -> Note:
    return replace(note, has_fermata=True)


def small(note: Note) -> Note:
    return replace(note, is_grace=True)


@pytest.mark.parametrize("signed", [accented, held, small])
def test_nor_one_of_which_the_page_makes_something(
    signed: Callable[[Note], Note],
) -> None:
    part = part_of(f"{EVEN}F3w")
    notes = [*part.notes[:6], signed(part.notes[6]), *part.notes[7:]]
    fewer = fewer_before_mark(replace(part, notes=tuple(notes)), 7, COSTS)
    assert [notes.count for notes in fewer] == [1]


def test_a_mark_on_a_note_held_over_the_bar_line_is_taken_where_the_note_ends() -> None:
    """Held from bar 1 into bar 2: the breath begins there, by hand or by the page."""
    part = part_of("F3h G3w A3h Bb3h, C4h D4h", bpm=80)
    marked = tuple(replace(n, breath_mark="") for n in part.notes)
    held = replace(marked[1], breath_mark="breath")
    part = replace(part, notes=(marked[0], held, *marked[2:]))
    passage = set_passage(part, 80, [0.1] * 5)
    by_page = plan_breaths(passage, who(measured(3.8)), NOTHING_LOCKED)
    by_hand = plan_breaths(passage, who(measured(3.8)), Locks(must=frozenset({1})))
    refused = plan_breaths(passage, who(measured(3.8)), Locks(must_not=frozenset({1})))
    for plan, is_locked, why in (
        (by_page, False, "the page has a breath mark"),
        (by_hand, True, "you ask for it"),
    ):
        breath = plan.breaths[0]
        assert (breath.after_note, breath.is_marked, breath.is_locked) == (
            1,
            True,
            is_locked,
        )
        assert breath.why == why
        place = place_of_breath(part, passage.tempo_map, breath)
        assert place.bar == 2
        assert plan.notices == ()
    assert 1 not in refused.places
