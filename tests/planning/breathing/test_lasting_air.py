"""Whether the air can last at all, held to the plans that are made."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places, lay_places
from coach.planning.breathing.breaths import choose_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.search.lasting_air import can_last
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import problems, who


def laid(words: str, bpm: float, litres: float, loud: float = 2.0) -> Places:
    part = part_of(words, loud=loud)
    passage = set_passage(part, bpm, [0.1] * (len(part.notes) - 1))
    return lay_places(passage, who(measured(litres)))


def lasts(places: Places, locks: Locks) -> bool:
    return choose_breaths(places, locks).runs_out is None


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_what_lasts_as_planned_can_last(data: st.DataObject) -> None:
    places = data.draw(problems(most_notes=14))
    gaps = st.frozensets(st.integers(0, max(0, len(places.gaps) - 1)), max_size=3)
    some = gaps if places.gaps else st.just(frozenset[int]())
    locks = Locks(
        must=data.draw(some),
        must_not=data.draw(some),
        may_leave_out=data.draw(st.booleans()),
    )
    assert can_last(places, locks) or not lasts(places, locks)


RUN = "F3s G3s A3s Bb3s C4s Bb3s A3s G3s " * 8
SONG = "F3q G3e A3e Bb3q. C4e D4q C4e Bb3e A3h rq " * 4


@pytest.mark.parametrize("words", [RUN, SONG])
def test_what_cannot_is_known_without_a_plan(words: str) -> None:
    """Not that it may last where no plan does."""
    told = []
    for bpm, litres, loud, may in product(
        (20, 40, 80), (1.2, 2.0, 3.5), (0.0, 3.0), (True, False)
    ):
        places, locks = laid(words, bpm, litres, loud), Locks(may_leave_out=may)
        told.append(can_last(places, locks))
        assert told[-1] is lasts(places, locks), (bpm, litres, loud, may)
    assert any(told)
    assert not all(told)


def test_it_cannot_where_the_only_breath_that_would_do_is_forbidden() -> None:
    held = laid("F3w F3w", 60, 4.0)
    assert can_last(held, Locks())
    assert not can_last(held, Locks(must_not=frozenset({0})))


def test_a_breath_that_is_asked_for_is_taken_on_the_heels_of_another() -> None:
    both = Locks(must=frozenset({0, 1}))
    places = laid("F3w F3e F3w", 60, 4.0)
    assert can_last(places, both)
    assert lasts(places, both)


def test_who_is_dry_before_a_breath_that_is_asked_for_has_not_lasted() -> None:
    late = Locks(must=frozenset({1}), must_not=frozenset({0}))
    assert not can_last(laid("F3w F3w F3q", 60, 4.0), late)
    assert can_last(laid("F3w F3w F3q", 60, 6.0), late)
