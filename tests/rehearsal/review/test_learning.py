"""What runs teach of a player's air, and how surely."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import exp, log
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.rehearsal.review.learning import LearningSettings, learn
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds

SETTINGS = read_settings(LearningSettings, "rehearsal", "learning")
DAY = datetime(2025, 3, 3, 9, 0, tzinfo=UTC)


def run(
    scale: float | None, *, ran_out: bool = False, day: int = 0, done: bool = True
) -> Run:
    """Make a run that tells of a flow scale."""
    return Run(
        started=DAY + timedelta(days=day),
        etude="By Hand",
        from_bar=1,
        to_bar=2,
        bpm=60,
        is_completed=done,
        is_clean=not ran_out,
        marks=(Mark(MarkKind.RAN_OUT, 1, 1.0, Seconds(0.5)),) if ran_out else (),
        empties_at_scale=scale,
    )


def test_without_runs_nothing_is_claimed() -> None:
    told = learn([run(None), run(1.0, done=False)], SETTINGS)
    assert told.flow_scale == pytest.approx(1.0, abs=0.02)
    assert (told.ran_out, told.completed, told.days) == (0, 0, 0)
    assert told.says.startswith("No run has told anything yet")


def test_a_run_without_a_word_teaches_nothing() -> None:
    alone = [replace(run(0.7, day=day), is_clean=None) for day in range(5)]
    assert learn([*alone, run(1.2)], SETTINGS) == learn([run(1.2)], SETTINGS)


def test_the_range_without_runs_is_how_much_players_differ() -> None:
    """The middle 90 % of a normal distribution is 1.645 spreads to either side
    (any table of the normal distribution)."""
    told = learn([], SETTINGS)
    spread = SETTINGS.players_differ_share
    assert told.low == pytest.approx(exp(-1.645 * spread), rel=0.02)
    assert told.high == pytest.approx(exp(1.645 * spread), rel=0.02)


def test_one_mark_moves_the_belief_and_narrows_it() -> None:
    before, after = learn([], SETTINGS), learn([run(1.3, ran_out=True)], SETTINGS)
    assert 1.1 < after.flow_scale < 1.3
    assert log(after.high / after.low) < log(before.high / before.low)
    assert "From 1 run that ran out and 0 that did not, on 1 day" in after.says


def test_one_mark_agrees_with_the_closed_form_of_bayes() -> None:
    """Two normal distributions multiplied: the mean is weighted by precision
    (any textbook of Bayesian inference); slips of the finger left out."""
    sure = replace(SETTINGS, stray_share=1e-12)
    told = learn([run(1.3, ran_out=True)], sure)
    prior, noise = sure.players_differ_share, sure.days_differ_share
    weight = prior**2 / (prior**2 + noise**2)
    assert told.flow_scale == pytest.approx(exp(weight * log(1.3)), rel=0.01)


def test_marks_of_many_days_make_it_sure() -> None:
    told = learn([run(1.3, ran_out=True, day=day) for day in range(12)], SETTINGS)
    assert told.flow_scale == pytest.approx(1.3, abs=0.03)
    assert told.high - told.low < 0.2
    assert told.days == 12


def test_many_marks_of_one_day_are_one_witness() -> None:
    once = learn([run(1.3, ran_out=True)], SETTINGS)
    often = learn([run(1.3, ran_out=True)] * 20, SETTINGS)
    assert often.flow_scale == once.flow_scale
    assert often.ran_out == 20


def test_a_slip_of_the_finger_does_not_carry_the_belief_away() -> None:
    days = [run(1.0, ran_out=True, day=day) for day in range(6)]
    told = learn([*days, run(2.4, ran_out=True, day=7)], SETTINGS)
    assert told.flow_scale == pytest.approx(1.0, abs=0.06)


def test_a_run_to_the_end_says_that_the_player_needs_no_more() -> None:
    told = learn([run(1.0, day=day) for day in range(5)], SETTINGS)
    assert told.flow_scale < 0.95
    assert told.says.startswith("5 runs to the end, none marked ran out")


def test_an_easy_run_to_the_end_says_nothing_much() -> None:
    told = learn([run(2.4, day=day) for day in range(5)], SETTINGS)
    assert told.flow_scale == pytest.approx(learn([], SETTINGS).flow_scale, abs=0.02)


def test_marks_that_no_player_can_mean_change_little() -> None:
    told = learn([run(99.0, ran_out=True, day=day) for day in range(40)], SETTINGS)
    assert told.flow_scale == pytest.approx(learn([], SETTINGS).flow_scale, abs=0.02)


def test_years_of_practice_do_not_underflow() -> None:
    days = [run(1.2, ran_out=day % 2 == 0, day=day) for day in range(800)]
    told = learn([*days, run(0.5, ran_out=True, day=801)], SETTINGS)
    assert 1.0 < told.flow_scale < 1.3
    assert told.high - told.low < 0.05


def test_the_range_holds_the_truth_about_as_often_as_it_says() -> None:
    """Players drawn from the prior; each day's flow differs; runs end by running out
    or at a place that asks for a known flow.  Nine tenths are promised."""
    chance = Random(20250303)
    players = 200
    held = 0
    for _ in range(players):
        true = exp(chance.gauss(0.0, SETTINGS.players_differ_share))
        runs = []
        for day in range(6):
            today = true * exp(chance.gauss(0.0, SETTINGS.days_differ_share))
            asked = chance.uniform(0.8, 1.6)
            ran_out = today > asked
            # With more air asked for than there is, it is gone on the way.
            runs.append(run(today if ran_out else asked, ran_out=ran_out, day=day))
        told = learn(runs, SETTINGS)
        held += told.low <= true <= told.high
    assert 0.84 <= held / players <= 0.97


@given(st.lists(st.tuples(st.floats(0.5, 2.2), st.booleans(), st.integers(0, 9))))
def test_the_middle_lies_in_its_range(seen: list[tuple[float, bool, int]]) -> None:
    told = learn(
        [run(scale, ran_out=out, day=day) for scale, out, day in seen], SETTINGS
    )
    assert SETTINGS.least_scale_factor <= told.low <= told.flow_scale <= told.high
    assert told.high <= SETTINGS.greatest_scale_factor
