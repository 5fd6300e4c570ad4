"""What ``coach player`` says of the air that was learned, and how it is chosen."""

from __future__ import annotations

import json
from argparse import ArgumentTypeError
from pathlib import Path

import pytest

from coach.cli import main
from coach.command_line import typed_numbers


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["player", *words]) == 0
    return capsys.readouterr().out


def test_before_the_first_run_it_says_that_nothing_is_known(
    capsys: pytest.CaptureFixture[str],
) -> None:
    lines = said(capsys).splitlines()
    assert lines[-3].startswith("No run and no long tone has told anything yet")
    assert "===" in lines[-2]
    assert "nothing has been learned yet" in lines[-1]


def test_pinned_by_table_or_learned(capsys: pytest.CaptureFixture[str]) -> None:
    told = said(capsys, "--pin", "1.2")
    assert told.endswith("you have pinned it.\n")
    laid = json.loads(said(capsys, "--json"))
    assert laid["planned_flow_scale"] == 1.2
    assert set(laid["air"]) >= {"flow_scale", "low", "high", "aim", "says", "plans"}
    assert "1.00 of the model's flow" in said(capsys, "--table")
    assert "1.00 of the model's flow" in said(capsys, "--learned")


@pytest.mark.parametrize("factor", ["0", "-1", "9", "nan"])
def test_a_flow_that_nobody_blows_is_refused_and_nothing_is_kept(
    capsys: pytest.CaptureFixture[str], home: Path, factor: str
) -> None:
    assert main(["player", "--height-cm", "180", f"--pin={factor}"]) == 1
    assert "Nobody blows" in capsys.readouterr().err
    assert not (home / "player.toml").exists()


