"""How a bar is felt.  Common practice, no published source, unless one is named."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.rehearsal.click.metre_beats import bar_starts_at, divide_beat, feel_bar
from coach.score.metre import Metre
from coach.score.phrase import Bar
from coach.score.tempo import Beats, beats

FOUR_FOUR = Metre(4, 4)
QUARTER, EIGHTH, HALF, DOTTED = beats(1), beats("1/2"), beats(2), beats("3/2")


def places(metre: Metre, counted: Beats, groups: tuple[int, ...] = ()) -> list[float]:
    """Give the beats of a bar in quarter notes."""
    return [float(beat.at) for beat in feel_bar(metre, counted, groups)]


def leaned_on(
    metre: Metre, counted: Beats, groups: tuple[int, ...] = ()
) -> list[float]:
    """Give the beats that begin a group inside the bar."""
    felt = feel_bar(metre, counted, groups)
    return [float(beat.at) for beat in felt if beat.starts_group]


@pytest.mark.parametrize(
    ("metre", "counted", "expected"),
    [
        (Metre(4, 4), QUARTER, [0, 1, 2, 3]),
        (Metre(3, 4), QUARTER, [0, 1, 2]),
        (Metre(2, 2), HALF, [0, 2]),
        (Metre(3, 8), EIGHTH, [0, 0.5, 1]),
        (Metre(4, 8), EIGHTH, [0, 0.5, 1, 1.5]),
        (Metre(5, 4), QUARTER, [0, 1, 2, 3, 4]),
    ],
)
def test_simple_metres_are_felt_in_their_unit(
    metre: Metre, counted: Beats, expected: list[float]
) -> None:
    assert places(metre, counted) == expected


@pytest.mark.parametrize(
    ("metre", "expected"),
    [
        (Metre(6, 8), [0, 1.5]),
        (Metre(9, 8), [0, 1.5, 3]),
        (Metre(12, 8), [0, 1.5, 3, 4.5]),
        (Metre(6, 16), [0, 0.75]),
    ],
)
def test_compound_metres_are_felt_in_dotted_beats(
    metre: Metre, expected: list[float]
) -> None:
    assert places(metre, DOTTED) == expected


def test_a_compound_bar_whose_tempo_counts_quarters_is_still_felt_in_dotted_beats() -> (
    None
):
    """Many programs write a quarter-note tempo over any metre."""
    assert places(Metre(6, 8), QUARTER) == [0, 1.5]


def test_a_slow_compound_bar_counted_in_eighths_leans_on_each_third() -> None:
    assert places(Metre(6, 8), EIGHTH) == [0, 0.5, 1, 1.5, 2, 2.5]
    assert leaned_on(Metre(6, 8), EIGHTH) == [1.5]


def test_six_four_counted_in_dotted_halves_is_felt_in_two() -> None:
    assert places(Metre(6, 4), beats(3)) == [0, 3]


def test_six_four_counted_in_quarters_leans_on_the_fourth() -> None:
    assert places(Metre(6, 4), QUARTER) == [0, 1, 2, 3, 4, 5]
    assert leaned_on(Metre(6, 4), QUARTER) == [3]


def test_a_half_note_tempo_makes_four_four_felt_in_two() -> None:
    assert places(Metre(4, 4), HALF) == [0, 2]


def test_three_four_counted_in_whole_bars_is_felt_in_one() -> None:
    assert places(Metre(3, 4), beats(3)) == [0]


def test_a_slow_two_four_counted_in_eighths_is_clicked_in_eighths() -> None:
    assert places(Metre(2, 4), EIGHTH) == [0, 0.5, 1, 1.5]


def test_a_simple_bar_among_dotted_beats_keeps_its_unit() -> None:
    assert places(Metre(2, 4), DOTTED) == [0, 1]


@pytest.mark.parametrize(
    ("count", "expected"),
    [(5, [0, 1]), (7, [0, 1, 2]), (11, [0, 1, 2, 3, 4]), (13, [0, 1, 2, 3, 4, 5])],
)
def test_irregular_metres_go_in_twos_with_a_three_last(
    count: int, expected: list[float]
) -> None:
    felt = feel_bar(Metre(count, 8), QUARTER)
    assert [float(beat.at) for beat in felt] == expected
    assert felt[-1].units == 3


def test_the_page_says_how_an_irregular_bar_is_grouped() -> None:
    assert places(Metre(7, 8, groups=(3, 2, 2)), QUARTER) == [0, 1.5, 2.5]


def test_the_players_grouping_goes_before_the_pages() -> None:
    assert places(Metre(7, 8, groups=(3, 2, 2)), QUARTER, (2, 3, 2)) == [0, 1, 2.5]


def test_a_grouping_that_does_not_fill_the_bar_is_left_out() -> None:
    assert places(Metre(5, 8), QUARTER, (2, 2, 3)) == [0, 1]


def test_groups_of_long_units_are_leaned_on_and_every_unit_is_a_beat() -> None:
    assert places(Metre(5, 4), QUARTER, (3, 2)) == [0, 1, 2, 3, 4]
    assert leaned_on(Metre(5, 4), QUARTER, (3, 2)) == [3]


def test_groups_that_are_what_is_counted_are_beats() -> None:
    assert places(Metre(4, 4), HALF, (2, 2)) == [0, 2]


def divided(
    metre: Metre, counted: Beats, subdivision: int, groups: tuple[int, ...] = ()
) -> list[float]:
    """Give what divides the beats of a bar."""
    return [
        float(place)
        for beat in feel_bar(metre, counted, groups)
        for place in divide_beat(beat, subdivision)
    ]


def test_nothing_divides_a_beat_that_is_not_divided() -> None:
    assert divided(Metre(4, 4), QUARTER, 1) == []


def test_plain_beats_are_divided_evenly() -> None:
    assert divided(Metre(2, 4), QUARTER, 2) == [0.5, 1.5]
    assert divided(Metre(1, 4), QUARTER, 4) == [0.25, 0.5, 0.75]
    assert divided(Metre(1, 4), QUARTER, 3) == pytest.approx([1 / 3, 2 / 3])


@pytest.mark.parametrize("subdivision", [2, 3])
def test_a_dotted_beat_is_divided_into_its_three(subdivision: int) -> None:
    assert divided(Metre(6, 8), DOTTED, subdivision) == [0.5, 1, 2, 2.5]


def test_a_dotted_beat_divided_by_four_goes_in_sixteenths() -> None:
    sixteenths = divided(Metre(3, 8), DOTTED, 4)
    assert sixteenths == [0.25, 0.5, 0.75, 1.0, 1.25]


def test_unequal_beats_share_one_subdivision() -> None:
    """In 7/8 as 2+2+3 the eighths run on evenly."""
    beats_and_parts = sorted(
        [*places(Metre(7, 8), QUARTER), *divided(Metre(7, 8), QUARTER, 2)]
    )
    assert beats_and_parts == [0, 0.5, 1, 1.5, 2, 2.5, 3]


metres = st.builds(Metre, st.integers(1, 24), st.sampled_from([1, 2, 4, 8, 16, 32]))
counted_beats = st.sampled_from([QUARTER, EIGHTH, HALF, DOTTED, beats(3), beats("1/4")])


@given(metres, counted_beats)
def test_beats_fill_every_bar_without_gap_or_overlap(
    metre: Metre, counted: Beats
) -> None:
    felt = feel_bar(metre, counted)
    place = Fraction(0)
    for beat in felt:
        assert beat.at == place
        place += beat.length
    assert place == metre.length


@given(metres, counted_beats, st.integers(1, 12))
def test_what_divides_a_beat_lies_inside_it_and_is_even(
    metre: Metre, counted: Beats, subdivision: int
) -> None:
    for beat in feel_bar(metre, counted):
        parts = divide_beat(beat, subdivision)
        steps = [beat.at, *parts, beat.at + beat.length]
        gaps = {after - before for before, after in pairwise(steps)}
        assert len(gaps) == 1
        assert min(gaps) > 0


def bar(number: int, length: str, metre: Metre = FOUR_FOUR) -> Bar:
    """Make a bar; where it lies does not matter here."""
    return Bar(number, beats(0), beats(length), metre)


def gone_by(bars: list[Bar]) -> tuple[float, ...]:
    """Tell how much of each bar had gone by when it begins."""
    return tuple(map(float, bar_starts_at(bars)))


def test_a_pickup_is_the_end_of_a_bar() -> None:
    assert gone_by([bar(0, "1"), bar(1, "4")]) == (3, 0)
    assert gone_by([bar(1, "1"), bar(2, "4")]) == (3, 0)


def test_two_short_bars_around_a_repeat_sign_make_one_bar() -> None:
    assert gone_by([bar(1, "4"), bar(2, "3"), bar(2, "1"), bar(3, "4")]) == (
        0,
        0,
        3,
        0,
    )


def test_a_short_last_bar_begins_with_its_first_beat() -> None:
    assert gone_by([bar(1, "4"), bar(2, "3")]) == (0, 0)


def test_a_short_bar_does_not_complete_one_of_another_metre() -> None:
    bars = [bar(1, "4"), bar(2, "2"), bar(3, "1", Metre(3, 4))]
    assert gone_by(bars) == (0, 0, 0)


def test_a_bar_longer_than_its_metre_begins_with_its_first_beat() -> None:
    assert gone_by([bar(1, "9")]) == (0,)
