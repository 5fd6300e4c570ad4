"""The fingering chart against standard ones."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import pytest

from coach.planning.instrument.valve_chart import ValveSide, lay_valve_chart

PLAIN = ValveSide(
    prefix="",
    pedal_midi=46,
    sound_mps=345.0,
    valve_semitones=(2.0, 1.0, 3.163),
    pull_cents=(0.0, 0.0, 0.0),
    compensated_by="",
    sharp_cents=60.0,
    partial_offset_cents=(0.0,) * 12,
    used_partials=(2, 3, 4, 5, 6, 8, 10, 12),
    usual_from_midi=52,
    usual_to_midi=84,
    most_alternates_count=3,
)


def cents_of(side: ValveSide, midi: int, label: str) -> float:
    places = lay_valve_chart((side,), midi, midi)[midi]
    return next(place.cents for place in places if place.label == label)


def test_valves_together_are_too_short() -> None:
    """1-3 and 1-2-3 are sharp, as every trumpeter knows; by how much, from the tube
    that each valve adds alone: 2^(s/12) - 1."""
    both = 12 * log2(1 + (2 ** (2 / 12) - 1) + (2 ** (3.163 / 12) - 1))
    assert cents_of(PLAIN, 53, "13") == pytest.approx(100 * (5 - both))
    assert 10 < cents_of(PLAIN, 53, "13") < cents_of(PLAIN, 52, "123")


def test_second_and_third_together_are_in_tune() -> None:
    assert cents_of(PLAIN, 54, "23") == pytest.approx(0.0, abs=0.1)


def test_a_pulled_slide_mends_what_is_sharp_and_no_more() -> None:
    pulled = replace(PLAIN, pull_cents=(5.0, 0.0, 20.0))
    assert cents_of(pulled, 53, "13") == 0.0
    assert cents_of(pulled, 52, "123") == pytest.approx(
        cents_of(PLAIN, 52, "123") - 25.0
    )


def test_a_compensating_valve_brings_the_missing_tube() -> None:
    """With the third down and compensating, 1-3 is as exact as each valve alone."""
    compensating = replace(PLAIN, valve_semitones=(2.0, 1.0, 3.0), compensated_by="3")
    assert cents_of(compensating, 53, "13") == pytest.approx(0.0, abs=1e-9)
    assert cents_of(compensating, 52, "123") == pytest.approx(10.7, abs=0.1)


def test_too_sharp_a_fingering_is_not_offered() -> None:
    strict = replace(PLAIN, sharp_cents=30.0)
    assert 52 not in lay_valve_chart((strict,), 52, 52)


def test_the_tube_is_as_long_as_its_pedal_asks() -> None:
    """c / 2f at 345 m/s and B flat 2, 116.5 Hz."""
    assert PLAIN.length_cm == pytest.approx(148.0, abs=0.1)


def test_a_double_horn_changes_sides_where_it_is_told() -> None:
    low = replace(PLAIN, usual_to_midi=60, pedal_midi=41)
    high = replace(PLAIN, prefix="T", usual_from_midi=61)
    chart = lay_valve_chart((low, high), 53, 77)
    assert chart[60][0].label == "0"
    assert chart[61][0].label.startswith("T")
    assert any(place.label.startswith("T") for place in chart[58][1:])


def test_no_more_alternates_than_asked() -> None:
    chart = lay_valve_chart((replace(PLAIN, most_alternates_count=1),), 52, 84)
    assert max(len(places) for places in chart.values()) == 2
    assert all(places[1:] == () or places[1].is_alternate for places in chart.values())
