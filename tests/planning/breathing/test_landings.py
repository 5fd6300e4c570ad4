"""Who comes to a note after a breath: only the cheaper of those who breathed before."""

from __future__ import annotations

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_states import (
    INFINITE,
    SearchRound,
    State,
    keep,
)
from coach.planning.breathing.search.landings import Departure, land
from coach.planning.breathing.search.waiting import Waiting
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import lay

AT_ONCE = SearchRound(200)
WITH_SLACK = SearchRound(200, slack=0.2)
HALF_STEPS = 50
PAID = 1.0


def quarters() -> Places:
    """Lay out seven quarters at 60, the third of which ends a phrase."""
    part = part_of("F3q F3q F3q F3q F3q F3q F3q")
    ends = [0.0, 0.0, 1.0, 0.0, 0.0, 0.0]
    return lay(part, bpm=60, ends=ends, player=measured(3.5))


def after_third(places: Places, cost: float = PAID) -> Departure:
    """Depart after the third note in the longest breath that there is."""
    state: State = places.start_depth, cost, None, INFINITE
    return 2, [state], places.ways[2][-1:], 0.0, False


def least_of(places: Places) -> tuple[int, float]:
    """Tell to which level that breath leads, and for what, if nobody came before."""
    nobody = [INFINITE] * (places.lungs.full_steps + 1 - HALF_STEPS)
    _, states, stood_for = land(places, 3, [after_third(places)], nobody, AT_ONCE)
    ((at, cost, _, _),) = states
    assert stood_for == INFINITE
    air = places.lungs.half - at - places.used_before[3]
    return round(air * places.lungs.steps_count), cost


def test_who_breathes_for_no_less_than_others_before_is_not_kept_but_stood_for() -> (
    None
):
    places = quarters()
    level, cost = least_of(places)
    full = places.lungs.full_steps
    ahead = [cost] * (level + 1 - HALF_STEPS) + [INFINITE] * (full - level)
    note, states, stood_for = land(places, 3, [after_third(places)], ahead, AT_ONCE)
    assert (note, states, stood_for) == (3, [], cost)


def test_who_is_weighed_and_no_cheaper_is_stood_for_beside_a_fuller_one() -> None:
    places = quarters()
    deep: State = places.start_depth + 0.2, PAID, None, INFINITE
    full: State = places.start_depth, PAID + 1.0, None, INFINITE
    departure = 2, [full, deep], places.ways[2][2:3], 0.0, False
    nobody = [INFINITE] * (places.lungs.full_steps + 1 - HALF_STEPS)
    _, (kept, lower), _ = land(places, 3, [departure], [*nobody], AT_ONCE)
    air = places.lungs.half - lower[0] - places.used_before[3]
    end = round(air * places.lungs.steps_count) + 1 - HALF_STEPS
    ahead = [lower[1]] * end + nobody[end:]
    _, states, stood_for = land(places, 3, [departure], ahead, AT_ONCE)
    assert [state[1] for state in states] == [kept[1]]
    assert stood_for == lower[1]


def test_who_breathes_for_a_little_more_is_kept_with_some_slack() -> None:
    places = quarters()
    _, cost = least_of(places)
    ahead = [cost - 0.1] * (places.lungs.full_steps + 1 - HALF_STEPS)
    _, states, _ = land(places, 3, [after_third(places)], ahead, WITH_SLACK)
    assert [state[1] for state in states] == [cost]


def test_what_a_breath_costs_is_noted_for_its_air_and_less() -> None:
    places = quarters()
    level, cost = least_of(places)
    full = places.lungs.full_steps
    before = [cost - 0.5] * 5 + [cost + 0.5] * (full + 1 - HALF_STEPS - 5)
    ahead = [*before]
    land(places, 3, [after_third(places)], ahead, AT_ONCE)
    end = level + 1 - HALF_STEPS
    assert ahead == before[:5] + [cost] * (end - 5) + before[end:]


def test_of_two_who_come_to_one_note_the_cheaper_is_kept() -> None:
    places = quarters()
    level, cost = least_of(places)
    both = [after_third(places, PAID + 1.0), after_third(places)]
    nobody = [INFINITE] * (places.lungs.full_steps + 1 - HALF_STEPS)
    _, states, _ = land(places, 3, both, nobody, AT_ONCE)
    assert [state[1] for state in states] == [cost]
    assert len(nobody) > level - HALF_STEPS


def test_air_goes_while_others_wait_and_is_counted_down_to_whole_levels() -> None:
    """A quarter takes seven levels and a half: eight are gone."""
    places = quarters()
    level, cost = least_of(places)
    waiting = Waiting(places, AT_ONCE)
    waiting.land([after_third(places)], 3)
    ahead = waiting.ahead(4)
    reached = [HALF_STEPS + k for k, paid in enumerate(ahead) if paid == cost]
    used = (places.used_before[4] - places.used_before[3]) * places.lungs.steps_count
    assert reached[0] == HALF_STEPS
    assert level - used - 1 < reached[-1] <= level - used
    waiting.clear()
    assert set(waiting.ahead(4)) == {INFINITE}


def test_who_was_dropped_while_waiting_is_stood_for_from_when_he_could_breathe() -> (
    None
):
    """A deep breath after two notes leaves more than a catch breath after three."""
    places = quarters()
    assert places.ripe_from[4:] == (2, 3)
    state: State = places.start_depth, PAID, None, INFINITE
    waiting = Waiting(places, AT_ONCE)
    waiting.soon.clear()
    waiting.land([(1, [state], places.ways[1][-1:], 0.0, False)], 2)
    waiting.land([(2, [state], places.ways[2][2:3], 19.0, False)], 3)
    (_, first, _), (_, none, dropped) = waiting.soon
    assert (len(first), none) == (1, [])
    assert dropped < INFINITE
    (ripe,) = waiting.ripened([], 4)
    assert ripe[3] == INFINITE
    (later,) = waiting.ripened([ripe], 5)
    assert later[3] == pytest.approx(dropped - later[1])


def test_a_proof_weighs_all() -> None:
    waiting = Waiting(quarters(), SearchRound(200, is_proof=True))
    assert waiting.ahead(3) == []


@pytest.mark.parametrize(
    ("stood_for", "more"),
    [
        ((), [INFINITE, INFINITE, INFINITE]),
        ((2.5,), [INFINITE, 0.5, 1.5]),
        ((1.25, 2.5), [INFINITE, 0.5, 0.25]),
        ((4.0,), [1.0, 2.0, 3.0]),
    ],
)
def test_who_others_were_dropped_for_knows_what_they_would_have_paid_more(
    stood_for: tuple[float, ...], more: list[float]
) -> None:
    """Whoever paid more than those who were dropped was none that they gave way to."""
    states: list[State] = [
        (-0.4, 3.0, None, INFINITE),
        (-0.2, 2.0, None, INFINITE),
        (0.0, 1.0, None, INFINITE),
    ]
    assert [state[3] for state in keep(states, 0.0, stood_for)] == more
