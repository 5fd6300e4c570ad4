"""What runs teach of a player's air, and how surely."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import log
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.air.long_tones import LongTone
from coach.planning.air.lungs import Player
from coach.planning.edits import Edits
from coach.rehearsal.learning.candidates import LearningSettings
from coach.rehearsal.learning.learning import AirEstimate, TimedTone, learn
from coach.rehearsal.run.evidence import evidence_of
from coach.rehearsal.run.run import PlayedRun
from tests.hand_rehearsal import HandPlanner, long
from tests.rehearsal.learning.played_runs import (
    AIR,
    FIRST_DAY,
    HOLDS_S,
    PLAYER,
    SETTINGS,
    WHOM,
    one_tone,
    play,
)
from tests.simulated_player import SimulatedPlayer, rehearse, wake_up


def learned(
    *played: PlayedRun, settings: LearningSettings = SETTINGS, **other: object
) -> AirEstimate:
    return learn(played, WHOM, settings, **other)  # type: ignore[arg-type]


def out_at(scale: float, day: int = 0) -> PlayedRun:
    """Run out of a tone where a player of that flow would."""
    return play(one_tone(2.0), HOLDS_S / scale, day=day)


def width(told: AirEstimate) -> float:
    return log(told.high / told.low)


def test_without_runs_nothing_is_claimed() -> None:
    told = learned()
    assert told.flow_scale == pytest.approx(1.0)
    assert (told.ran_out, told.completed, told.tones, told.days) == (0, 0, 0, 0)
    assert (told.aim, told.step_power, told.fill_factor) == (1.0, 1.0, 1.0)
    assert told.days == 0
    assert told.says.startswith("No run and no long tone has told anything yet")
    assert width(learned(play(one_tone(1.0), is_clean=None))) == width(told)


def test_one_mark_moves_the_belief_and_narrows_it() -> None:
    told = learned(out_at(1.4))
    assert 1.25 < told.flow_scale < 1.42
    assert width(told) < width(learned()) / 2
    assert told.says.startswith("From 1 run that ran out, on 1 day: about 1.3")


def test_runs_tones_and_days_are_told() -> None:
    tone = TimedTone(LongTone(HOLDS_S, AIR.reference_hz, 0.0), FIRST_DAY.date())
    told = learned(
        out_at(1.1),
        play(one_tone(0.8), day=1),
        play(one_tone(0.8), day=1),
        tones=[tone],
    )
    assert "From 1 long tone, 1 run that ran out and 2 runs to the end, on 2 days" in (
        told.says
    )
    twice = learned(out_at(1.1), out_at(1.1, 1), tones=[tone, tone])
    assert "From 2 long tones and 2 runs that ran out, on 2 days" in twice.says


def test_a_long_tone_and_runs_know_of_each_other() -> None:
    tone = TimedTone(LongTone(HOLDS_S / 1.2, AIR.reference_hz, 0.0), FIRST_DAY.date())
    alone = learned(tones=[tone])
    both = learned(out_at(1.2, 1), out_at(1.2, 2), tones=[tone])
    assert alone.flow_scale == pytest.approx(1.2, rel=0.03)
    assert width(both) < width(alone)


def test_plans_are_made_for_the_upper_part_of_the_band() -> None:
    told = learned(*(out_at(1.2, day) for day in range(4)))
    assert told.flow_scale < told.aim < told.high
    wide = learned(play(one_tone(0.5)))
    assert wide.flow_scale < wide.aim
    bold = learned(play(one_tone(0.5)), settings=replace(SETTINGS, told_share=0.5))
    most = 1 + SETTINGS.most_reserve_share
    assert wide.aim == bold.aim == pytest.approx(bold.flow_scale * most)


def test_one_bad_day_asks_for_no_breaths_everywhere() -> None:
    """Two runs of one day may both be short of air for cold lips or shallow breaths."""
    most = 1 + SETTINGS.most_a_day_share
    one_day = learned(out_at(1.8), out_at(1.8))
    assert one_day.aim == pytest.approx(most)
    assert one_day.waits
    assert one_day.flow_scale > 1.6, "what is told is not held back"
    other_day = learned(out_at(1.8), out_at(1.8), play(one_tone(0.4), day=1))
    assert other_day.aim == pytest.approx(most), "a day that lasts shows nothing of it"
    two_days = learned(*(out_at(1.8, day) for day in (0, 1)))
    assert two_days.aim == pytest.approx(most**2)
    assert two_days.waits


def test_what_other_days_show_too_is_planned_for() -> None:
    many = learned(*(out_at(1.8, day) for day in range(4)))
    assert many.aim > many.flow_scale
    assert not many.waits
    little = learned(out_at(1.1))
    assert little.aim > little.flow_scale
    assert not little.waits


def test_plans_wait_for_no_other_day_once_a_long_tone_was_timed() -> None:
    tone = TimedTone(LongTone(HOLDS_S / 1.8, AIR.reference_hz, 0.0), FIRST_DAY.date())
    both = learned(out_at(1.8), out_at(1.8), tones=[tone])
    assert both.aim > both.flow_scale > 1.6
    assert not both.waits


def test_the_flow_told_lies_a_little_above_the_middle() -> None:
    """Runs that last bound a flow from above alone; the middle would rate it low."""
    nothing, seen = learned(), [out_at(1.2, day) for day in range(4)]
    assert nothing.flow_scale == pytest.approx(1.0, abs=1e-3)
    told = learned(*seen)
    middle = learned(*seen, settings=replace(SETTINGS, told_share=0.5))
    assert 0.005 < log(told.flow_scale / middle.flow_scale) < 0.05


def test_marks_of_many_days_make_it_sure() -> None:
    told = learned(*(out_at(1.3, day) for day in range(12)))
    assert told.flow_scale == pytest.approx(1.3, rel=0.03)
    assert width(told) < 0.15


def test_a_slip_of_the_finger_does_not_carry_the_belief_away() -> None:
    days = [out_at(1.0, day) for day in range(9)]
    right = learned(*days, play(one_tone(0.8), day=9))
    wrong = learned(*days, play(one_tone(0.8), HOLDS_S / 2.5, day=9))
    assert abs(log(wrong.flow_scale / right.flow_scale)) < 0.03


def test_a_change_is_followed() -> None:
    before = [out_at(1.3, day) for day in range(20)]
    after = [out_at(1.04, 20 + day) for day in range(14)]
    told = learned(*before, *after)
    assert told.flow_scale == pytest.approx(1.04, rel=0.07)


def test_time_without_a_run_makes_it_less_sure() -> None:
    days = [out_at(1.2, day) for day in range(5)]
    last = FIRST_DAY.date() + timedelta(days=4)
    then = learned(*days, today=last)
    assert then == learned(*days)
    assert width(learned(*days, today=last + timedelta(days=90))) > width(then) * 1.5
    assert learned(today=date(2030, 1, 1)) == learned()


def test_a_measured_capacity_is_believed_more_than_a_predicted_one() -> None:
    predicted = Player(PLAYER.capacity_l, "predicted", PLAYER.capacity_l * 0.8)
    told = learn([], replace(WHOM, player=predicted), SETTINGS)
    assert width(told) > width(learned())


def test_years_of_practice_do_not_underflow() -> None:
    days = [out_at(1.2, day) for day in range(300)]
    told = learned(*days, play(one_tone(2.0), 0.5, day=301))
    assert 1.1 < told.flow_scale < 1.3


def test_a_simulated_player_who_runs_out_is_known_after_some_days() -> None:
    """A player other than the model, on a real plan, with breaths of their own."""
    player = SimulatedPlayer(
        flow=1.35,
        step_power=1.0,
        intake_per_s=0.85,
        opening_s=0.08,
        pitch_power_off=0.0,
        days_differ=0.06,
        forgets=0.05,
        slips=0.03,
        misses=0.05,
    )
    chance = Random(7)
    plan = HandPlanner(replace(PLAYER, flow_scale=0.9)).plan(long(), 60, Edits())
    asked = evidence_of(plan, frozenset(), frozenset())
    runs = [
        rehearse(wake_up(player, day, chance), asked, PLAYER.capacity_l, AIR, chance, k)
        for day in range(10)
        for k in range(2)
    ]
    told = learned(*runs)
    assert told.low <= player.flow <= told.high
    assert told.flow_scale == pytest.approx(player.flow, rel=0.15)


@settings(max_examples=20)
@given(st.lists(st.tuples(st.floats(0.5, 2.2), st.booleans(), st.integers(0, 9))))
def test_the_middle_lies_in_its_range(seen: list[tuple[float, bool, int]]) -> None:
    told = learned(
        *(
            out_at(scale, day) if out else play(one_tone(1 / scale), day=day)
            for scale, out, day in seen
        )
    )
    assert told.low <= told.flow_scale <= told.high
    assert told.waits or told.flow_scale <= told.aim
