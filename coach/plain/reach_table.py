"""How far the air reaches, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from coach.planning.naming import say_place
from coach.planning.reach import OneBreath, Reach
from coach.planning.reach_words import say_from, say_reach

PERCENT = 100


def reach_lines(reach: Reach) -> list[str]:
    """Write a reach out.

    Returns
    -------
    list of str
        The answer, one breath at each loudness, then with breaths at each tempo.
    """
    return [
        say_reach(reach),
        "",
        f"In one breath (goal {reach.goal_bpm:g}):",
        *(f"  {_one_breath(reach, row)}" for row in reach.rows),
        "",
        "With breaths, planned anew at each tempo (slower takes more air):",
        *_planned(reach),
    ]


def _one_breath(reach: Reach, row: OneBreath) -> str:
    """Say what one breath does at one loudness."""
    steps = "step" if abs(row.shift_steps) == 1 else "steps"
    loudness = f"{row.shift_steps:+g} {steps}" if row.shift_steps else "as written"
    needed = f"it needs lungs of {row.needed_l:.1f} L"
    if row.needed_l > reach.largest_l:
        needed = f"even the largest lungs ({reach.largest_l:g} L) are too small"
    words = [
        f"{loudness:12} {say_from(reach, row.slowest_bpm)}",
        f"on the top half {say_from(reach, row.slowest_on_top_half_bpm)}",
        f"at {reach.goal_bpm:g} {needed}",
    ]
    if row.runs_out is not None:
        words.append(f"runs out in {say_place(row.runs_out.bar, row.runs_out.beat)}")
    return "; ".join(words)


def _planned(reach: Reach) -> Iterator[str]:
    """Write a line for each tempo."""
    yield f"  {'tempo':>6} {'breaths':>8} {'lowest':>7} {'below half':>11}"
    for point in reach.points:
        end = ""
        if point.runs_out is not None:
            place = point.runs_out
            end = f"  runs out in {say_place(place.bar, place.beat)}"
        yield (
            f"  {point.bpm:6.0f} {point.breaths:8} {point.lowest_air * PERCENT:6.0f}%"
            f" {point.below_half_share * PERCENT:10.0f}%{end}"
        )
