"""What one run shows of a player's air."""

from __future__ import annotations

from dataclasses import replace
from math import log

import pytest
from scipy import optimize

from coach.planning.air.air import refill
from coach.planning.air.long_tones import LongTone
from coach.rehearsal.learning.candidates import FLOW_LOGS, air_as, lay_candidates
from coach.rehearsal.learning.replaying import Edge
from coach.rehearsal.learning.sights import Sight, see_run, see_tone
from coach.rehearsal.run.evidence import Evidence, TakenBreath
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import PlayedRun
from tests.rehearsal.learning.played_runs import (
    AIR,
    FIRST_DAY,
    HOLDS_S,
    SETTINGS,
    WHOM,
    one_tone,
    play,
    tone,
    two_tones,
)

CANDIDATES = lay_candidates(SETTINGS)
MODEL = (1, 2)
"""Which step of dynamics and which intake are the model's."""


def sight(played: PlayedRun) -> Sight:
    seen = see_run(played, WHOM, CANDIDATES, SETTINGS)
    assert seen is not None
    return seen


def edge(played: PlayedRun) -> Edge:
    power, factor = MODEL
    return sight(played).edges[power][factor]


def test_the_model_is_one_of_the_candidates() -> None:
    power, factor = MODEL
    assert CANDIDATES.step_powers[power] == CANDIDATES.fill_factors[factor] == 1.0
    for weights in (
        CANDIDATES.step_weights,
        CANDIDATES.fill_weights,
        CANDIDATES.day_weights,
    ):
        assert sum(weights) == pytest.approx(1.0)


def test_a_run_to_the_end_says_that_the_player_needs_no_more() -> None:
    """Two thirds of what the model can hold: half as much again would be too much."""
    seen = sight(play(one_tone(2 / 3)))
    assert not seen.ran_out
    assert edge(play(one_tone(2 / 3))).latest == pytest.approx(log(1.5), abs=2e-3)
    assert edge(play(one_tone(2 / 3))).before == FLOW_LOGS[-1]


def test_a_mark_says_between_which_flows_the_air_was_gone() -> None:
    at = HOLDS_S / 2
    seen = edge(play(one_tone(1.0), at))
    late, early = at + SETTINGS.mark_early_s, at - SETTINGS.mark_late_s
    assert seen.latest == pytest.approx(log(HOLDS_S / late), abs=2e-3)
    assert seen.earliest == pytest.approx(log(HOLDS_S / early), abs=2e-3)


def test_the_first_of_several_marks_counts() -> None:
    assert edge(play(one_tone(1.0), 9.0, 5.0)) == edge(play(one_tone(1.0), 5.0))


def test_a_run_broken_off_where_the_air_was_gone_tells_as_much() -> None:
    broken_off = play(one_tone(1.0), 5.0, is_completed=False)
    assert edge(broken_off) == edge(play(one_tone(1.0), 5.0))


def test_a_mark_by_the_microphone_is_believed_less_than_the_player_s() -> None:
    played = play(one_tone(1.0), 5.0)
    (mark,) = played.run.marks
    heard = replace(mark, by="microphone")
    by_ear = replace(played, run=replace(played.run, marks=(heard,)))
    assert edge(by_ear) == edge(played)
    times = SETTINGS.heard_wrong_share / SETTINGS.wrong_share
    assert sight(by_ear).wrong == pytest.approx(times * sight(played).wrong)
    assert sight(by_ear).wrong > sight(played).wrong


def test_after_a_breath_the_flow_is_replayed_from_the_start() -> None:
    """A heavier player also comes to the breath with less, and leaves it with less:
    the root is found by SciPy, for the model's own refill."""
    gap = 0.5
    played = play(two_tones(0.6, 0.7, gap))
    used = AIR.full_share - AIR.empty_share

    def left(flow: float) -> float:
        scale = 2.718281828459045**flow
        level = refill(AIR.full_share - 0.6 * used * scale, gap, AIR)
        return float(level - 0.7 * used * scale - AIR.empty_share)

    wanted = optimize.brentq(left, FLOW_LOGS[0], FLOW_LOGS[-1])
    assert edge(played).latest == pytest.approx(wanted, abs=2e-3)
    assert edge(played).before == pytest.approx(log(1 / 0.6), abs=2e-3)


def test_one_who_fills_more_slowly_would_have_run_out_at_less_flow() -> None:
    edges = sight(play(two_tones(0.6, 0.7, 0.5))).edges[1]
    latest = [one.latest for one in edges]
    assert latest == sorted(latest, reverse=True)
    assert latest[0] > latest[-1] + 0.05


