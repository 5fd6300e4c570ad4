"""Score time to run time and back."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.score.tempo import Beats, Seconds, Tempo, TempoMap, TempoMark, beats

PLACES = st.fractions(-8, 400, max_denominator=48)
SPEEDS = st.floats(10, 600)
STRETCHES = st.lists(PLACES, min_size=2, max_size=2, unique=True).map(sorted)


@st.composite
def tempo_maps(draw: st.DrawFn) -> TempoMap:
    places = draw(st.lists(PLACES, min_size=1, max_size=6, unique=True))
    return TempoMap(
        tuple(TempoMark(Beats(place), draw(SPEEDS)) for place in sorted(places))
    )


def test_a_dotted_beat_counts_for_a_quarter_and_a_half() -> None:
    assert Tempo(60, beats("3/2")).quarters_per_minute == 90


def test_a_beat_after_a_tempo_change_comes_at_the_new_speed() -> None:
    slow_then_fast = TempoMap((TempoMark(beats(0), 60), TempoMark(beats(4), 120)))
    assert slow_then_fast.seconds_at(beats(3)) == 3.0
    assert slow_then_fast.seconds_at(beats(6)) == 5.0
    assert slow_then_fast.quarters_per_minute_at(beats("7/2")) == 60
    assert slow_then_fast.quarters_per_minute_at(beats(4)) == 120


def test_a_pickup_comes_before_second_zero_at_the_first_speed() -> None:
    steady = TempoMap((TempoMark(beats(0), 120),))
    assert steady.seconds_at(beats(-1)) == -0.5
    assert steady.quarters_per_minute_at(beats(-1)) == 120
    assert steady.beats_at(Seconds(-0.5)) == -1.0


def test_a_mark_in_the_pickup_leaves_zero_at_bar_one() -> None:
    early = TempoMap((TempoMark(beats(-2), 60), TempoMark(beats(0), 120)))
    assert early.seconds_at(beats(0)) == 0.0
    assert early.seconds_at(beats(-2)) == -2.0


@settings(deadline=None)
@given(tempo_maps(), PLACES)
def test_seconds_add_up_stretch_by_stretch(
    tempo_map: TempoMap, place: Fraction
) -> None:
    """Brute force: walk in small exact stretches that never cross a mark."""
    edges = sorted({Fraction(0), place, *(mark.at for mark in tempo_map.marks)})
    low, high = min(place, Fraction(0)), max(place, Fraction(0))
    seconds = sum(
        float(b - a) * 60 / tempo_map.quarters_per_minute_at(Beats(a))
        for a, b in pairwise(edges)
        if low <= a and b <= high
    )
    expected = seconds if place >= 0 else -seconds
    assert tempo_map.seconds_at(Beats(place)) == pytest.approx(expected, abs=1e-9)


@settings(deadline=None)
@given(tempo_maps(), PLACES)
def test_the_inverse_leads_back(tempo_map: TempoMap, place: Fraction) -> None:
    back = tempo_map.beats_at(tempo_map.seconds_at(Beats(place)))
    assert back == pytest.approx(float(place), abs=1e-6)


@settings(deadline=None)
@given(tempo_maps(), STRETCHES)
def test_later_places_come_later(tempo_map: TempoMap, stretch: list[Fraction]) -> None:
    a, b = stretch
    assert tempo_map.seconds_at(Beats(a)) < tempo_map.seconds_at(Beats(b))


@settings(deadline=None)
@given(tempo_maps(), PLACES, st.floats(0.25, 4))
def test_twice_as_fast_takes_half_the_time(
    tempo_map: TempoMap, place: Fraction, factor: float
) -> None:
    fast = tempo_map.faster(factor)
    slow_s, fast_s = tempo_map.seconds_at(Beats(place)), fast.seconds_at(Beats(place))
    assert fast_s * factor == pytest.approx(slow_s, abs=1e-6)


@settings(deadline=None)
@given(tempo_maps(), STRETCHES, st.fractions(0, 1, max_denominator=16))
def test_a_stretch_takes_as_long_as_in_its_piece(
    tempo_map: TempoMap, ends: list[Fraction], share: Fraction
) -> None:
    a, b = ends
    stretch = tempo_map.shifted(Beats(a), Beats(b))
    inside = share * (b - a)
    expected = tempo_map.seconds_at(Beats(a + inside)) - tempo_map.seconds_at(Beats(a))
    assert stretch.seconds_at(Beats(inside)) == pytest.approx(expected, abs=1e-6)


def test_a_map_must_be_able_to_tell_the_time() -> None:
    with pytest.raises(ValueError, match="at least one"):
        TempoMap(())
    with pytest.raises(ValueError, match="greater than 0"):
        TempoMap((TempoMark(beats(0), 0),))
    with pytest.raises(ValueError, match="increasing order"):
        TempoMap((TempoMark(beats(1), 60), TempoMark(beats(1), 90)))
