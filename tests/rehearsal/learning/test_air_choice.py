"""For whose air plans are made."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.config import read_settings
from coach.planning.air.long_tones import LongTone
from coach.rehearsal.learning.air_choice import AirChoice, choose_air, play_for
from coach.rehearsal.learning.learning import AirEstimate, TimedTone, learn
from coach.rehearsal.learning.replaying import Whom
from tests.hand_rehearsal import performer
from tests.rehearsal.learning.played_runs import (
    AIR,
    FIRST_DAY,
    HOLDS_S,
    PLAYER,
    SETTINGS,
    WHOM,
    one_tone,
)
from tests.rehearsal.learning.played_runs import play as played

HABIT = read_settings(AirChoice, "learning", "choice")
TABLE = Whom(replace(PLAYER, flow_scale=1.07), replace(AIR, loud_step_factor=1.6))
NOTHING = learn([], WHOM, SETTINGS)


def timed(scale: float) -> AirEstimate:
    """Learn from a long tone that a player of that flow would hold."""
    tone = LongTone(HOLDS_S / scale, AIR.reference_hz, 0.0)
    timed_tone = TimedTone(tone, FIRST_DAY.date())
    return learn([], WHOM, SETTINGS, tones=[timed_tone])


RUNS = learn([played(one_tone(2.0), 9.0, day=day) for day in range(2)], WHOM, SETTINGS)


def chosen(choice: AirChoice, estimate: AirEstimate) -> tuple[float, str]:
    made = choose_air(choice, TABLE, estimate)
    return made.player.flow_scale, made.says


def test_before_the_first_run_plans_go_by_table_and_long_tones() -> None:
    made = choose_air(HABIT, TABLE, NOTHING)
    assert (made.player, made.air) == (TABLE.player, TABLE.air)
    assert made.says == (
        "Plans are made for 1.07 of the model's flow, by table and long tones: "
        "nothing has been learned yet."
    )


def test_a_long_tone_tells_the_flow_as_runs_do_and_its_dynamics_hold() -> None:
    """Plans are made for what is told of it, so that the first run moves little."""
    made = choose_air(HABIT, TABLE, timed(1.07))
    assert made.player == replace(PLAYER, flow_scale=timed(1.07).aim)
    assert made.air == TABLE.air
    assert made.says.endswith("so that the air lasts on most days.")


@pytest.mark.parametrize("scale", [0.38, 0.5, 0.6, 1.0, 1.6, 2.4, 2.8])
def test_after_a_long_tone_plans_lie_between_what_is_told_and_the_upper_end(
    scale: float,
) -> None:
    told = timed(scale)
    assert told.low < told.flow_scale <= told.aim < told.high


def test_a_long_tone_that_many_hold_is_believed() -> None:
    """It is timed on purpose: less often for nothing than a mark in a run."""
    told = timed(0.56)
    assert told.low == pytest.approx(0.56 / 1.1, rel=0.03)
    assert told.high < 0.56 * 1.4


def test_a_long_tone_that_hardly_anybody_holds_is_doubted_and_may_be_pinned() -> None:
    table = replace(TABLE, player=replace(PLAYER, flow_scale=0.31))
    says = choose_air(HABIT, table, timed(0.31)).says
    assert "The long tone alone says 0.31, which hardly fits: time it again" in says
    assert says.endswith("plans go by it with the option --pin 0.31.")
    unknown = replace(table, player=replace(table.player, is_flow_known=False))
    assert "long tone" not in choose_air(HABIT, unknown, RUNS).says


def test_what_runs_have_taught_is_used_with_reserve() -> None:
    made = choose_air(HABIT, TABLE, RUNS)
    assert made.player == replace(PLAYER, flow_scale=RUNS.aim)
    assert RUNS.aim > RUNS.flow_scale
    factor = TABLE.air.loud_step_factor**RUNS.step_power
    assert made.air.loud_step_factor == pytest.approx(factor)
    assert made.says.startswith(f"Plans are made for {RUNS.aim:.2f}, in the upper part")


def test_plans_that_wait_for_another_day_say_so() -> None:
    waiting = replace(RUNS, aim=1.25, waits=True)
    flow, says = chosen(HABIT, waiting)
    assert flow == 1.25
    assert says.startswith("Plans are made for 1.25, no further until other days show")


def test_the_player_may_go_back_to_the_table() -> None:
    flow, says = chosen(replace(HABIT, flow_from="table"), RUNS)
    assert flow == TABLE.player.flow_scale
    assert says.endswith("by table and long tones: you chose so.")


def test_the_player_may_pin_the_flow() -> None:
    flow, says = chosen(replace(HABIT, flow_from="pinned", pinned_factor=1.25), RUNS)
    assert flow == 1.25
    assert says == "Plans are made for 1.25 of the model's flow: you have pinned it."


def test_all_else_of_the_performer_stays() -> None:
    made = choose_air(HABIT, TABLE, RUNS)
    usual = performer(PLAYER)
    changed = play_for(usual, made)
    assert changed.player == made.player
    assert changed.settings.air == made.air
    assert changed.settings.slide == usual.settings.slide
    assert changed.instrument == usual.instrument
