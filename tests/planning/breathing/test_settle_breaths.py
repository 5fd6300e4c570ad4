"""What is chosen where it gets tight: fewer notes, or breath after breath.

Common practice, no published source.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.search.dry_notes import dry_note
from coach.planning.breathing.settle_breaths import settle_breaths
from coach.planning.breathing.ways.choose_ways import choose_ways
from coach.planning.phrasing.phrasing import phrase_ends
from tests.dry_music import unbroken
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import COSTS, who

SIXTEENTHS = part_of(
    "F3s A3s C4s A3s G3s Bb3s D4s Bb3s E3s G3s Bb3s G3s F3s C4s A3s F3s " * 16
)
DEAR = replace(COSTS, leave_out_weight=1e9)


def sixteenths(
    bpm: float, costs: BreathSettings = COSTS, locks: Locks = NOTHING_LOCKED
) -> BreathPlan:
    """Plan sixteen bars of sixteenths for large lungs."""
    passage = set_passage(SIXTEENTHS, bpm, [0.05] * (len(SIXTEENTHS.notes) - 1))
    return plan_breaths(passage, replace(who(measured(6.0)), costs=costs), locks)


def test_rather_than_snatch_breath_after_breath_a_few_notes_are_left_out() -> None:
    counts = [len(sixteenths(bpm).breaths) for bpm in range(48, 62)]
    assert all(abs(after - here) <= 2 for here, after in pairwise(counts)), counts
    assert sixteenths(50).left_out
    assert sixteenths(50).runs_out is None
    gasping = sixteenths(50, DEAR)
    assert not gasping.left_out
    assert len(gasping.breaths) > 2 * len(sixteenths(50).breaths)


RUN = "F3s G3s A3s Bb3s C4s D4s C4s A3s Bb3s G3s A3s F3s G3s E3s F3s C3s "


def test_rather_than_squeeze_out_the_last_fifth_a_note_is_left_out() -> None:
    """The last fifth is squeezed out (common practice, no published source)."""
    part = part_of(f"{RUN * 5}F3w")
    passage = set_passage(part, 80, phrase_ends(part))
    breather = who(measured(5.5))
    squeezed = plan_breaths(passage, breather, Locks(may_leave_out=False))
    assert squeezed.runs_out is None
    assert squeezed.lowest_air < COSTS.low_share
    plan = plan_breaths(passage, breather)
    assert plan.left_out
    assert plan.lowest_air > COSTS.low_share


def test_rather_than_squeeze_a_loud_tune_is_breathed_after_each_long_note() -> None:
    """Larger lungs pass none of them by for a quarter before the bar line."""
    part = part_of(
        "Bb3h D4q F4q Bb4h. A4q G4q F4q Eb4q D4q C4h F3h "
        "Bb3h D4q F4q Bb4h. C5q D5q C5q Bb4q A4q Bb4w",
        bpm=132,
    )
    loud_tune = set_passage(part, 132, phrase_ends(part)).louder(3.0)
    small, larger = (
        plan_breaths(loud_tune, who(measured(capacity_l))) for capacity_l in (3.0, 3.5)
    )
    assert [str(part.notes[b.after_note].written) for b in larger.breaths] == [
        "Bb4",
        "F3",
        "Bb4",
    ]
    assert larger.lowest_air > COSTS.low_share
    assert larger.cost <= small.cost


def test_who_squeezes_needs_one_breath_for_a_short_note_between_two_rests() -> None:
    part = part_of(
        "F4q rq F4q rq F4q rq F4e F4e F4e F4e F4e re F4q re F4e F4q re F4e F4e F4e "
        "F4e F4e F4e F4e F4e F4e F4q F4e re F4q F4q rq F4q F4h"
    )
    passage = set_passage(part, 112, [0.1] * (len(part.notes) - 1)).louder(3.0)
    plan = plan_breaths(passage, who(measured(3.0)))
    assert plan.runs_out is None
    for before, after in pairwise(plan.breaths):
        notes = range(before.following, after.after_note + 1)
        played_s = sum(plan.ends[k] - passage.times[k].start for k in notes)
        assert played_s >= COSTS.soonest_on_rest_s


def test_who_squeezes_breathes_no_sooner_where_that_is_no_cheaper() -> None:
    part = part_of("F3h F3h F3h F3h")
    passage = set_passage(part, 60, [0.0] * 3).louder(1.0)
    places = lay_places(passage, who(measured(2.0)))
    settled = settle_breaths(places, NOTHING_LOCKED)
    assert min(settled.walk.air_after) < COSTS.low_share
    assert settled.places is places


CASCADE = (
    "D5e E5e F#5e G5e A5e B5e C6e D6e C6e B5e A5e G5e F#5e E5e "
    "D5e C5e B4e A4e G4e F#4e E4e D4e E4e F#4e G4e A4e B4e C5e "
)


@pytest.mark.parametrize("bpm", [150, 162, 180])
def test_with_larger_lungs_no_plan_is_worse_and_none_leaves_out_more(bpm: int) -> None:
    """Also where they could just get through with every note, half empty."""
    part = part_of(f"{CASCADE * 4}D5w")
    passage = set_passage(part, bpm, [0.05] * (len(part.notes) - 1))
    plans = [
        plan_breaths(passage, who(measured(quarters / 4))) for quarters in range(10, 29)
    ]
    assert plans[0].left_out
    assert not plans[-1].left_out
    for smaller, larger in pairwise(plans):
        assert larger.cost <= smaller.cost
        assert len(larger.left_out) <= len(smaller.left_out)


def test_who_forbids_it_snatches() -> None:
    plan = sixteenths(50, locks=Locks(may_leave_out=False))
    assert not plan.left_out
    assert plan.breaths == sixteenths(50, DEAR).breaths


def test_a_single_breath_out_of_a_note_is_no_reason_to_leave_any_out() -> None:
    part = part_of(
        "F3s A3s C4s A3s G3s Bb3s D4s Bb3s E3s G3s Bb3s G3s F3e A3s F3s " * 5
    )
    passage = set_passage(part, 60, [0.05] * (len(part.notes) - 1))
    plan = plan_breaths(passage, who(measured(5.8)))
    assert len(plan.breaths) == 1
    assert not plan.left_out


def hold(words: str, k: int, bpm: float, litres: float) -> BreathPlan:
    """Plan a line in which one note is held and no phrase ends."""
    part = part_of(words)
    notes = tuple(replace(n, has_fermata=n is part.notes[k]) for n in part.notes)
    passage = set_passage(replace(part, notes=notes), bpm, [0.05] * (len(notes) - 1))
    return plan_breaths(passage, who(measured(litres)))


def test_after_a_hold_the_player_fills_up() -> None:
    """However full the lungs are still, if only a breath is worth its noise."""
    plan = hold("F3q G3q F3q A3h Bb3h F3q G3q A3h F3h", 4, 76, 6.0)
    (breath,) = plan.breaths
    assert breath.after_note == 4
    assert breath.air_before > 0.7
    assert breath.kind == "full"


def test_after_a_hold_too_short_to_fill_up_a_catch_breath_is_taken() -> None:
    plan = hold("F3q G3q A3h Bb3q F3q G3q A3h F3h", 4, 104, 2.5)
    (breath,) = plan.breaths
    assert breath.after_note == 4
    assert breath.kind == "catch"


def test_a_breath_asked_for_beside_one_refused_stays_when_notes_may_be_left_out() -> (
    None
):
    locks = Locks(
        must=frozenset({1}),
        must_not=frozenset({2}),
        kept=frozenset({3}),
        left_out=frozenset({4}),
    )
    part = unbroken(4)
    passage = set_passage(part, 104, [0.05] * (len(part.notes) - 1))
    plan = plan_breaths(passage, who(measured(4.8)), locks)
    assert {1, 3} <= {breath.after_note for breath in plan.breaths}


PLACES = lay_places(set_passage(unbroken(3), 100, [0.05] * 47), who(measured(4.5)))


def test_no_notes_are_left_out_across_a_breath_that_has_to_be_or_must_not() -> None:
    """Three notes after note 4: the lock lies behind the second of them."""

    def most(locks: Locks) -> int:
        more = choose_ways(PLACES, locks).with_fewer_notes(PLACES, locks, {4})
        return max(way.left_out for way in more.ways[4])

    assert most(NOTHING_LOCKED) == 3
    assert most(Locks(must=frozenset({6}))) == 2
    assert most(Locks(must_not=frozenset({6}))) == 1


def test_each_way_to_leave_out_notes_is_weighed_once_however_often_it_is_looked() -> (
    None
):
    """Very loud for small lungs: dry wherever one looks."""
    passage = set_passage(unbroken(6), 100, [0.05] * 95).louder(4.0)
    settled = settle_breaths(lay_places(passage, who(measured(2.5))), NOTHING_LOCKED)
    assert dry_note(settled.places, settled.walk) is not None
    ways = settled.allowed.ways
    assert any(at_gap and at_gap[-1].left_out for at_gap in ways)
    assert all(len(set(at_gap)) == len(at_gap) for at_gap in ways)


CADENCE = "F3q G3q A3q Bb3q C4q D4q C4q A3q Bb3q C4q D4q Eb4q D4h C4h Bb3w"


def loud(words: str, bpm: float, litres: float, locks: Locks) -> BreathPlan:
    """Plan a line two steps louder than mezzo-forte."""
    part = part_of(words)
    passage = set_passage(part, bpm, phrase_ends(part)).louder(2.0)
    return plan_breaths(passage, who(measured(litres)), locks)


def test_very_loud_with_small_lungs_the_last_two_notes_stay_together() -> None:
    """Breaths before them follow each other a little sooner instead."""
    plan = loud(CADENCE, 96, 2.5, NOTHING_LOCKED)
    before_last = len(plan.ends) - 2
    assert plan.runs_out is None
    assert plan.breaths[-1].after_note < before_last
    asked = loud(CADENCE, 96, 2.5, Locks(must=frozenset({before_last})))
    assert asked.breaths[-1].after_note == before_last
    first, second = (breath.after_note for breath in asked.breaths[:2])
    assert (second - first) * 60 / 96 > COSTS.soonest_s


def test_where_nothing_else_lasts_the_last_note_is_breathed_before() -> None:
    plan = loud(CADENCE, 66, 2.5, NOTHING_LOCKED)
    assert plan.runs_out is None
    assert plan.breaths[-1].after_note == len(plan.ends) - 2


def test_rather_than_part_the_last_two_notes_a_weak_one_is_left_out() -> None:
    """At 116 an eighth gives no time to breathe."""
    line = (
        "F3e A3e C4e F4e E4e D4e C4e Bb3e A3e C4e F4e A4e G4e F4e E4e D4e "
        "C4e D4e E4e F4e G4e A4e Bb4e G4e "
    )
    end = "A4e G4e F4e E4e D4e C4e Bb3e G3e E4h F4h"
    part = part_of(line * 2 + end, bpm=116)
    passage = set_passage(part, 116, phrase_ends(part))
    plan = plan_breaths(passage, who(measured(3.5)))
    assert plan.left_out
    assert plan.breaths[-1].after_note < len(plan.ends) - 2
    assert plan.runs_out is None


def test_for_the_sake_of_the_end_only_its_last_breaths_move() -> None:
    """Of a long line that ends so the beginning is breathed as it is."""
    line = "C4e Bb3q Bb3h C4q D4q Bb3q C4h D4q "
    end = "D4q A3q C4q Bb3q A3h A3q Bb3q D4e A3e G3e F3e A3q D4e C4w Bb3w"
    part = part_of(line * 8 + end)
    passage = set_passage(part, 132, phrase_ends(part)).louder(1.0)
    places = lay_places(passage, who(measured(2.4)))
    settled = settle_breaths(places, NOTHING_LOCKED)
    assert min(settled.walk.air_after) > COSTS.low_share
    assert settled.walk.breaths[-1][0] < len(places.gaps) - 1
    changed = [
        k
        for k, (one, other) in enumerate(
            zip(places.ripe_from, settled.places.ripe_from, strict=True)
        )
        if one != other
    ]
    assert len(changed) > 0
    assert min(changed) > len(places.gaps) // 2


def test_in_a_very_slow_line_small_lungs_are_filled_calmly() -> None:
    song = "F3q. G3e A3q Bb3q C4h. A3q D4q. C4e Bb3q A3q G3w A3q. Bb3e C4q D4q Eb4h."
    part = part_of(song)
    passage = set_passage(part, 28, phrase_ends(part))
    plan = plan_breaths(passage, who(measured(3.5)))
    assert len(plan.breaths) > 3
    assert not any(b.is_gasp for b in plan.breaths if b.gap > 2 * COSTS.full_from_s)


EIGHTHS = (
    "D3e E3e F3e G3e A3e Bb3e A3e A3e G3e F3e E3e F3e G3e A3e G3e G3e "
    "F3e E3e D3e E3e F3e G3e F3e F3e E3e D3e C#3e D3e E3e F3e E3e E3e "
    "D3e E3e F3e G3e A3e Bb3e C4e C4e D4e C4e Bb3e A3e G3e A3e Bb3e Bb3e "
    "A3e G3e F3e E3e F3e E3e D3e D3e D3w"
)


def test_neighbouring_tempi_and_lungs_gasp_or_leave_out_notes_alike() -> None:
    """Seven bars of even eighths: none snatches four breaths where others need two."""
    part = part_of(EIGHTHS)
    ends = phrase_ends(part)

    def breaths(bpm: float, litres: float) -> int:
        passage = set_passage(part, bpm, ends)
        return len(plan_breaths(passage, who(measured(litres))).breaths)

    by_tempo = [breaths(bpm, 4.0) for bpm in range(98, 108)]
    assert max(abs(a - b) for a, b in pairwise(by_tempo)) <= 1
    by_lungs = [breaths(104.0, litres) for litres in (2.5, 3.0, 3.5, 4.0, 4.5, 5.0)]
    assert all(a >= b - 1 for a, b in pairwise(by_lungs))