def test_a_breath_that_was_missed_asks_for_more() -> None:
    both = two_tones(0.4, 0.5, 0.5)
    missed = Evidence(both.notes, ())
    assert edge(play(missed)).latest == pytest.approx(log(1 / 0.9), abs=2e-3)
    assert edge(play(both)).latest > edge(play(missed)).latest


def test_a_gasp_gives_more_than_a_calm_breath() -> None:
    calm = two_tones(0.6, 0.7, 0.4)
    gasp = replace(calm, breaths=(replace(calm.breaths[0], is_gasp=True),))
    assert edge(play(gasp)).latest > edge(play(calm)).latest


def test_notes_that_a_breath_leaves_out_take_no_air() -> None:
    three = Evidence(
        (tone(0.0, 4.0), tone(4.0, 2.0), tone(6.0, 4.0)), (TakenBreath(0, 4.0, 6.0),)
    )
    left = replace(three, breaths=(replace(three.breaths[0], left_out=1),))
    assert edge(play(left)).latest > edge(play(three)).latest


def test_a_breath_among_notes_that_another_leaves_out_is_borne() -> None:
    notes = (tone(0.0, 4.0), tone(4.0, 2.0), tone(6.0, 2.0), tone(8.0, 4.0))
    breaths = (TakenBreath(0, 4.0, 8.0, left_out=2), TakenBreath(1, 6.0, 6.0))
    assert edge(play(Evidence(notes, breaths), 10.0)).latest < FLOW_LOGS[-1]


def test_loud_notes_tell_of_the_step_of_dynamics() -> None:
    loud = Evidence((tone(0.0, HOLDS_S / 3, loud=2.0),), ())
    latest = [edges[2].latest for edges in sight(play(loud)).edges]
    for power, found in zip(CANDIDATES.step_powers, latest, strict=True):
        wanted = log(3.0) - 2.0 * power * log(AIR.loud_step_factor)
        assert found == pytest.approx(wanted, abs=2e-3)


def test_a_mark_across_a_breath_may_mean_either_side() -> None:
    evidence = two_tones(0.5, 0.5, 0.3)
    at = 0.5 * HOLDS_S + 0.3
    seen = edge(play(evidence, at))
    assert seen.before == FLOW_LOGS[-1]
    assert seen.latest == pytest.approx(log(2.0), abs=0.02)


def test_a_mark_after_a_breath_says_that_the_air_lasted_before_it() -> None:
    seen = edge(play(two_tones(0.5, 0.9, 0.3), HOLDS_S))
    assert seen.before == pytest.approx(log(2.0), abs=2e-3)
    assert seen.latest < seen.earliest < seen.before


def test_a_mark_before_the_first_note_says_next_to_nothing() -> None:
    seen = edge(play(one_tone(1.0), -1.0))
    assert seen.earliest == seen.latest == FLOW_LOGS[-1]


def test_what_nobody_could_play_lies_at_the_end_of_what_is_tried() -> None:
    assert edge(play(one_tone(9.0))).latest == FLOW_LOGS[0]


@pytest.mark.parametrize(
    "played",
    [
        play(one_tone(1.0), is_clean=None),
        play(one_tone(1.0), is_clean=False, is_completed=False),
        play(one_tone(1.0), is_clean=False),
        play(Evidence((), ())),
    ],
    ids=["without a word", "cut off", "not clean, no word why", "no notes"],
)
def test_where_nothing_is_said_of_the_air_nothing_is_learned(
    played: PlayedRun,
) -> None:
    assert see_run(played, WHOM, CANDIDATES, SETTINGS) is None


def test_a_run_that_rushed_had_air_to_the_end() -> None:
    rushed = play(one_tone(0.5), 1.0, kind=MarkKind.RUSHED)
    assert not sight(rushed).ran_out


def test_a_long_tone_tells_the_flow_that_would_have_emptied_the_lungs() -> None:
    held = LongTone(HOLDS_S / 1.3, AIR.reference_hz, 0.0)
    seen = see_tone(held, FIRST_DAY.date(), WHOM, CANDIDATES, SETTINGS)
    found = seen.edges[0][0]
    assert (found.latest + found.earliest) / 2 == pytest.approx(log(1.3))
    assert seen.is_tone
    assert seen.ran_out


def test_a_candidate_keeps_a_step_above_one_and_all_else() -> None:
    soft = air_as(AIR, 0.5, 2.0)
    assert soft.loud_step_factor == pytest.approx(AIR.loud_step_factor**0.5)
    assert (
        replace(
            soft,
            loud_step_factor=AIR.loud_step_factor,
            calm_fill_s=AIR.calm_fill_s,
            gasp_fill_s=AIR.gasp_fill_s,
        )
        == AIR
    )
    assert refill(0.5, 1.0, soft) < refill(0.5, 1.0, AIR)
