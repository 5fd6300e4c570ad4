"""Breath plans: what a teacher would mark, by hand; and what is true of every plan.

What a teacher would mark is common practice, no published source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places, lay_places
from coach.planning.breathing.breaths import (
    BreathPlan,
    breath_to_breath,
    choose_breaths,
    plan_breaths,
)
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.phrasing.phrasing import phrase_ends
from coach.score.phrase import Part, time_notes
from coach.score.tempo import Beats, TempoMap, TempoMark, beats
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import AIR, COSTS, problems, who

NO_LOCKS = Locks()


def plan_of(
    part: Part,
    bpm: float = 60.0,
    *,
    litres: float = 3.4,
    ends: tuple[float, ...] | None = None,
    locks: Locks = NO_LOCKS,
) -> BreathPlan:
    passage = set_passage(part, bpm, phrase_ends(part) if ends is None else ends)
    return plan_breaths(passage, who(measured(litres)), locks)


def places_in(plan: BreathPlan) -> list[int]:
    return [breath.after_note for breath in plan.breaths]


class TestWhatATeacherMarks:
    def test_a_phrase_that_goes_in_one_breath_needs_no_other(self) -> None:
        plan = plan_of(part_of("F3q G3q A3q Bb3q"), 90)
        assert plan.breaths == ()
        assert plan.runs_out is None
        assert plan.lowest_air > 0.5

    def test_a_written_rest_is_breathed_on(self) -> None:
        plan = plan_of(part_of("F3h G3h A3h Bb3q rq C4h Bb3h A3h G3h"))
        assert 3 in places_in(plan)
        breath = next(b for b in plan.breaths if b.after_note == 3)
        assert (breath.is_on_rest, breath.taken) == (True, 0.0)
        assert breath.start == plan.ends[3] == 7.0

    def test_small_lungs_breathe_at_short_rests_and_leave_out_nothing(self) -> None:
        """At 100 two eighth rests lie hardly two seconds apart."""
        line = "F3e A3e C4e F4e E4q D4e re C4e D4e E4e F4e G4q F4e re "
        plan = plan_of(part_of(line * 4, loud=1.0), 100, litres=1.8)
        assert not plan.left_out
        assert plan.lowest_air > COSTS.low_share
        assert {b.after_note % 6 for b in plan.breaths} == {5}

    def test_among_sixteenths_the_breath_comes_after_the_eighth(self) -> None:
        bar = "F3e G3s A3s Bb3e A3s G3s F3e G3s A3s Bb3e A3s G3s "
        plan = plan_of(part_of(bar * 8), 60, litres=2.7, ends=(0.05,) * 95)
        assert len(plan.breaths) >= 3
        assert all(k % 3 == 0 for k in places_in(plan))

    def test_time_comes_out_of_the_note_before_and_the_next_is_in_time(self) -> None:
        part = part_of("F3h G3h A3h Bb3h " * 3)
        plan = plan_of(part, litres=2.7)
        times = time_notes(part, part.at_tempo(60))
        assert plan.breaths
        for breath in plan.breaths:
            k = breath.after_note
            assert breath.next_note == times[k + 1].start
            assert plan.ends[k] == pytest.approx(times[k].end - breath.taken)
            assert not breath.is_on_rest

    def test_it_tops_off_at_a_good_place_before_half_is_gone(self) -> None:
        """Waiting for every other phrase end would leave a quarter."""
        part = part_of("F3q G3q A3q Bb3q C4h Bb3h A3q G3q A3q Bb3q G3h F3h " * 2)
        ends = tuple(0.95 if k % 12 in (5, 11) else 0.05 for k in range(23))
        plan = plan_of(part, 80, litres=4.1, ends=ends)
        assert places_in(plan) == [5, 11, 17]
        assert plan.lowest_air > 0.44

    def test_a_needless_breath_does_not_appear(self) -> None:
        part = part_of("F3q G3q A3q Bb3q C4q Bb3q A3q G3q")
        assert plan_of(part, 240, ends=(0.9,) * 7).breaths == ()

    def test_a_slur_is_broken_only_if_nothing_else_works(self) -> None:
        tune = "F3h ~G3h ~A3h Bb3h C4h ~Bb3h ~A3h G3h"
        kept = plan_of(part_of(tune), litres=3.1)
        assert kept.breaths
        assert not set(places_in(kept)) & {0, 1, 4, 5}
        endless = "F3w " + "~G3w ~F3w " * 4
        broken = plan_of(part_of(endless), litres=2.7)
        assert broken.breaths
        assert any("breaks a slur" in notice for notice in broken.notices)

    def test_there_is_never_a_breath_inside_a_tie(self) -> None:
        """A tied note is one note, so only its end can give time."""
        part = part_of("F3w G3w")
        long = replace(part.notes[0], length=beats(12))
        late = replace(part.notes[1], onset=beats(12), bar=4)
        bars = tuple(
            replace(part.bars[0], number=k + 1, onset=beats(4 * k)) for k in range(4)
        )
        plan = plan_of(replace(part, notes=(long, late), bars=bars), ends=(0.5,))
        assert places_in(plan) == [0]
        assert plan.breaths[0].start > 10.5

    def test_slower_practice_needs_more_breaths(self) -> None:
        part = part_of("F3q G3q A3q Bb3h C4q Bb3q A3q G3h F3q " * 4)
        counts = [len(plan_of(part, bpm).breaths) for bpm in (120, 80, 50)]
        assert counts[0] < counts[1] < counts[2]

    def test_a_high_note_is_not_begun_on_little_air(self) -> None:
        tune = "F3h G3h A3h Bb3h C4h {} G4h F4h"
        high = plan_of(part_of(tune.format("G4h")), 72, litres=3.1)
        assert high.high_notes_below_half == 0

    def test_a_mark_on_the_page_is_obeyed_and_told_apart(self) -> None:
        plan = plan_of(part_of("F3q G3q, A3q Bb3q C4q"), 100)
        (breath,) = plan.breaths
        assert (breath.after_note, breath.is_marked) == (1, True)
        assert not breath.is_locked
        assert breath.why == "the page has a breath mark"


class TestLocks:
    PART = part_of("F3q G3q A3q Bb3q C4q Bb3q A3q G3q F3h")

    def test_the_player_is_obeyed(self) -> None:
        plan = plan_of(self.PART, 100, locks=Locks(must=frozenset({2})))
        (breath,) = plan.breaths
        assert (breath.after_note, breath.is_locked) == (2, True)
        assert breath.why == "you ask for it"

    def test_a_forbidden_place_is_left_out(self) -> None:
        slow = plan_of(self.PART, 40, litres=2.7)
        first = slow.breaths[0].after_note
        forbidden = Locks(must_not=frozenset({first}))
        assert first not in places_in(
            plan_of(self.PART, 40, litres=2.7, locks=forbidden)
        )

    def test_what_cannot_be_is_said(self) -> None:
        fast = part_of("F3s G3s A3s Bb3s C4s, Bb3s A3q F3q")
        asked = Locks(must=frozenset({0, 6, 7}), must_not=frozenset({6}))
        plan = plan_of(fast, 120, locks=replace(asked, may_leave_out=False))
        assert plan.breaths == ()
        assert plan.notices == (
            "The breath that you ask for after bar 1, beat 1 finds no time at this "
            "tempo.",
            "You both ask for a breath after bar 1, beat 3 and forbid it; there is "
            "none.",
            "No note follows the place where you ask for a breath; there is none.",
            "The page's breath after bar 1, beat 2 finds no time at this tempo.",
        )

    def test_a_mark_after_a_note_too_short_for_it_stands_before_that_note(self) -> None:
        dotted = part_of("F3q G3q A3e. Bb3s, C4q Bb3q A3q G3h")
        plan = plan_of(dotted, 100)
        (breath,) = plan.breaths
        assert (breath.after_note, breath.why) == (
            2,
            "the page has a breath mark a note later",
        )
        (notice,) = plan.notices
        assert notice.endswith(
            "finds no time at this tempo: a note earlier one breathes."
        )
        for other in (Locks(must_not=frozenset({2})), Locks(must=frozenset({3}))):
            refused = plan_of(dotted, 100, locks=replace(other, may_leave_out=False))
            assert refused.breaths == ()
            assert refused.notices[0].endswith("finds no time at this tempo.")

    def test_a_mark_that_is_forbidden_is_no_reason_to_breathe_before_it(self) -> None:
        dotted = part_of("F3h G3h A3q. Bb3s, C4h. Bb3h A3h G3h F3h")
        forbidden = Locks(must_not=frozenset({0, 1, 3, 4, 5, 6, 7}))
        plan = plan_of(dotted, 100, litres=2.0, locks=forbidden)
        (breath,) = plan.breaths
        assert (breath.after_note, breath.why) == (2, "after the downbeat")

    def test_a_breath_that_gives_nothing_is_named(self) -> None:
        coarse = replace(COSTS, air_steps_count=3)
        plan = plan_breaths(
            set_passage(self.PART, 140, (0.1,) * 8),
            who(measured(5.0), coarse),
            Locks(must=frozenset({0})),
        )
        assert plan.breaths[0].after_note == 0
        assert plan.notices == (
            "The breath after bar 1, beat 1 is too short to give any air.",
        )


def test_a_fermata_is_breathed_at() -> None:
    part = part_of("F3q G3q A3q F3q A3h G3q F3q A3q G3q F3h")
    notes = tuple(
        replace(n, has_fermata=k == 4) if k == 4 else n
        for k, n in enumerate(part.notes)
    )
    ends = (0.1, 0.1, 0.1, 0.1, 0.2, 0.1, 0.1, 0.1, 0.1)
    assert places_in(plan_of(part, 80, litres=6.0, ends=ends)) == []
    held = replace(part, notes=notes)
    assert places_in(plan_of(held, 80, litres=6.0, ends=ends)) == [4]


class TestLeavingOut:
    """Leaving out weak notes: the way of a long run without a rest."""

    RUN = part_of("C3s D3s E3s F3s G3s F3s E3s D3s " * 24, bpm=100)
    ENDS = (0.05,) * 191

    def test_a_run_that_nothing_gentler_gets_through_leaves_out_weak_notes(
        self,
    ) -> None:
        plan = plan_of(self.RUN, 100, litres=4.5, ends=self.ENDS)
        assert plan.runs_out is None
        assert plan.left_out
        assert len(plan.left_out) <= 0.05 * len(self.RUN.notes)
        assert not any(k % 4 == 0 for k in plan.left_out)
        assert plan.notices == ()

    def test_the_note_after_is_in_time_and_the_reason_names_the_notes(self) -> None:
        plan = plan_of(self.RUN, 100, litres=4.5, ends=self.ENDS)
        times = time_notes(self.RUN, self.RUN.at_tempo(100))
        for breath in plan.breaths:
            assert breath.following == breath.left_out[-1] + 1
            assert breath.next_note == times[breath.following].start
            assert breath.why.startswith("leaving out ")
            assert breath.is_gasp

    def test_where_it_goes_without_none_is_left_out(self) -> None:
        soft = part_of("C3s D3s E3s F3s G3s F3s E3s D3s " * 4, loud=-2.0)
        assert plan_of(soft, 100, litres=4.5, ends=(0.05,) * 31).left_out == ()

    def test_the_player_may_forbid_it(self) -> None:
        locks = Locks(may_leave_out=False)
        plan = plan_of(self.RUN, 100, litres=4.5, ends=self.ENDS, locks=locks)
        assert plan.left_out == ()
        assert plan.runs_out is not None

    def test_the_player_may_keep_a_note_or_name_those_to_leave_out(self) -> None:
        first = plan_of(self.RUN, 100, litres=4.5, ends=self.ENDS).left_out[0]
        kept = Locks(kept=frozenset({first}))
        named = Locks(left_out=frozenset({41, 42}))
        plan = plan_of(self.RUN, 100, litres=4.5, ends=self.ENDS, locks=kept)
        assert first not in plan.left_out
        plan = plan_of(self.RUN, 100, litres=4.5, ends=self.ENDS, locks=named)
        by_hand = next(b for b in plan.breaths if b.left_out == (41, 42))
        assert by_hand.is_locked
        assert by_hand.why == "you ask for it"

    def test_breath_to_breath_goes_from_the_note_after_those_left_out(self) -> None:
        named = Locks(left_out=frozenset({41, 42}))
        plan = plan_of(self.RUN, 200, litres=8.0, ends=self.ENDS, locks=named)
        assert breath_to_breath(plan.breaths, 192) == ((0, 40), (43, 191))


class TestRunningOut:
    ENDLESS = part_of("Bb1w Bb1w Bb1w Bb1w", loud=3.0)

    def test_a_plan_exists_even_where_the_air_runs_out(self) -> None:
        plan = plan_of(self.ENDLESS, 30)
        assert plan.runs_out == 0
        assert plan.lowest_air == min(plan.air_after) == AIR.empty_share
        assert plan.short_l > 1.0

    def test_the_place_and_what_is_lacking_are_named(self) -> None:
        plan = plan_of(self.ENDLESS, 30)
        (notice,) = plan.notices
        assert notice.startswith("The air runs out in bar 1, beat 1, ")
        assert f"{plan.short_l:.1f} L short" in notice

    def test_breaths_may_follow_each_other_sooner_when_in_need(self) -> None:
        part = part_of("C2q " * 12, loud=3.0)
        plan = plan_of(part, 60, litres=4.0, ends=(0.3,) * 11)
        assert plan.runs_out is None
        starts = [breath.start for breath in plan.breaths]
        ends = [breath.next_note for breath in plan.breaths]
        played = [b - a for a, b in zip(ends, starts[1:], strict=False)]
        assert COSTS.soonest_in_need_s - 1e-6 <= min(played) < COSTS.soonest_s


def test_flow_times_time_is_the_air_that_goes() -> None:
    part = part_of("F3q G3h A3e Bb3q. C4h Bb3q A3h G3w")
    plan = plan_of(part, 50, litres=2.7)
    for k, time in enumerate(time_notes(part, part.at_tempo(50))):
        used = plan.flow_lps[k] * (plan.ends[k] - time.start)
        assert used / 2.7 == pytest.approx(plan.air_before[k] - plan.air_after[k])


def test_time_below_half_counts_from_where_half_is_crossed() -> None:
    part = part_of("F3w F3w")
    plan = plan_of(part, 40, ends=(0.0,), locks=Locks(must_not=frozenset({0})))
    flow = plan.flow_lps[0] / 3.4
    assert plan.below_half == pytest.approx(12.0 - 0.4 / flow)


def test_full_and_catch_breaths_are_told_apart() -> None:
    part = part_of("F3w rh F3q F3q F3q")
    plan = plan_of(part, 120, ends=(1.0, 0.1, 0.1), locks=Locks(must=frozenset({2})))
    assert [(b.after_note, b.kind) for b in plan.breaths] == [(0, "full"), (2, "catch")]


def test_a_breath_with_time_that_does_not_fill_is_called_deep_and_not_full() -> None:
    locks = Locks(must=frozenset({1}), must_not=frozenset({0}))
    (quarter,), (half,) = (
        plan_of(
            part_of(f"F3w F3h {rest} F3w"),
            100,
            litres=3.0,
            ends=(0.1, 1.0),
            locks=locks,
        ).breaths
        for rest in ("rq", "rh")
    )
    assert quarter.kind == half.kind == "full"
    assert (quarter.depth, half.depth) == ("deep", "full")
    least = AIR.full_share - COSTS.about_full_share
    assert quarter.air_after < least <= half.air_after


def test_a_tempo_change_is_planned_in_its_own_time() -> None:
    part = part_of("F3w F3h rh F3w")
    slowing = TempoMap((TempoMark(beats(0), 120.0), TempoMark(Beats(beats(4)), 40.0)))
    passage = set_passage(replace(part, tempo_map=slowing), 60.0, (0.2, 1.0))
    plan = plan_breaths(passage, who(measured(5.0)))
    last = plan.breaths[-1]
    assert last.after_note == 1
    assert last.gap == pytest.approx(3.0)


def test_one_note_alone_is_planned_too() -> None:
    plan = plan_of(part_of("F3q"), ends=())
    assert plan.breaths == ()
    assert plan.cost == 0.0


def test_effort_takes_its_air() -> None:
    part = part_of("F3q G3q A3q")
    passage = set_passage(part, 60, (0.1, 0.1)).worked((1.0, 1.2, 1.0))
    places = lay_places(passage, who(measured(5.0)))
    plain = plan_of(part, ends=(0.1, 0.1))
    worked = choose_breaths(places)
    assert worked.flow_lps[1] == pytest.approx(1.2 * plain.flow_lps[1])


@settings(max_examples=40, deadline=None)
@given(problems(most_notes=12))
def test_every_plan_holds_together(places: Places) -> None:
    plan = choose_breaths(places)
    times = places.passage.times
    assert len(plan.ends) == len(plan.air_before) == len(times)
    assert plan.air_before[0] == pytest.approx(AIR.full_share)
    taken = set(places_in(plan))
    for breath in plan.breaths:
        k = breath.after_note
        assert breath.next_note == times[breath.following].start
        assert times[k].start < breath.start <= times[k].end
        assert breath.taken <= 0.8 * (times[k].end - times[k].start) + 1e-9
        assert breath.air_before == plan.air_after[k]
        assert breath.air_after == plan.air_before[breath.following]
        assert breath.why
    for k in plan.left_out:
        assert plan.ends[k] == times[k].start
        assert plan.flow_lps[k] == 0.0
    for k in range(len(times) - 1):
        if k not in taken.union(plan.left_out):
            assert plan.ends[k] == times[k].end
            assert plan.air_before[k + 1] == pytest.approx(plan.air_after[k])
    assert plan.below_half >= 0.0
    assert (plan.runs_out is None) == (plan.short_l == 0.0)
    assert plan.lowest_air >= AIR.empty_share


GOAL = "F3e A3e C4e F4e C4e A3e F3e C3e G3e Bb3e D4e G4e D4e Bb3e G3e D3e "
GOAL += "A3e C4e E4e A4e E4e C4e A3e E3e F4h F3e A3e C4e F4e "


def test_a_goal_note_stays_a_long_note() -> None:
    """It keeps about half of itself (common practice, no published source)."""
    plan = plan_of(part_of(f"{GOAL * 2}F3w"), 100, litres=4.0)
    assert [breath.after_note for breath in plan.breaths] == [24, 53]
    assert plan.breaths[1].taken < 0.6, "of 1.2 s"


@pytest.mark.parametrize(("bpm", "litres"), [(112, 4.0), (132, 5.0)])
def test_nobody_squeezes_to_save_one_breath_of_a_run(bpm: float, litres: float) -> None:
    """The last fifth is squeezing (common practice, no published source)."""
    run = part_of("Bb2s C3s D3s Eb3s F3s Eb3s D3s C3s " * 20 + "Bb2h")
    plan = plan_of(run, bpm, litres=litres)
    assert plan.lowest_air >= COSTS.low_share