def test_a_long_tone_is_kept_with_its_day(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    assert "From 1 long tone, on 1 day" in said(
        capsys, "--capacity-l", "4.5", "--long-tone", "12"
    )
    assert "tones_on" in (home / "player.toml").read_text()


def test_plans_are_made_within_the_band_that_a_long_tone_tells(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for seconds in ("22", "5"):
        said(capsys, "--long-tone", seconds)
        told = json.loads(said(capsys, "--json"))
        air = told["air"]
        assert air["low"] <= air["aim"] <= air["high"]
        assert told["planned_flow_scale"] == pytest.approx(air["aim"], abs=0.005)


def test_an_instrument_that_is_taken_up_again_has_its_own_tones(
    capsys: pytest.CaptureFixture[str],
) -> None:
    trombone = said(capsys, "--long-tone", "14", "--loud-tone", "9")
    assert "Each step of dynamics: " in trombone
    oboe = said(capsys, "--instrument", "oboe", "--long-tone", "40")
    assert "from a long tone of 40 s" in oboe
    assert "Each step of dynamics" not in oboe
    assert "from a long tone of 14 s" in said(capsys, "--instrument", "euphonium")
    assert said(capsys, "--instrument", "trombone") == trombone
    assert "from a long tone of 40 s" in said(capsys, "--instrument", "oboe")
    assert "Time A4" in said(capsys, "--instrument", "flute")


def test_a_reset_says_from_when_on_runs_count(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    said(capsys, "--reset-learning")
    assert "since" in (home / "player.toml").read_text()


@pytest.mark.parametrize(("typed", "meant"), [("f", "female"), ("M", "male")])
def test_a_letter_says_what_the_screens_take_a_letter_for(
    capsys: pytest.CaptureFixture[str], typed: str, meant: str
) -> None:
    said(capsys, "--height-cm", "172", "--age", "30", "--sex", typed)
    kept = json.loads(said(capsys, "--json"))
    said(capsys, "--sex", meant)
    assert json.loads(said(capsys, "--json")) == kept


def test_a_child_too_young_for_the_equation_is_told_of_the_other_ways(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = ("--height-cm", "135", "--age", "9", "--sex", "m")
    assert main(["player", *words]) == 1
    told = capsys.readouterr().err
    assert "time one long tone" in told


def test_numbers_are_read_with_a_comma_and_told_of_without_programmers_words(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said(capsys, "--capacity-l", "4,8")
    assert json.loads(said(capsys, "--json"))["measured_capacity_l"] == 4.8
    for words in (
        ("player", "--age", "old"),
        ("player", "--pin", "1.2.3"),
        ("log", "--strike", "x"),
        ("log", "--not-me", "²"),
        ("plan", "tide", "--tempo", "72,x"),
        ("plan", "tide", "--bars", "x"),
        ("rehearse", "tide", "--runs", "²"),
    ):
        with pytest.raises(SystemExit) as refused:
            main(words)
        told = capsys.readouterr().err
        assert refused.value.code == 2
        assert "invalid" not in told, told
        assert f"{words[-1]} is no " in told


@pytest.mark.parametrize("bars", ["-", "", "9-3", "1-2-3", "²", "a-b", "9--12"])
def test_what_is_no_stretch_of_bars_is_refused(bars: str) -> None:
    with pytest.raises(ArgumentTypeError, match="no stretch of bars"):
        typed_numbers.bars(bars)


@pytest.mark.parametrize(
    "option",
    [
        *("--height-cm", "--age", "--capacity-l", "--long-tone", "--loud-tone"),
        *("--tongued", "--in-twos"),
    ],
)
@pytest.mark.parametrize("size", ["0", "-1", "nan", "inf"])
def test_nothing_of_a_player_measures_nothing(
    capsys: pytest.CaptureFixture[str], home: Path, option: str, size: str
) -> None:
    with pytest.raises(SystemExit) as refused:
        main(["player", f"{option}={size}"])
    assert refused.value.code == 2
    assert f"{size} is no measure" in capsys.readouterr().err
    assert not (home / "player.toml").exists()


@pytest.mark.parametrize(
    ("typed", "cm"), [("172", 172), ("1,72 m", 172), ("5ft", 152), ("5'8\"", 173)]
)
def test_a_height_is_read_as_on_the_screens(typed: str, cm: float) -> None:
    assert typed_numbers.height(typed) == pytest.approx(cm)
    with pytest.raises(ArgumentTypeError, match="172, in cm, or as 5ft8"):
        typed_numbers.height("tall")


def test_bars_and_tempi_are_read_as_others_write_them() -> None:
    assert typed_numbers.bars("9–16") == typed_numbers.bars("9 - 16") == (9, 16)
    assert typed_numbers.bars("9") == (9, 9)
    assert typed_numbers.bars("9-") == (9, None)
    assert typed_numbers.bars("-8") == (None, 8)
    assert typed_numbers.tempo("72,5") == 72.5


def test_what_is_still_missing_for_a_prediction_is_named(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "or time a long tone." in said(capsys)
    assert "missing for a prediction: coach player --height-cm CM --sex female" in (
        said(capsys, "--age", "12")
    )
    told = said(capsys, "--height-cm", "172", "--age", "30", "--sex", "f")
    assert "or time a long tone." in told
    told = said(capsys, "--long-tone", "15")
    assert "Measure it.\n" in told


@pytest.mark.parametrize(
    ("player", "option"), [((), ""), (("--as", "Ann"), "--as Ann ")]
)
def test_the_commands_that_are_named_are_the_player_s_own(
    player: tuple[str, ...], option: str, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["player", *player, "--age", "30"])
    main(["plan", "tide", *player])
    main(["today", *player])
    said = capsys.readouterr().out
    assert f"  coach player {option}--long-tone SECONDS" in said
    assert f"  coach player {option}--tongued SECONDS --in-twos SECONDS" in said
    assert f"prediction: coach player {option}--height-cm CM" in said
    assert f"one long tone (coach player {option}--long-tone SECONDS)" in said
    begins = f"        coach rehearse morning-air {option}".rstrip()
    assert begins in said.splitlines()
    main(["review", *player])
    assert begins in capsys.readouterr().out.splitlines()


@pytest.mark.parametrize(("age", "is_told"), [("12", True), ("30", False)])
def test_a_child_is_told_that_the_guess_is_made_for_a_grown_player(
    capsys: pytest.CaptureFixture[str], age: str, is_told: bool
) -> None:
    told = said(capsys, "--age", age)
    assert ("assumed for a grown player" in told) is is_told
    assert "assumed" in told
