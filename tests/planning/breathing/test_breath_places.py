"""Every way to breathe in a gap: out of the rest, or out of the note before."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.air.air import refill
from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breaths import choose_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.ways.breath_draws import ANY_DEPTH
from coach.planning.breathing.ways.choose_ways import Allowed, choose_ways
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import AIR, COSTS, lay, problems


def places_of(
    words: str, bpm: float = 60.0, *, end: float = 0.5, litres: float = 5.0
) -> Places:
    part = part_of(words)
    ends = [end] * (len(part.notes) - 1)
    return lay(part, bpm=bpm, ends=ends, player=measured(litres))


def test_a_rest_is_used_whole_and_takes_nothing() -> None:
    (ways,) = places_of("F3h rh F3w").ways
    assert [(way.gap_s, way.taken_s) for way in ways] == [(2.0, 0.0)]
    assert ways[0].is_on_rest
    assert not ways[0].is_gasp


def test_a_short_rest_may_be_lengthened_out_of_the_note_before() -> None:
    (ways,) = places_of("F3h re F3w").ways
    assert ways[0].taken_s == 0.0
    assert all(way.gap_s == pytest.approx(0.5 + way.taken_s) for way in ways)
    calm = [way.cost for way in ways if not way.is_gasp]
    assert calm == sorted(calm)


def test_a_sip_on_a_short_rest_is_no_more_worth_than_out_of_a_note() -> None:
    """Who has air enough lets an eighth rest pass, and breathes on a half rest."""
    short, long = (places_of(f"F3h {rest} F3w", 120).ways[0] for rest in ("re", "rh"))
    assert short[0].is_on_rest
    assert short[0].worth_depth > AIR.half_share - AIR.full_share
    assert {way.worth_depth for way in long if way.is_on_rest} == {ANY_DEPTH}


def test_an_eighth_among_sixteenths_may_be_cut_further_than_one_of_them() -> None:
    """Common practice, no published source: it is breathed after, be it ever so short.

    At 108 an eighth lasts as long as a sixteenth at 54.
    """
    bpm = 54
    among = places_of("F3s G3s A3e G3s F3s G3s", 2 * bpm)
    even = places_of("F3s G3s A3s G3s F3s G3s", bpm)
    longest = [max(way.gap_s for way in at[2]) for at in (among.ways, even.ways)]
    lasts_s = 15 / bpm
    assert longest == pytest.approx(
        [lasts_s - COSTS.least_heard_longer_s, lasts_s - COSTS.least_heard_s]
    )
    assert not any(among.ways[:2])
    assert not any(among.ways[3:])


def test_without_a_rest_the_note_before_gives_the_time() -> None:
    places = places_of("F3q F3q")
    (ways,) = places.ways
    lengths = sorted({way.gap_s for way in ways})
    assert len(lengths) == COSTS.most_ways_count
    assert lengths[-1] == pytest.approx(COSTS.most_taken_share)
    for way in ways:
        assert way.taken_s == way.gap_s
        assert way.sounding_s == pytest.approx(1.0 - way.taken_s)
        assert way.used == pytest.approx(places.notes[0].used * way.sounding_s)


def test_a_gasp_gives_more_in_the_same_time_and_costs_more() -> None:
    ways = places_of("F3q F3q").ways[0][:2]
    calm, gasp = ways
    assert calm.gap_s == gasp.gap_s < COSTS.full_from_s
    assert (calm.is_gasp, gasp.is_gasp) == (False, True)
    assert gasp.still_empty < calm.still_empty
    assert gasp.cost == pytest.approx(calm.cost + COSTS.gasp_weight)


def test_who_has_time_for_a_full_breath_hardly_gasps() -> None:
    """The longer it is, the more it costs: nobody gasps for a second."""
    calm, gasp = places_of("F3q re F3q", 30).ways[0][:2]
    assert (calm.is_gasp, gasp.is_gasp) == (False, True)
    assert calm.gap_s == gasp.gap_s > COSTS.full_from_s
    longer = gasp.gap_s / COSTS.full_from_s
    assert gasp.cost == pytest.approx(calm.cost + COSTS.gasp_weight * longer)


@given(st.floats(0.9, 1.1), st.sampled_from("hqes"))
def test_a_little_more_tempo_takes_only_a_little_of_a_breath(
    factor: float, length: str
) -> None:
    """There is no tempo at which a place is lost all at once, but at nothing left."""
    words = f"F3{length} F3{length}"
    slow, fast = (places_of(words, bpm).ways[0] for bpm in (60.0, 60.0 * factor))
    deep = [
        min((way.still_empty for way in ways), default=0.84) for ways in (slow, fast)
    ]
    assert abs(deep[0] - deep[1]) <= 0.9 * abs(factor - 1.0) + 1e-9


@given(st.floats(20.0, 200.0), st.sampled_from("whqes"), st.floats(0.5, 9.0))
def test_no_breath_is_tried_that_a_shorter_and_cheaper_one_outdoes(
    bpm: float, length: str, litres: float
) -> None:
    """A gasp that gives more than a longer calm breath, for no more, leaves it none."""
    (ways,) = places_of(f"F3{length} F3{length}", bpm, litres=litres).ways
    for shorter, longer in combinations(ways, 2):
        assert not (
            shorter.gap_s < longer.gap_s
            and shorter.cost <= longer.cost
            and shorter.still_empty <= longer.still_empty
            and shorter.worth_depth <= longer.worth_depth
        )


def test_a_quick_breath_outdoes_a_longer_calm_one() -> None:
    """Out of an eighth at 60: for less it gives more, and the note is heard longer."""
    (ways,) = places_of("F3e F3e").ways
    calm = {way.gap_s for way in ways if not way.is_gasp}
    assert max(calm) < max(way.gap_s for way in ways)


def test_every_breath_off_a_rest_can_be_worth_it() -> None:
    (ways,) = places_of("F3e F3q", bpm=100).ways
    least = min((way for way in ways if way.is_gasp), key=lambda way: way.gap_s)
    assert (1.0 - AIR.half_share) * (1.0 - least.still_empty) >= COSTS.worth_share


def test_a_note_too_short_to_spare_anything_has_no_place_after_it() -> None:
    assert places_of("F3s F3s", bpm=90).ways == ((),)


def test_after_a_breath_something_is_played_before_the_next() -> None:
    """2.5 s: at 60, two quarters and what a short breath leaves of the third."""
    places = places_of("F3q " * 6)
    assert places.ripe_from == (-1, -1, 0, 1, 2)
    assert places.in_need().ripe_from == (-1, 0, 1, 2, 3)
    assert places.in_need(2).ripe_from == (-1, -1, 1, 2, 3)


def test_a_long_note_is_no_worse_a_place_for_the_time_that_it_could_give() -> None:
    """3 s: after the shortest breath 2.5 s are played, after the longest 1.2 s."""
    assert places_of("F3h. F3h. F3h.").ripe_from == (0, 1)
    assert places_of("F3q. F3q. F3q.").ripe_from == (-1, 0)
    assert places_of("F3h F3h F3h").ripe_from == (-1, 0)


def test_the_end_of_a_slow_line_may_follow_a_breath_sooner() -> None:
    """1.8 s: at 72, two quarters and what is left of the third; a fast line may not."""
    slow = places_of("F3q " * 6, 72, end=0.9)
    assert slow.ripe_from == (-1, -1, 0, 1, 2)
    assert places_of("F3q " * 6, 72, end=0.4).ripe_from == (-1, -1, -1, 0, 1)
    assert all(gap.going_on_cost for gap in slow.gaps)
    fast = places_of("F3e " * 8, 144, end=0.9)
    assert fast.ripe_from == places_of("F3e " * 8, 144, end=0.4).ripe_from


def test_who_is_too_full_at_a_phrase_end_pays_no_more_than_a_breath_there() -> None:
    """Else larger lungs, which are full for longer, would cost more."""
    places = places_of("F3q F3q F3q F3q", end=1.0)
    for gap, ways, costs in zip(
        places.gaps, places.ways, places.too_full_cost, strict=True
    ):
        assert costs == min(way.cost for way in ways) < gap.going_on_cost
    assert places_of("F3s F3s", bpm=90, end=1.0).too_full_cost == (0.0,)


def filled_from(words: str, *, end: float, bpm: float = 60.0) -> float:
    """Tell what a breath before the last note gives at least where it fills up."""
    *_, ways = places_of(words, bpm, end=end).ways
    return AIR.full_share - AIR.half_share + min(way.worth_depth for way in ways)


def test_at_the_end_of_a_slow_line_one_fills_up_with_more_air_left() -> None:
    run = "F3s " * 7 + "F3q F3q"
    assert filled_from("F3h F3h", end=0.9) == pytest.approx(COSTS.worth_at_end_share)
    assert filled_from("F3h F3h", end=0.4) == pytest.approx(COSTS.worth_share)
    assert filled_from(run, end=0.9, bpm=120) == pytest.approx(COSTS.worth_share)


def test_at_the_end_of_a_slow_line_a_short_breath_gives_as_much_as_anywhere() -> None:
    anywhere, at_end = (
        min(places_of("F3h F3h", end=end).ways[0], key=lambda way: way.gap_s)
        for end in (0.4, 0.9)
    )
    assert (1.0 - at_end.still_empty) * (0.5 + at_end.worth_depth) >= 0.08 - 1e-9
    assert at_end.gap_s == anywhere.gap_s


def test_a_long_rest_is_open_to_everybody() -> None:
    assert places_of("F3q F3q rq F3q F3q").ripe_from == (-1, 1, 1)


def test_a_short_rest_is_open_sooner_than_a_note() -> None:
    """At 60 after 1.0 s of playing and what a breath there may take: two quarters."""
    assert places_of("F3q F3q re F3q F3q").ripe_from == (-1, 0, 0)
    assert places_of("F3q F3q rs F3q F3q", bpm=100).ripe_from == (-1, -1, -1)


def test_a_short_note_between_two_rests_needs_one_breath() -> None:
    """Half a second lies between them; who is in need breathes at both."""
    places = places_of("F3h F3h rq F3e rq F3h")
    assert places.ripe_from[1:3] == (1, 1)
    assert places.in_need().ripe_from[1:3] == (1, 2)


def test_a_staccato_note_lends_its_silence() -> None:
    """Its sound is over by then, so little of it is lost."""
    part = part_of("F3q F3q")
    dotted = tuple(
        replace(note, articulations=frozenset({"staccato"})) for note in part.notes
    )
    short = lay(
        replace(part, notes=dotted), bpm=60.0, ends=[0.5], player=measured(5.0)
    ).ways[0]
    long = {(way.gap_s, way.is_gasp): way.cost for way in places_of("F3q F3q").ways[0]}
    both = [way for way in short if (way.gap_s, way.is_gasp) in long]
    assert both
    assert all(way.cost < long[way.gap_s, way.is_gasp] for way in both)


def test_a_surer_phrase_end_makes_a_breath_cheaper() -> None:
    unsure, sure = (places_of("F3q F3q", end=end).ways[0][0] for end in (0.2, 0.9))
    assert sure.cost < unsure.cost


def test_an_unused_rest_costs_a_little_where_a_phrase_ends() -> None:
    assert places_of("F3q rq F3q", end=1.0).gaps[0].going_on_cost > 0.0
    fast = places_of("F3s F3s", end=1.0)
    assert fast.gaps[0].going_on_cost == 0.0


def test_a_phrase_of_a_slow_line_invites_a_breath_and_of_a_fast_one_not() -> None:
    slow, fast = (
        places_of("F3q F3q F3q F3q", bpm, end=0.9).gaps[2].going_on_cost
        for bpm in (60, 260)
    )
    assert slow > 0.5
    assert fast == 0.0
    assert places_of("F3q F3q F3q", end=0.1).gaps[1].going_on_cost == 0.0


def test_one_line_of_eighths_does_not_make_a_slow_tune_a_fast_one() -> None:
    quarters, eighths = "F3q " * 8, "F3e " * 8
    slow, ornate, quick = (
        places_of(line + "F3q", 80, end=0.9).gaps[15].going_on_cost
        for line in (quarters * 2, quarters + eighths, eighths * 2)
    )
    assert ornate == slow
    assert quick < slow / 2


class TestLocks:
    PLACES = places_of("F3q F3q, F3q F3s F3s F3q", bpm=90)

    def choose(self, must: set[int], must_not: set[int]) -> Allowed:
        return choose_ways(self.PLACES, Locks(frozenset(must), frozenset(must_not)))

    def test_a_mark_on_the_page_is_obeyed(self) -> None:
        allowed = self.choose(set(), set())
        assert allowed.forced == (False, True, False, False, False)
        assert allowed.impossible == ()

    def test_the_player_goes_before_the_page(self) -> None:
        allowed = self.choose(set(), {1})
        assert not any(allowed.forced)
        assert allowed.ways[1] == ()
        assert allowed.impossible == ()

    def test_a_breath_that_is_asked_for_is_taken(self) -> None:
        assert self.choose({2}, set()).forced == (False, True, True, False, False)

    def test_what_cannot_be_is_named(self) -> None:
        """No time, both asked for and forbidden, after the last note, nowhere."""
        allowed = self.choose({0, 4, 5, -1, 99}, {0, 77})
        assert allowed.impossible == (-1, 0, 4, 5, 99)
        assert allowed.forced == (False, True, False, False, False)

    def test_who_asks_for_a_breath_may_swallow_the_note_before(self) -> None:
        slow = places_of("F3s F3s F3q", bpm=60)
        assert slow.ways[0] == ()
        (way,) = choose_ways(slow, Locks(frozenset({0}))).ways[0]
        assert way.gap_s == pytest.approx(0.8 * 0.25)

    def test_where_there_is_no_time_a_weak_note_is_left_out(self) -> None:
        allowed = self.choose({3}, set())
        assert allowed.impossible == (3,)
        run = places_of("F3s G3s A3s G3s F3q", bpm=90, end=0.1)
        (ways, *_), forced = (
            choose_ways(run, Locks(frozenset({0}))).ways,
            choose_ways(run, Locks(frozenset({0}))).forced,
        )
        assert forced[0]
        assert {way.left_out for way in ways} == {1}

    def test_notes_named_by_hand_are_left_out(self) -> None:
        run = places_of("F3s G3s A3s G3s F3q F3q", bpm=90, end=0.9)
        allowed = choose_ways(run, Locks(left_out=frozenset({1, 2})))
        assert allowed.forced == (True, False, False, False, False)
        assert {way.left_out for way in allowed.ways[0]} == {2}
        for impossible in ({0}, {5}):
            locks = Locks(left_out=frozenset(impossible))
            assert choose_ways(run, locks).impossible == (min(impossible) - 1,)

    def test_a_note_by_hand_may_leave_hardly_any_time(self) -> None:
        fast = places_of("F3s F3s F3s", bpm=240)
        (ways, _) = choose_ways(fast, Locks(left_out=frozenset({1}))).ways
        assert [way.left_out for way in ways] == [1]

    def test_no_note_is_left_out_across_a_breath_asked_for_or_refused(self) -> None:
        run = places_of("F3s G3s A3s G3s F3s G3s A3s G3s F3q", bpm=60, end=0.1)
        gaps = frozenset(range(8))
        free = Locks()
        plain = choose_ways(run, free).with_fewer_notes(run, free, gaps)
        assert {way.left_out for way in plain.ways[0]} == {1, 2, 3}
        refused = Locks(must_not=frozenset({2}))
        fewer = choose_ways(run, refused).with_fewer_notes(run, refused, gaps)
        assert {way.left_out for way in fewer.ways[0]} == {1}
        asked = Locks(must=frozenset({1}))
        other = choose_ways(run, asked).with_fewer_notes(run, asked, gaps)
        assert {way.left_out for way in other.ways[0]} == {1}
        never = Locks(may_leave_out=False)
        assert not any(choose_ways(run, never).with_fewer_notes(run, never, gaps).ways)

    def test_a_note_named_by_hand_is_never_played_for_another_breath(self) -> None:
        """The breath asked for leaves out notes up to one by hand, or with it."""
        run = places_of("D4s E4s F4s E4s " * 3, bpm=100, end=0.05, litres=2.5)
        for must, hand, expected in (
            (1, 4, [(1, (2,)), (3, (4,))]),
            (8, 10, [(8, (9, 10))]),
            (6, 8, [(7, (8,))]),
        ):
            locks = Locks(must=frozenset({must}), left_out=frozenset({hand}))
            plan = choose_breaths(run, locks)
            assert [(b.after_note, b.left_out) for b in plan.breaths] == expected
            assert bool(plan.notices) is (must not in (k for k, _ in expected))


def gliding(words: str, note: int, bpm: float, *, end: float = 0.9) -> Places:
    """Lay out a part in which a glissando leads on from a note."""
    part = part_of(words)
    notes = tuple(
        replace(n, articulations=frozenset({"glissando"})) if k == note else n
        for k, n in enumerate(part.notes)
    )
    ends = [end] * (len(notes) - 1)
    return lay(replace(part, notes=notes), bpm=bpm, ends=ends, player=measured(2.7))


class TestGlissandi:
    """The sound goes on from one note to the next: common practice, no source."""

    def test_no_breath_tears_one_though_it_is_the_best_place(self) -> None:
        line = "F3h G3h D4h C4h F3h G3h"
        free = choose_breaths(places_of(line, litres=2.7, end=0.9))
        for place in free.own_places:
            held = choose_breaths(gliding(line, place, 60))
            assert held.breaths
            assert place not in held.own_places

    @pytest.mark.parametrize("line", ["F3h D4h F4h F3h", "F3s D4s F4s F3s"])
    def test_who_asks_for_one_there_is_told(self, line: str) -> None:
        plan = choose_breaths(gliding(line, 1, 60), Locks(must=frozenset({1})))
        assert 1 not in (breath.after_note for breath in plan.breaths)
        assert plan.notices[0].endswith("would tear a glissando; there is none.")

    def test_nor_are_notes_left_out_after_its_first(self) -> None:
        places = gliding("F3s G3s A3s G3s F3s G3s A3s G3s F3q", 4, 90, end=0.1)
        every = frozenset(range(8))
        allowed = choose_ways(places, Locks())
        ways = allowed.with_fewer_notes(places, Locks(), every).ways
        assert {way.left_out for way in ways[0]} >= {1}
        assert ways[4] == ()


@settings(max_examples=40, deadline=None)
@given(problems(most_notes=8))
def test_breaths_fill_as_the_air_model_says_down_to_a_whole_step(
    places: Places,
) -> None:
    for ways in places.ways:
        for way in ways:
            for depth in (-0.39, -0.2, 0.0, 0.17, 0.4, 0.7):
                level = places.lungs.half - places.lungs.breathe(depth, way.still_empty)
                level_before = places.lungs.half - depth
                air = places.breather.air
                exact = refill(level_before, way.gap_s, air, is_gasp=way.is_gasp)
                assert exact - 0.01 - 1e-9 < level <= exact + 1e-9
                assert level * 100 == pytest.approx(round(level * 100))
