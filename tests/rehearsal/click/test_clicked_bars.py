"""Which bars are clicked before and while playing."""

from __future__ import annotations

from coach.rehearsal.click.clicked_bars import ClickedBar, clicked_bars
from coach.score.metre import Metre
from coach.score.phrase import Bar
from coach.score.tempo import beats

FOUR = Metre(4, 4)


def page(*lengths: int, first_number: int = 1, start: int = 0) -> list[Bar]:
    """Make bars of so many quarters each."""
    bars, place = [], start
    for k, length in enumerate(lengths):
        bars.append(Bar(first_number + k, beats(place), beats(length), FOUR))
        place += length
    return bars


def shown(bars: tuple[ClickedBar, ...]) -> list[tuple[str, int, float, float]]:
    """Give role, number, and from where to where each bar is clicked."""
    return [
        (bar.role, bar.number, float(bar.zero + bar.first), float(bar.zero + bar.last))
        for bar in bars
    ]


def test_a_bar_is_counted_before_the_first() -> None:
    assert shown(clicked_bars(page(4, 4), 1, 0)) == [
        ("count-in", 0, -4, 0),
        ("played", 1, 0, 4),
        ("played", 2, 4, 8),
    ]


def test_without_a_count_in_the_first_bar_comes_first() -> None:
    assert shown(clicked_bars(page(4), 0, 0)) == [("played", 1, 0, 4)]


def test_a_pickup_is_counted_in_with_whole_bars_and_the_rest_of_its_own() -> None:
    assert shown(clicked_bars(page(1, 4, first_number=0, start=-1), 1, 0)) == [
        ("count-in", -1, -8, -4),
        ("count-in", 0, -4, -1),
        ("played", 0, -1, 0),
        ("played", 1, 0, 4),
    ]


def test_a_pickup_without_a_count_in_comes_at_once() -> None:
    assert shown(clicked_bars(page(1, 4, first_number=0, start=-1), 0, 0)) == [
        ("played", 0, -1, 0),
        ("played", 1, 0, 4),
    ]


def test_a_lead_in_comes_between_count_in_and_start() -> None:
    assert shown(clicked_bars(page(4, first_number=9), 2, 1)) == [
        ("count-in", -1, -12, -8),
        ("count-in", 0, -8, -4),
        ("lead-in", 8, -4, 0),
        ("played", 9, 0, 4),
    ]


def test_a_lead_in_leads_up_to_a_pickup_too() -> None:
    bars = clicked_bars(page(1, 4, first_number=0, start=-1), 0, 1)
    assert shown(bars)[:3] == [
        ("lead-in", -1, -8, -4),
        ("lead-in", 0, -4, -1),
        ("played", 0, -1, 0),
    ]


def test_bars_played_are_counted_from_the_first_full_one() -> None:
    bars = clicked_bars(page(1, 4, 4, first_number=0, start=-1), 1, 0)
    assert [bar.index for bar in bars if bar.role == "played"] == [-1, 0, 1]
    assert all(bar.index < 0 for bar in bars if bar.role != "played")
