"""``coach today``, as a player types it."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from coach.cli import main
from coach.edges.scores.etude_shelf import find_etude
from coach.edges.scores.score_files import read_part
from coach.rehearsal.run.playing import Playing
from coach.rehearsal.run.run import RunEnd, RunWord
from coach.score.etude_key import key_of
from coach.score.tempo import Seconds
from coach.wiring.open_rehearsal import open_log, wall_time
from tests.edges.log.kept_runs import run

TROMBONE = Playing(instrument="tenor-trombone", capacity_l=4.8)


def today(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main(["today", "--json", *words]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def play(name: str, hours_ago: float, times: int = 1, **given: Any) -> None:
    """Put clean runs of bars 1 to 4 into the log, three minutes each."""
    key = key_of(read_part(find_etude(name)))
    ended = RunEnd(True, 4, lasted=Seconds(180.0), loud=Seconds(60.0))
    with open_log() as log:
        for k in range(times):
            values = {
                "etude": key.title,
                "etude_key": key.fingerprint,
                "to_bar": 4,
                "is_whole": False,
                "bpm": 40.0,
                "how": TROMBONE,
                **given,
            }
            started = wall_time() - timedelta(hours=hours_ago, minutes=-3.5 * k)
            run_id = log.begin(replace(run(**values), started=started))
            log.end(run_id, ended)
            log.finish(run_id, RunWord(is_clean=True))


def files(told: dict[str, Any]) -> list[str]:
    return [turn["file"] for turn in told["turns"] if "file" in turn]


def test_on_the_first_day_the_two_easiest_etudes_take_turns(
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = today(capsys)
    assert told["turns"][0]["kind"] == "warm-up"
    assert files(told)[:3] == ["morning-air", "evening-field", "morning-air"]
    assert told["turns"][1]["new"] is True
    assert told["played"]["runs"] == 0


def test_beside_one_etude_something_a_little_harder_is_begun(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """And the one is played through, so that nobody plays the same bars all day."""
    play("tide", 30, 2)
    told = today(capsys)
    first, second, *_, last = [turn for turn in told["turns"] if "file" in turn]
    assert (first["file"], first["new"]) == ("tide", False)
    assert (second["file"], second["new"]) == ("stepping-stones", True)
    assert (last["kind"], last["file"]) == ("play-through", "tide")


def test_what_was_played_from_elsewhere_is_named(
    capsys: pytest.CaptureFixture[str],
) -> None:
    play("tide", 30, etude="Old Friend", etude_key="abc")
    play("tide", 24 * 30, etude="Forgotten", etude_key="abd")
    told = today(capsys)
    assert told["not_on_shelf"] == ["Old Friend"]
    main(["today"])
    assert "not on the shelf: Old Friend." in capsys.readouterr().out


def test_an_etude_that_is_moved_is_on_the_shelf_all_the_same(
    capsys: pytest.CaptureFixture[str],
) -> None:
    play("tide", 30)
    for semitones in ("-2", "0"):
        assert main(["plan", "tide", "--transpose", semitones]) == 0
        capsys.readouterr()
        assert today(capsys)["not_on_shelf"] == []
        play("tide", 30, etude="Tide (2 semitones lower)", etude_key="abc")


def test_what_had_a_night_between_comes_before_what_was_played_today(
    capsys: pytest.CaptureFixture[str],
) -> None:
    play("tide", 30)
    play("long-river", 0.0)
    play("morning-air", 24 * 30)  # long ago
    told = today(capsys)
    assert files(told)[:2] == ["tide", "long-river"]
    assert told["turns"][0]["next"]["why"].startswith("Clean at 40 on another day")
    assert told["played"] | {"since_rest_minutes": 0} == {
        "runs": 1,
        "etudes": 1,
        "minutes": 3.0,
        "loud_minutes": 1.0,
        "since_rest_minutes": 0,
    }


def test_it_says_what_review_says(capsys: pytest.CaptureFixture[str]) -> None:
    play("tide", 0.2, 2)
    (first, *_) = today(capsys)["turns"]
    main(["review", "tide", "--json"])
    assert json.loads(capsys.readouterr().out)["next"] == [first["next"]]


def test_what_a_child_plays_tires_nobody_else(
    capsys: pytest.CaptureFixture[str],
) -> None:
    main(["player", "--as", "Kim", "--capacity-l", "2.1"])
    capsys.readouterr()
    play("tide", 0.45, 8, how=replace(TROMBONE, player="Kim"))
    assert today(capsys)["played"]["runs"] == 0
    main(["review", "tide", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert (told["runs"], told["next"][0]["kind"]) == (0, "again")


def test_an_etude_that_cannot_be_read_is_passed_over(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    (home / "etudes").mkdir(exist_ok=True)
    (home / "etudes" / "aa.abc").write_text("X:1\nK:C\n", encoding="utf-8")
    assert set(files(today(capsys, "--minutes", "4"))) == {"morning-air"}


@pytest.mark.parametrize("minutes", ["0", "-5", "x", "9999", "2.5"])
def test_a_time_that_nobody_plays_is_wrong_usage(minutes: str) -> None:
    with pytest.raises(SystemExit) as code:
        main(["today", "--minutes", minutes])
    assert code.value.code == 2


def test_it_is_told_in_lines(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["today", "--minutes", "1"]) == 0
    assert capsys.readouterr().out == (
        "1 minute today:\n1 minute is too short for it.\n"
    )


def test_a_player_who_did_not_say_who_plays_is_told_of_other_players_runs(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["player", "--as", "Ann", "--age", "30"]) == 0
    for command in ("today", "review"):
        assert "Ann" not in printed(capsys, command), "there are no runs yet"
    play("tide", 5.0, how=replace(TROMBONE, player="Ann"))
    for command in ("today", "review"):
        line = f"Ann has runs here too: coach {command} --as Ann"
        assert line in printed(capsys, command)
        assert "here too" not in printed(capsys, command, "--as", "Ann")
    assert "Ann has runs here too" in printed(capsys, "review", "tide")
    assert main(["player", "--as", "Bo", "--age", "30"]) == 0
    play("tide", 4.0, how=replace(TROMBONE, player="Bo"))
    line = "Ann, Bo have runs here too: coach today --as NAME"
    assert line in printed(capsys, "today")


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    capsys.readouterr()
    assert main(list(words)) == 0
    return capsys.readouterr().out
