"""What the log has taught of a player's air: learned once, kept, used."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from coach.edges.learned_file import read_learned
from coach.edges.log.run_log import RunLogFile
from coach.errors import CoachError
from coach.planning.air.lungs import measured
from coach.planning.edits import Edits
from coach.rehearsal.learning.learning import Study, see
from coach.rehearsal.learning.sights import Sight
from coach.rehearsal.run.run import PlayedRun, RunEnd, RunWord
from coach.score.tempo import Seconds
from coach.wiring import learned_air
from coach.wiring.learned_air import (
    PlayersAir,
    read_choice_of_air,
    write_choice_of_air,
)
from coach.wiring.player_file import read_air, read_facts
from tests.hand_rehearsal import HandPlanner, long
from tests.rehearsal.learning.played_runs import F3, HOLDS_S, one_tone, play

ONE_DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    return tmp_path


def keep(log: RunLogFile, *played: PlayedRun) -> None:
    """Write runs into the log."""
    for one in played:
        run_id = log.begin(one.run)
        for mark in one.run.marks:
            log.add_mark(run_id, mark)
        log.end(run_id, RunEnd(is_completed=True, reached_bar=2))
        log.finish(run_id, RunWord(one.run.is_clean, evidence=one.evidence))


def out_on(day: int, scale: float = 1.3) -> PlayedRun:
    return play(one_tone(2.0), HOLDS_S / scale, day=day)


def air(log: RunLogFile | None) -> PlayersAir:
    facts = replace(read_facts(), capacity_l=4.0)
    return PlayersAir(facts, "tenor-trombone", log)


def test_without_a_log_the_table_holds() -> None:
    assert air(None).planned.player.flow_scale == 1.0
    assert air(None).estimate.days == 0


def test_what_was_learned_is_gone_on_from_and_comes_to_the_same(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with RunLogFile(home / "log.db") as log:
        keep(log, *(out_on(day) for day in range(4)))
        air(log)
        keep(log, out_on(3), out_on(4))
        seen: list[PlayedRun] = []

        def look(study: Study, run: PlayedRun) -> Sight | None:
            seen.append(run)
            return see(study, run)

        monkeypatch.setattr(learned_air, "see", look)
        gone_on = air(log).estimate
        assert len(seen) == 3  # day 3, which was not over, and day 4
        (home / "cache" / "learned-air.json").unlink()
        anew = air(log).estimate
        assert gone_on.flow_scale == pytest.approx(anew.flow_scale, abs=1e-6)
        assert gone_on.high == pytest.approx(anew.high, abs=1e-6)
        assert (gone_on.ran_out, gone_on.days) == (anew.ran_out, anew.days) == (6, 5)


@pytest.mark.parametrize("damage", ["", "{", '{"key": 3}', "[]", '{"rows": 9}'])
def test_a_damaged_copy_is_as_good_as_none(home: Path, damage: str) -> None:
    with RunLogFile(home / "log.db") as log:
        keep(log, *(out_on(day) for day in range(3)))
        right = air(log).estimate
        (home / "cache" / "learned-air.json").write_text(damage)
        assert air(log).estimate == right
    assert read_learned(home / "nothing.json", "") is None


def test_a_run_that_comes_in_between_makes_it_learn_anew(home: Path) -> None:
    with RunLogFile(home / "log.db") as log:
        keep(log, out_on(0), out_on(2), out_on(4))
        air(log)
        keep(log, out_on(1))
        assert air(log).estimate.days == 4


def test_a_word_that_comes_later_is_learned_from(home: Path) -> None:
    with RunLogFile(home / "log.db") as log:
        lasted = play(one_tone(2.0), day=0)
        silent = replace(lasted, run=replace(lasted.run, is_clean=None))
        keep(log, silent, out_on(1), out_on(2))
        assert air(log).estimate.completed == 0
        first = log.list_runs()[0].id
        assert first is not None
        log.say_later(first, is_clean=True)
        assert air(log).estimate.completed == 1


def test_where_nothing_can_be_kept_it_learns_all_the_same(home: Path) -> None:
    (home / "cache").write_text("a file where the folder would be")
    with RunLogFile(home / "log.db") as log:
        keep(log, *(out_on(day) for day in range(3)))
        assert air(log).estimate.days == 3


def test_what_is_older_than_a_reset_is_not_learned_from(home: Path) -> None:
    with RunLogFile(home / "log.db") as log:
        keep(log, out_on(0), out_on(1), out_on(2))
        assert air(log).estimate.days == 3
        write_choice_of_air(since=(out_on(1).run.started + ONE_DAY / 2).isoformat())
        assert air(log).estimate.days == 1
        write_choice_of_air(since="2025-03-04")
        assert air(log).estimate.days == 2
        write_choice_of_air(since="")
        assert air(log).estimate.days == 3


def test_long_tones_count_from_their_day(home: Path) -> None:
    facts = replace(
        read_facts(), capacity_l=4.0, long_tone_s=HOLDS_S / 1.2, long_tone_midi=F3
    )
    with RunLogFile(home / "log.db") as log:
        alone = PlayersAir(facts, "tenor-trombone", log)
        assert alone.estimate.tones == 1
        assert alone.planned.player.flow_scale == alone.estimate.aim
        assert 1.2 <= alone.estimate.aim <= alone.estimate.high
        keep(log, *(out_on(day, 1.2) for day in range(3)))
        write_choice_of_air(tones_on="2025-03-04")
        for _ in range(2):
            both = PlayersAir(facts, "tenor-trombone", log).estimate
            assert (both.tones, both.ran_out, both.days) == (1, 3, 3)


def test_tongue_and_dynamics_that_were_timed_are_kept_when_runs_are_learned_from(
    home: Path,
) -> None:
    facts = replace(
        read_facts(), capacity_l=4.0, tongued_s=12.0, in_twos_s=14.0, pair_wind="brass"
    )
    facts = replace(facts, long_tone_s=14.0, loud_tone_s=5.0)
    own, model = read_air(facts), read_air(read_facts())
    assert own.tongue_stroke_s != model.tongue_stroke_s
    assert own.loud_step_factor > model.loud_step_factor * 1.1
    with RunLogFile(home / "log.db") as log:
        keep(log, *(out_on(day) for day in range(3)))
        learned = PlayersAir(facts, "tenor-trombone", log)
    assert learned.estimate.ran_out == 3
    planned = learned.planned.air
    assert planned.tongue_stroke_s == own.tongue_stroke_s
    assert planned.loud_step_factor == pytest.approx(own.loud_step_factor, rel=0.05)


def test_a_choice_lasts_and_a_wrong_one_is_refused() -> None:
    write_choice_of_air(flow_from="pinned", pinned_factor=1.25)
    assert air(None).planned.player.flow_scale == 1.25
    write_choice_of_air(flow_from="learned")
    assert read_choice_of_air().pinned_factor == 1.25
    with pytest.raises(CoachError, match="Nobody blows 0 times"):
        write_choice_of_air(flow_from="pinned", pinned_factor=0.0)
    with pytest.raises(CoachError, match="learned, table or pinned"):
        write_choice_of_air(flow_from="guess")
    with pytest.raises(CoachError, match="yesterday”, which is no date"):
        write_choice_of_air(since="yesterday")
    assert read_choice_of_air().flow_from == "learned"


def test_a_band_around_the_air_is_told_where_plans_follow_what_was_learned(
    home: Path,
) -> None:
    plan = HandPlanner(measured(4.0)).plan(long(), 60, Edits())
    assert air(None).band_of(plan) is None, "nothing is known"
    with RunLogFile(home / "log.db") as log:
        keep(log, *(out_on(day) for day in range(1, 6)))
        band = air(log).band_of(plan)
        assert band is not None
        least, most = band.levels_at(Seconds(plan.times[0].end))
        assert 0.0 < least < most
        write_choice_of_air(flow_from="table")
        assert air(log).band_of(plan) is None, "plans follow the table"
