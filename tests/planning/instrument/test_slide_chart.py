"""The position chart against published tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import log2

import pytest

from coach.planning.instrument.placement import Placement
from coach.planning.instrument.slide_chart import SlideTube, SlideValve, lay_slide_chart
from coach.score.note import Pitch

TENOR = SlideTube(
    pedal_midi=34,
    sound_mps=345.0,
    reach_cm=67.0,
    farthest_steps=7,
    lip_up_cents=15.0,
    sign_cents=15.0,
    valve_usual_from_steps=6,
    partial_offset_cents=(0.0,) * 16,
    usual_partials=(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16),
    spare_partials=(11,),
)
F_VALVE = SlideValve("T", 5.0, 6, (1, 2, 3, 4, 6, 8))

Chart = Mapping[int, tuple[Placement, ...]]

# OEIS A309909, after K. W. Kennan, The Technique of Orchestration (1952), pp. 136-141:
# "chromatic scale on a tenor trombone with each term being the lowest trombone
# position", from E1.  That it leaves out B1 to E flat 2, which have no position, is
# our reading.
A309909 = (
    *(7, 6, 5, 4, 3, 2, 1, 7, 6, 5, 4, 3, 2, 1, 7, 6, 5, 4, 3, 2, 1, 5, 4, 3, 2, 1),
    *(4, 3, 2, 1, 3, 2, 1, 3, 2, 3, 2, 1, 2, 1, 2, 1, 2, 2, 1),
)


@pytest.fixture(scope="module")
def chart() -> Chart:
    return lay_slide_chart(TENOR, (), 28, 82)


@pytest.fixture(scope="module")
def f_chart() -> Chart:
    return lay_slide_chart(TENOR, (F_VALVE,), 28, 82)


def key(name: str) -> int:
    alter = name[1:-1].count("#") - name[1:-1].count("b")
    return Pitch(int(name[-1]), name[0], alter).midi


def test_every_note_has_the_published_lowest_position(chart: Chart) -> None:
    keys = [k for k in range(key("E1"), key("F5") + 1) if k in chart]
    assert tuple(min(p.number for p in chart[k]) for k in keys) == A309909


def test_nothing_lies_between_the_pedals_and_the_second_partial(chart: Chart) -> None:
    missing = set(range(key("E1"), key("Bb5") + 1)) - set(chart)
    assert missing == set(range(key("B1"), key("E2")))


def test_positions_lie_where_equal_temperament_puts_them(chart: Chart) -> None:
    """x = (L / 2)(2^((k - 1)/12) - 1) with L = 2.96 m, computed by hand."""
    slides = [chart[k][0].cm for k in range(key("Bb2"), key("D#2"), -1)]
    assert slides == pytest.approx([0, 8.8, 18.1, 28.0, 38.5, 49.6, 61.3], abs=0.05)


# Partials of each position as on any position chart of the tenor trombone; from memory.
# The first is the usual one.
CHART = {
    "E2": ["7/2"],
    "Bb2": ["1/2"],
    "B2": ["7/3"],
    "E3": ["2/3", "7/4"],
    "F3": ["1/3", "6/4"],
    "F#3": ["5/4"],
    "Ab3": ["3/4", "7/5"],
    "A3": ["2/4", "6/5"],
    "Bb3": ["1/4", "5/5"],
    "B3": ["4/5", "7/6"],
    "C4": ["3/5", "6/6"],
    "C#4": ["2/5", "5/6"],
    "D4": ["1/5", "4/6", "7/7"],
    "Eb4": ["3/6", "6/7"],
    "E4": ["2/6", "5/7", "7/8"],
    "F4": ["1/6", "4/7", "6/8"],
    "F#4": ["3/7", "5/8", "7/9"],
    "G4": ["2/7", "4/8", "6/9"],
    "Ab4": ["3/8", "5/9", "7/10"],
    "A4": ["2/8", "4/9", "6/10"],
    "B4": ["2/9", "4/10"],
    "C5": ["1/9", "3/10"],
    "C#5": ["2/10", "4/11"],
    "D5": ["1/10", "3/11"],
    "E5": ["2/12"],
    "F5": ["1/12"],
}


@pytest.mark.parametrize("name", CHART)
def test_places_are_those_of_the_standard_chart(chart: Chart, name: str) -> None:
    found = [f"{p.number}/{p.partial}" for p in chart[key(name)]]
    assert found[: len(CHART[name])] == CHART[name]


def test_only_the_first_place_is_the_usual_one(chart: Chart) -> None:
    assert [place.is_alternate for place in chart[key("F4")]] == [False, True, True]


def test_seventh_partial_comes_in_from_its_position(chart: Chart) -> None:
    """It is 31 cents flat: F sharp, G and F are raised 3, 2 and 4."""
    labels = {name: [p.label for p in chart[key(name)]] for name in ("F#4", "G4", "F4")}
    assert labels["F#4"][0] == "#3"
    assert labels["G4"][0] == "#2"
    assert labels["F4"] == ["1", "#4", "6"]


def test_a_sharp_partial_goes_out_from_its_position() -> None:
    """On many horns the sixth partial is sharp: D4 is then a lowered fourth."""
    sharp = replace(TENOR, partial_offset_cents=(0.0,) * 5 + (20.0,) + (0.0,) * 10)
    places = lay_slide_chart(sharp, (), key("D4"), key("D4"))[key("D4")]
    assert [place.label for place in places] == ["1", "b4", "#7"]


def test_fifth_partial_in_first_is_lipped_up(chart: Chart) -> None:
    """-13.7 cents, the harmonic series: the slide cannot come further in."""
    first = chart[key("D4")][0]
    assert (first.cm, first.label) == (0.0, "1")
    assert first.cents == pytest.approx(-13.69, abs=0.01)


@pytest.mark.parametrize(("name", "partial"), [("Ab4", 7), ("E5", 11)])
def test_no_flat_partial_is_played_in_first(
    chart: Chart, name: str, partial: int
) -> None:
    assert partial not in [place.partial for place in chart[key(name)]]


def test_every_place_sounds_in_tune(chart: Chart) -> None:
    """The tube with the slide out sounds its partial: f = n c / (2 (L + 2x))."""
    for midi, places in chart.items():
        for place in places:
            assert place.cm is not None
            assert place.partial is not None
            metres = (TENOR.length_cm + 2 * place.cm) / 100
            hertz = place.partial * 345.0 / (2 * metres)
            asked = 440.0 * 2 ** ((midi - 69 + place.cents / 100) / 12)
            assert hertz == pytest.approx(asked, rel=1e-9)


# Slide with the F attachment, cm from first and where that lies on the open horn,
# counted in positions: equal-tempered geometry with a tube 2^(5/12) as long.
TRIGGER = {
    "T1": (0.0, 1.0),
    "T2": (11.7, 2.32),
    "T3": (24.2, 3.62),
    "T4": (37.4, 4.90),
    "T5": (51.4, 6.16),
    "T6": (66.2, 7.40),
}


def test_the_f_attachment_has_six_longer_positions(f_chart: Chart) -> None:
    for step, (label, (cm, position)) in enumerate(TRIGGER.items()):
        places = {p.label: p for p in f_chart[key("F2") - step]}
        out = places[label].cm
        assert out == pytest.approx(cm, abs=0.05)
        assert out is not None
        on_open = 1 + 12 * log2(1 + 2 * out / TENOR.length_cm)
        assert on_open == pytest.approx(position, abs=0.006)


def test_low_c_and_b_are_played_near_with_the_f_attachment(f_chart: Chart) -> None:
    usual = {name: f_chart[key(name)][0].label for name in ("F2", "E2", "C3", "B2")}
    assert usual == {"F2": "T1", "E2": "T2", "C3": "T1", "B2": "T2"}


def test_a_valve_is_not_usual_where_the_open_horn_is_near(f_chart: Chart) -> None:
    for name in ("D3", "F3", "Bb3", "F4"):
        assert not f_chart[key(name)][0].valves


def test_a_valve_that_only_leads_further_out_is_left_out(f_chart: Chart) -> None:
    assert [p.label for p in f_chart[key("Bb2")]] == ["1"]
    assert [p.label for p in f_chart[key("B3")]] == ["4", "T2", "7"]


def test_the_slide_ends_where_it_ends() -> None:
    short = replace(TENOR, reach_cm=50.0)
    assert key("E2") not in lay_slide_chart(short, (), 28, 82)
