"""The air and the beat at any moment of a run."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.planning.breathing.prompts import Prompt
from coach.planning.plan import Plan
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.run.gauge import Gauge, lay_gauge
from coach.rehearsal.run.mark import mark_at
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.metre import Metre
from coach.score.tempo import Beats, Seconds, beats
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, gauge_by_hand, plan_by_hand


def two_bars() -> Plan:
    """Four quarters, a breath in a half rest, a half; then a catch before the end."""
    return plan_by_hand(
        part_of("Bb2q C3q rh D3h Eb3h"),
        [(0.9, 0.7), (0.7, 0.4), (0.9, 0.6), (0.8, 0.3)],
        (
            breath_by_hand(1, 2.0, 4.0, (0.4, 0.9)),
            breath_by_hand(2, 5.5, 6.0, (0.6, 0.8), "catch"),
        ),
        (
            Prompt(
                Seconds(-2.0), 0, 3.0, "play on, next breath in bar 1", "hold", None
            ),
            Prompt(Seconds(1.0), 1, 2.0, "breathe in 1 beat", "full", 0),
            Prompt(Seconds(4.5), 2, 1.5, "top off in 1 beat", "catch", 1),
        ),
    )


@pytest.fixture
def gauge() -> Gauge:
    return gauge_by_hand(two_bars())


@pytest.mark.parametrize(
    ("time", "air"),
    [
        (-3.0, 0.9),
        (0.0, 0.9),
        (0.5, 0.8),
        (1.0, 0.7),
        (2.0, 0.4),
        (4.0, 0.9),
        (5.5, 0.6),
        (8.0, 0.3),
        (9.0, 0.3),
    ],
)
def test_air_falls_in_a_note_and_rises_in_a_breath(
    gauge: Gauge, time: float, air: float
) -> None:
    assert gauge.level_at(Seconds(time)) == pytest.approx(air)


def test_a_breath_fills_fast_at_first(gauge: Gauge) -> None:
    early, middle = gauge.level_at(Seconds(2.6)), gauge.level_at(Seconds(3.0))
    assert 0.4 < early < middle < 0.9
    assert middle > (0.4 + 0.9) / 2


def test_a_rest_without_a_breath_gives_nothing_back() -> None:
    plan = plan_by_hand(part_of("Bb2q rq C3h"), [(0.9, 0.7), (0.7, 0.3)])
    gauge = gauge_by_hand(plan)
    assert gauge.level_at(Seconds(1.5)) == pytest.approx(0.7)
    assert gauge.note_at(Seconds(1.5)) is None


@pytest.mark.parametrize(
    ("time", "note"),
    [(-1.0, None), (0.0, 0), (1.0, 1), (2.0, None), (4.0, 2), (5.6, None), (6.0, 3)],
)
def test_the_note_that_sounds_stops_where_the_breath_takes_from_it(
    gauge: Gauge, time: float, note: int | None
) -> None:
    assert gauge.note_at(Seconds(time)) == note
    assert gauge.glance(Seconds(time)).note == note


def test_the_count_in_counts_up_to_the_first_beat(gauge: Gauge) -> None:
    counts = [gauge.glance(Seconds(time)).count for time in (-4, -3, -2, -1, -0.01, 0)]
    assert counts == [1, 2, 3, 4, 4, 0]
    assert gauge.glance(Seconds(-0.01)).is_counting_in
    assert not gauge.glance(Seconds(0)).is_counting_in


def test_in_the_count_in_the_first_bar_is_shown(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(-2.5))
    assert (glance.bar, glance.beat) == (1, 1.0)


def test_bar_beat_and_pulse_go_with_the_page(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(6.25))
    assert (glance.bar, glance.felt_beat, glance.felt_beats) == (2, 3, 4)
    assert glance.beat == pytest.approx(3.25)
    assert glance.beat_phase == pytest.approx(0.25)


def test_before_the_first_click_the_beat_stands_still(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(-9.0))
    assert (glance.felt_beat, glance.beat_phase) == (1, 0.0)


def test_after_the_end_the_run_is_over(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(8.5))
    assert glance.is_over
    assert glance.beat_phase == 1.0
    assert not gauge.glance(Seconds(7.99)).is_over


def test_six_eight_is_felt_in_two() -> None:
    part = part_of("Bb2q. C3q. D3q. Eb3q.", metre=Metre(6, 8))
    gauge = gauge_by_hand(plan_by_hand(part, [(0.9, 0.8)] * 4))
    glance = gauge.glance(Seconds(1.5))
    assert (glance.felt_beat, glance.felt_beats) == (2, 2)
    assert glance.beat == pytest.approx(5.5)
    assert glance.whole_beat == 5
    marked = mark_at(gauge.plan, MarkKind.RUSHED, Seconds(1.5))
    assert (marked.bar, marked.beat) == (glance.bar, glance.whole_beat)
    assert gauge.glance(Seconds(-1.0)).count == 2


def test_a_pickup_goes_on_counting_where_the_count_in_stops() -> None:
    part = part_of("Bb2q C3w")
    pickup = replace(
        part.bars[0],
        number=0,
        onset=beats(-1),
        length=beats(1),
        first_beat=Fraction(4),
    )
    first = replace(part.bars[1], number=1, onset=beats(0))
    notes = tuple(
        replace(note, onset=Beats(note.onset - 1), bar=k)
        for k, note in enumerate(part.notes)
    )
    plan = plan_by_hand(
        replace(part, bars=(pickup, first), notes=notes), [(0.9, 0.8), (0.8, 0.5)]
    )
    gauge = gauge_by_hand(plan)
    assert gauge.first_beat == -1.0
    assert gauge.glance(Seconds(-2.0)).count == 3
    at_pickup = gauge.glance(Seconds(-1.0))
    assert not at_pickup.is_counting_in
    assert (at_pickup.bar, at_pickup.felt_beat, at_pickup.felt_beats) == (0, 4, 4)


def test_a_track_without_a_beat_still_tells_the_time() -> None:
    plan = two_bars()
    empty = ClickTrack((), Seconds(0.0), Seconds(8.0))
    gauge = lay_gauge(plan, empty, hold_shown=Seconds(2.0), empty_air=0.0)
    glance = gauge.glance(Seconds(4.0))
    assert (glance.bar, glance.felt_beat, glance.beat_phase) == (2, 1, 0.5)


def test_a_click_that_is_only_shown_is_a_beat_all_the_same() -> None:
    gauge = gauge_by_hand(two_bars(), ClickWishes(is_sounding=False, subdivision=2))
    assert gauge.glance(Seconds(6.25)).felt_beat == 3


def test_the_next_breath_is_counted_down_in_beats(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(0.5))
    assert glance.next_breath is not None
    assert glance.next_breath.after_note == 1
    assert glance.beats_to_breath == pytest.approx(1.5)
    assert glance.air_at_next_breath == pytest.approx(0.4)
    assert not glance.is_breathing


def test_while_it_is_taken_a_breath_is_the_next_one(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(3.0))
    assert glance.is_breathing
    assert glance.next_breath is not None
    assert glance.next_breath.after_note == 1
    assert glance.beats_to_breath == 0.0


def test_when_it_is_over_the_one_after_it_comes(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(4.0))
    assert glance.next_breath is not None
    assert glance.next_breath.after_note == 2
    assert not glance.is_breathing


def test_after_the_last_breath_there_is_none(gauge: Gauge) -> None:
    glance = gauge.glance(Seconds(6.0))
    assert glance.next_breath is None
    assert glance.beats_to_breath is None
    assert glance.air_at_next_breath is None


@pytest.mark.parametrize(
    ("time", "kind"),
    [
        (-3.0, ""),
        (-2.0, "hold"),
        (-0.1, "hold"),
        (0.0, ""),
        (1.0, "full"),
        (3.9, "full"),
        (4.0, ""),
        (4.5, "catch"),
        (5.9, "catch"),
        (6.0, ""),
    ],
)
def test_a_prompt_stays_until_its_breath_is_over(
    gauge: Gauge, time: float, kind: str
) -> None:
    assert gauge.glance(Seconds(time)).prompt_kind == kind


@pytest.mark.parametrize(
    ("time", "left"),
    [
        (-1.0, 3.6),  # 0.9 of 2 L at 0.5 L/s
        (1.0, 2.8),
        (4.0, 3.6),
        (9.0, 1.2),
    ],
)
def test_what_is_left_is_told_in_seconds_of_playing_on(
    gauge: Gauge, time: float, left: float
) -> None:
    assert gauge.glance(Seconds(time)).seconds_left == pytest.approx(left)


def test_the_seconds_that_are_left_run_down_evenly_up_to_a_breath() -> None:
    """Notes take more air and less in turn, and the figure is read from afar."""
    plan = two_bars()
    flows = (0.2, 1.0, 1.0, 0.2)
    plan = replace(plan, breaths=replace(plan.breaths, flow_lps=flows))
    gauge = gauge_by_hand(plan)
    times = [Seconds(time / 10) for time in range(-10, 80)]
    shares = {
        round(glance.seconds_left / glance.air, 6)
        for glance in map(gauge.glance, times)
        if glance.air
    }
    assert len(shares) == 1 + len(plan.breaths.breaths)


@pytest.mark.parametrize("eaten_lps", [0.0, 0.4])
def test_where_a_breath_takes_a_whole_note_what_is_left_is_told_at_the_most_flow(
    eaten_lps: float,
) -> None:
    """Whoever insists on a breath after the first sixteenth has it before the page."""
    plan = two_bars()
    first = replace(plan.breaths.breaths[0], after_note=0, next_note=Seconds(1.0))
    ends = (Seconds(-0.1), *plan.breaths.ends[1:])
    breaths = replace(
        plan.breaths, breaths=(first,), ends=ends, flow_lps=(eaten_lps, 0.5, 0.6, 0.5)
    )
    gauge = gauge_by_hand(replace(plan, breaths=breaths))
    left_l = gauge.level_at(Seconds(0.5)) * plan.player.capacity_l
    assert gauge.glance(Seconds(0.5)).seconds_left == pytest.approx(left_l / 0.6)


def test_below_the_empty_level_no_second_is_left() -> None:
    plan = plan_by_hand(part_of("Bb2w"), [(0.5, -0.1)])
    gauge = lay_gauge(
        plan,
        ClickTrack((), Seconds(0.0), Seconds(4.0)),
        hold_shown=Seconds(2.0),
        empty_air=0.1,
    )
    assert gauge.glance(Seconds(0.0)).seconds_left == pytest.approx(1.6)
    assert gauge.glance(Seconds(3.9)).seconds_left == 0.0


@given(
    st.floats(-5, 9, allow_nan=False),
    st.floats(-5, 9, allow_nan=False),
)
def test_beats_from_one_moment_to_another_add_up(one: float, other: float) -> None:
    gauge = gauge_by_hand(two_bars())
    there = gauge.beats_until(Seconds(one), Seconds(other))
    assert there == pytest.approx(other - one, abs=1e-9)  # a beat a second


@given(st.floats(-5, 9, allow_nan=False))
def test_a_glance_is_always_within_its_bounds(time: float) -> None:
    plan = two_bars()
    glance = gauge_by_hand(plan).glance(Seconds(time))
    assert 0.0 <= glance.beat_phase <= 1.0
    assert 1 <= glance.felt_beat <= glance.felt_beats
    assert min(plan.breaths.air_after) <= glance.air <= max(plan.breaths.air_before)
    assert glance.beats_to_breath is None or glance.beats_to_breath >= 0.0
