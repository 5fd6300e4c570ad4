"""For whose air plans are made."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.config import read_settings
from coach.rehearsal.learning.air_choice import AirChoice, choose_air, play_for
from coach.rehearsal.learning.learning import AirEstimate, learn
from coach.rehearsal.learning.replaying import Whom
from tests.hand_rehearsal import performer
from tests.rehearsal.learning.played_runs import AIR, PLAYER, SETTINGS, WHOM, one_tone
from tests.rehearsal.learning.played_runs import play as played

HABIT = read_settings(AirChoice, "learning", "choice")
TABLE = Whom(replace(PLAYER, flow_scale=1.07), replace(AIR, loud_step_factor=1.6))
NOTHING = learn([], WHOM, SETTINGS)
RUNS = learn([played(one_tone(2.0), 9.0)], WHOM, SETTINGS)


def chosen(choice: AirChoice, estimate: AirEstimate) -> tuple[float, str]:
    made = choose_air(choice, TABLE, AIR, estimate)
    return made.player.flow_scale, made.says


def test_before_the_first_run_plans_go_by_table_and_long_tones() -> None:
    made = choose_air(HABIT, TABLE, AIR, NOTHING)
    assert (made.player, made.air) == (TABLE.player, TABLE.air)
    assert made.says == (
        "Plans are made for 1.07 of the model's flow, by table and long tones: "
        "nothing has been learned from runs yet."
    )


def test_what_runs_have_taught_is_used_with_reserve() -> None:
    made = choose_air(HABIT, TABLE, AIR, RUNS)
    assert made.player == replace(PLAYER, flow_scale=RUNS.aim)
    assert RUNS.aim > RUNS.flow_scale
    factor = AIR.loud_step_factor**RUNS.step_power
    assert made.air.loud_step_factor == pytest.approx(factor)
    assert made.says.startswith(f"Plans are made for {RUNS.aim:.2f}, in the upper part")


def test_the_player_may_go_back_to_the_table() -> None:
    flow, says = chosen(replace(HABIT, flow_from="table"), RUNS)
    assert flow == TABLE.player.flow_scale
    assert says.endswith("by table and long tones: you chose so.")


def test_the_player_may_pin_the_flow() -> None:
    flow, says = chosen(replace(HABIT, flow_from="pinned", pinned_factor=1.25), RUNS)
    assert flow == 1.25
    assert says == "Plans are made for 1.25 of the model's flow: you have pinned it."


def test_all_else_of_the_performer_stays() -> None:
    made = choose_air(HABIT, TABLE, AIR, RUNS)
    usual = performer(PLAYER)
    changed = play_for(usual, made)
    assert changed.player == made.player
    assert changed.settings.air == made.air
    assert changed.settings.slide == usual.settings.slide
    assert changed.instrument == usual.instrument
