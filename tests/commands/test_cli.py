"""The front door: what a command prints and what it exits with."""

from __future__ import annotations

import csv
import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from coach.cli import _say_crash, main
from coach.rehearsal.run.playing import say_room
from coach.screens.shelf.shelf_needs import Etude
from coach.wiring import real_shelf as shelf
from coach.wiring.moved_etudes import open_moved
from coach.wiring.open_rehearsal import open_log
from coach.wiring.taking_in import put_on_shelf

ROOT = Path(__file__).parent.parent.parent


def said(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Run a command that must succeed; give what it printed."""
    assert main(words) == 0
    return capsys.readouterr().out


def said_json(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    return json.loads(said(capsys, *words))


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Run a command that must fail in one sentence; give it."""
    assert main(words) == 1
    captured = capsys.readouterr()
    assert captured.out == ""
    (line,) = captured.err.splitlines()
    return line


def test_a_plan_has_a_line_for_each_breath(capsys: pytest.CaptureFixture[str]) -> None:
    plan = said_json(capsys, "plan", "two-by-two", "--json")
    table = said(capsys, "plan", "two-by-two", "--compare", "--reach")
    rows = re.findall(r"^ +\d+ +[\d.]+  \(?(?:catch|deep|full)\b", table, re.MULTILINE)
    assert len(rows) == len(plan["breaths"]) > 0
    assert "tongued, usual" in table
    assert re.search(r"^air \(L\) +[\d.]+ +[\d.]+ +-?\d+%$", table, re.MULTILINE)
    assert "In one breath" in table


def test_a_segment_counts_its_seconds_from_its_own_start(
    capsys: pytest.CaptureFixture[str],
) -> None:
    plan = said_json(capsys, "plan", "long-river", "--bars", "9-16", "--json")
    assert plan["notes"][0]["bar"] == 9
    assert plan["notes"][0]["start_s"] == 0
    assert {note["bar"] for note in plan["notes"]} == set(range(9, 17))


def test_a_stretch_that_is_left_open_goes_to_the_last_bar(
    capsys: pytest.CaptureFixture[str],
) -> None:
    bars = {
        typed: {
            note["bar"]
            for note in said_json(capsys, "plan", "tide", typed, "--json")["notes"]
        }
        for typed in ("--bars=20-", "--bars=-3")
    }
    assert bars == {"--bars=20-": set(range(20, 25)), "--bars=-3": {1, 2, 3}}
    said(capsys, "rehearse", "tide", "--plain", "--fast", "--bars", "23-")
    (run,) = said_json(capsys, "log", "--json")
    assert run["segment"] == {"from_bar": 23, "to_bar": 24}


def test_a_terminal_without_signs_gets_letters_alone(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    tune = tmp_path / "ubung.abc"
    tune.write_text("X:1\nT:Übung №1 – “leicht”\nL:1/4\nK:C bass\nCDEF|G4|\n")
    monkeypatch.setenv("TERM", "dumb")
    told = ""
    for words in (
        ("plan", str(tune)),
        ("plan", "tide", "--compare", "--reach"),
        ("plan", str(tune), "--check"),
        ("import", str(tune)),
        ("rehearse", str(tune), "--plain", "--fast"),
        ("log",),
        ("review",),
        ("review", str(tune)),
        ("today",),
    ):
        told = said(capsys, *words)
        assert told.isascii(), (words, told)
        assert "?" not in told, "a sign that nobody gave a letter"
    assert "Ubung" in told  # today offers what was put on the shelf
    assert refused(capsys, "plan", "Ölpumpe").isascii()
    assert said_json(capsys, "plan", str(tune), "--json")["etude"]["title"][0] == "Ü"


def test_a_segment_hears_the_phrases_of_the_whole(
    capsys: pytest.CaptureFixture[str],
) -> None:
    whole = said_json(capsys, "plan", "long-river", "--json")
    part = said_json(capsys, "plan", "long-river", "--bars", "9-16", "--json")
    first = next(note["i"] for note in whole["notes"] if note["bar"] == 9)
    ends = [gap["phrase_end"] for gap in part["gaps"]]
    same = whole["gaps"][first : first + len(ends)]
    assert ends == [gap["phrase_end"] for gap in same]


def test_a_slower_tempo_takes_longer(capsys: pytest.CaptureFixture[str]) -> None:
    slow = said_json(capsys, "plan", "tide", "--tempo", "40", "--json")
    fast = said_json(capsys, "plan", "tide", "--tempo", "80", "--json")
    assert slow["tempo"]["bpm"] == 40
    assert slow["tempo"]["beat_quarters"] == 1.5
    assert slow["notes"][-1]["end_s"] == pytest.approx(2 * fast["notes"][-1]["end_s"])


def test_the_next_note_is_always_in_time(capsys: pytest.CaptureFixture[str]) -> None:
    plan = said_json(capsys, "plan", "long-river", "--json")
    quarter_s = 60 / 92
    for breath in plan["breaths"]:
        start = plan["notes"][breath["after_note"] + 1]["start_s"]
        assert breath["next_note_s"] == start
        sixteenths = start / (quarter_s / 4)
        assert sixteenths == pytest.approx(round(sixteenths), abs=1e-4)


def test_a_plain_rehearsal_is_logged(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("rehearse", "tide", "--plain", "--fast", "--bars", "1-4", "--runs", "2")
    lines = said(capsys, *words).splitlines()
    assert "bar 1" in lines
    runs = said_json(capsys, "log", "--json")
    assert [run["segment"] for run in runs] == [{"from_bar": 1, "to_bar": 4}] * 2
    assert all(run["completed"] for run in runs)
    assert runs == said_json(capsys, "log", "tide", "--json")
    assert said_json(capsys, "log", "--json", "--since", "2999-01-01") == []
    assert "Tide, bars 1 to 4" in said(capsys, "log")
    (advice,) = said_json(capsys, "review", "tide", "--json")["next"]
    assert f"Next: bars 1 to 24 at {advice['bpm']:g}. " in said(
        capsys, "review", "tide"
    )
    assert said_json(capsys, "review", "tide", "--json")["runs"] == 2


def test_a_run_as_fast_as_it_can_is_played_by_nobody(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said(capsys, "rehearse", "tide", "--plain", "--fast", "--bars", "1-4")
    (run,) = said_json(capsys, "log", "tide", "--json")
    assert (run["completed"], run["clean"], run["attended"]) == (True, False, False)
    assert "no word on it" in said(capsys, "log")
    review = said_json(capsys, "review", "tide", "--json")
    assert (review["runs"], review["attended"], review["clean_bpm"]) == (1, 0, None)
    assert (review["air"]["completed"], review["progress"]) == (0, [])
    assert "1 run, 1 with no word on it" in said(capsys, "review", "tide")


@pytest.mark.parametrize(
    ("words", "is_clean", "faults"),
    [
        ("clean\n", True, []),
        ("Clean.\n", True, []),
        ("good, lips tired\n", False, []),
        ("not clean, ran out 3.2, lips tired\n", False, ["ran-out"]),
        ("late after the breath 2", False, ["late-after-breath"]),
        ("", False, []),
    ],
)
def test_words_may_be_piped_in(words: str, is_clean: bool, faults: list[str]) -> None:
    command = [sys.executable, "-m", "coach"]
    rehearse = ["rehearse", "tide", "--plain", "--fast", "--bars", "1-4"]
    subprocess.run(
        [*command, *rehearse],
        check=True,
        capture_output=True,
        text=True,
        input=words,
        cwd=ROOT,
    )
    log = subprocess.run(
        [*command, "log", "--json"], check=True, capture_output=True, cwd=ROOT
    )
    (run,) = json.loads(log.stdout)
    assert run["clean"] is is_clean
    assert [mark["kind"] for mark in run["marks"]] == faults
    review = subprocess.run(
        [*command, "review", "tide"], check=True, capture_output=True, text=True
    )
    assert ("too little to tell from chance" in review.stdout) is bool(faults)
    assert "more often than by chance" not in review.stdout


@pytest.mark.parametrize(("left", "said"), [(1, "1 more run"), (2, "2 more runs")])
def test_words_for_runs_that_were_not_played_are_told(left: int, said: str) -> None:
    rehearse = ["rehearse", "tide", "--plain", "--fast", "--bars", "1-2"]
    told = subprocess.run(
        [sys.executable, "-m", "coach", *rehearse],
        check=True,
        capture_output=True,
        text=True,
        input="clean\n" * (1 + left),
        cwd=ROOT,
    )
    assert f"Words for {said} were piped in; not kept." in told.stdout


def test_a_terminal_that_knows_few_signs_is_told_what_it_can_show() -> None:
    """Quotes, flats and a player's own letters are no reason to break off."""
    rehearse = ["rehearse", "tide", "--plain", "--fast", "--bars", "1-2"]
    for command in (rehearse, ["log"], ["plan", "tide"]):
        told = subprocess.run(
            [sys.executable, "-m", "coach", *command],
            check=True,
            capture_output=True,
            input="müde\n".encode(),
            env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
            cwd=ROOT,
        )
        assert told.stdout.isascii()
        assert told.stderr == b""


def take_in(path: str) -> Etude:
    """Put a file on the shelf, which tells what the log has of it."""
    with open_log() as log:
        kept = put_on_shelf(Path(path))
        return shelf.describe(kept, open_moved(kept), log.tally())


def test_two_etudes_of_one_title_are_kept_apart_and_a_moved_file_is_known_again(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    one, other = tmp_path / "one.musicxml", tmp_path / "other.musicxml"
    for name, path in (("tide", one), ("long-river", other)):
        page = (ROOT / "etudes" / f"{name}.musicxml").read_text(encoding="utf-8")
        title = re.sub(">(Tide|Long River)</work-title>", ">Etude 5</work-title>", page)
        path.write_text(title, encoding="utf-8")
    said(capsys, "rehearse", str(one), "--plain", "--fast", "--bars", "1-2")
    (run,) = said_json(capsys, "log", str(one), "--json")
    assert run["etude"] == "Etude 5"
    assert said_json(capsys, "log", str(other), "--json") == []
    assert said_json(capsys, "review", str(other), "--json")["runs"] == 0
    assert said_json(capsys, "review", str(one), "--json")["runs"] == 1
    assert [take_in(str(path)).last_run is None for path in (one, other)] == [
        False,
        True,
    ]
    moved = one.rename(tmp_path / "moved.musicxml")
    assert said_json(capsys, "log", str(moved), "--part", "1", "--json") == [run]


def test_the_log_as_a_table(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    said(capsys, "rehearse", "tide", "--plain", "--fast", "--bars", "1-2")
    said(capsys, "log", "--csv", str(tmp_path / "runs.csv"))
    with (tmp_path / "runs.csv").open(newline="", encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    assert row["etude"] == "Tide"
    assert row["completed"] == "True"


def test_an_empty_log_says_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    assert "No runs yet" in said(capsys, "log")


def test_the_player_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    assert "assumed" in said(capsys, "player")
    said(capsys, "player", "--height-cm", "180", "--age", "30", "--sex", "male")
    player = said_json(capsys, "player", "--json")
    assert player["capacity_l"] == pytest.approx(5.260, rel=0.003)
    """GLI Global 2022: Bowerman et al. 2023, AJRCCM 207:768-774, worked value."""
    said(capsys, "player", "--capacity-l", "4.2", "--long-tone", "20")
    player = said_json(capsys, "player", "--json")
    assert (player["capacity_l"], player["capacity_from"]) == (4.2, "measured")
    assert player["flow_scale"] != 1
    assert "long tone" in said(capsys, "player")


def test_two_long_tones_set_the_dynamics_too(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A loud tone that lasts less long than the model's makes loud notes dearer."""
    said(capsys, "player", "--capacity-l", "5", "--long-tone", "11")
    soft = said_json(capsys, "plan", "long-river", "--json")
    table = said(capsys, "player", "--loud-tone", "4")
    assert "Each step of dynamics" in table
    fitted = said_json(capsys, "plan", "long-river", "--json")
    assert fitted["player"] == soft["player"]
    flows = [
        [note["flow_lps"] for note in plan["notes"] if note["dynamic"] == "p"]
        for plan in (soft, fitted)
    ]
    assert flows[1] < flows[0]
    assert "tone" in refused(capsys, "player", "--loud-tone", "30")


def test_instruments_have_their_own_positions(
    capsys: pytest.CaptureFixture[str],
) -> None:
    plain = said_json(capsys, "plan", "tide", "--json")
    valves = said_json(capsys, "plan", "tide", "--instrument", "euphonium", "--json")
    voice = said_json(capsys, "plan", "tide", "--instrument", "singer", "--json")
    assert plain["notes"][0]["position_cm"] is not None
    assert valves["notes"][0]["position_cm"] is None
    assert voice["instrument"] == "voice"
    assert {note["position"] for note in voice["notes"]} == {""}


def test_a_plan_speaks_the_language_of_its_instrument(
    capsys: pytest.CaptureFixture[str],
) -> None:
    slide = said(capsys, "plan", "two-by-two", "--compare")
    valves = said(capsys, "plan", "two-by-two", "--compare", "--instrument", "Horn")
    assert "tenor trombone, lungs" in slide
    assert "slide" in slide.lower()
    assert "horn in F, lungs" in valves
    assert "slide" not in valves.lower()
    assert "natural" not in valves


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("plan", "no-such-etude"), "no etude"),
        (("plan", "long-rivr"), "long-river"),
        (("plan", "tide", "--bars", "90-99"), "has no bar 90 and no bar 99."),
        (("plan", "tide", "--bars", "99-"), "has no bar 99."),
        (("rehearse", "tide", "--plain", "--fast", "--bars", "99-"), "no bar 99."),
        (("plan", "tide", "--as", ""), "“” cannot be a player's name."),
        (("plan", "tide", "--instrument", "kazoo"), "no instrument"),
        (("plan", "tide", "--part", "Piccolo"), "Piccolo"),
        (("player", "--height-cm", "9", "--age", "30", "--sex", "male"), "9 cm"),
        (("player", "--capacity-l", "40"), "40 L"),
        (("player", "--long-tone", "900"), "900 s"),
        (("log", "--since", "yesterday"), "yesterday"),
        (("rehearse", "tide", "--fast"), "--plain"),
        (("log", "--csv", "/no/such/folder/runs.csv"), "cannot be written"),
    ],
)
def test_what_can_be_mended_is_one_sentence(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], sentence: str
) -> None:
    assert sentence in refused(capsys, *words)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device is always full")
def test_a_full_disk_is_no_fault_of_the_coach(
    capsys: pytest.CaptureFixture[str], home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Path("/dev/full").open("w", buffering=1) as full:
        monkeypatch.setattr(sys, "stdout", full)
        assert main(("plan", "tide", "--json")) == 1
    assert capsys.readouterr().err.startswith("coach: The disk is full: ")
    assert not (home / "crash.txt").exists()


def test_settings_that_lie_elsewhere_stay_there(
    capsys: pytest.CaptureFixture[str], home: Path, tmp_path: Path
) -> None:
    """A link that leads to them is left as it is."""
    elsewhere = tmp_path / "elsewhere.toml"
    elsewhere.touch()
    home.mkdir(parents=True, exist_ok=True)
    (home / "player.toml").symlink_to(elsewhere)
    said(capsys, "player", "--capacity-l", "4.2")
    assert (home / "player.toml").is_symlink()
    assert "4.2" in elsewhere.read_text()


def test_a_refused_setting_changes_nothing(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    said(capsys, "player", "--capacity-l", "4.2")
    before = (home / "player.toml").read_bytes()
    refused(capsys, "player", "--capacity-l", "40")
    assert (home / "player.toml").read_bytes() == before


@pytest.mark.parametrize(
    "words",
    [
        ("plan",),
        ("plan", "tide", "--tempo", "0"),
        ("plan", "tide", "--tempo", "fast"),
        ("plan", "tide", "--bars", "9-3"),
        ("rehearse", "tide", "--runs", "0"),
        ("rehearse", "tide", "--count-in", "-1"),
        ("dance",),
    ],
)
def test_wrong_usage_exits_with_two(words: tuple[str, ...]) -> None:
    with pytest.raises(SystemExit) as exit_:
        main(words)
    assert exit_.value.code == 2


@pytest.mark.parametrize(
    "text", ["not = toml =", "[player]\nage = 'old'", "[player]\nshoe_size = 44"]
)
def test_a_damaged_player_file_is_named(
    capsys: pytest.CaptureFixture[str], home: Path, text: str
) -> None:
    (home / "player.toml").write_text(text, encoding="utf-8")
    assert "player.toml" in refused(capsys, "player")


def test_the_player_may_set_any_number_anew(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    before = said_json(capsys, "plan", "tide", "--json")
    (home / "player.toml").write_text("[air]\nflow_f3_mf_lps = 0.5\n", encoding="utf-8")
    after = said_json(capsys, "plan", "tide", "--json")
    assert after["notes"][0]["flow_lps"] > before["notes"][0]["flow_lps"]


def test_screens_without_a_terminal_say_so() -> None:
    result = subprocess.run(
        [sys.executable, "-m", "coach"],
        check=False,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        cwd=ROOT,
    )
    assert result.returncode == 1
    assert "--plain" in result.stderr
    assert "Traceback" not in result.stderr


def test_an_interrupted_rehearsal_keeps_its_run() -> None:
    """Ctrl-C in the middle: exit code 130, and the run is in the log as cut off."""
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    command = [sys.executable, "-m", "coach"]
    words = ["rehearse", "tide", "--plain", "--silent", "--tempo", "120"]
    # What is started in the background of a script ignores Ctrl-C, and so would this.
    heeding = ["env", "--default-signal=INT", *command, *words]
    with subprocess.Popen(
        heeding, stdout=subprocess.PIPE, text=True, cwd=ROOT, env=environment
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if line.strip() == "bar 1":
                process.send_signal(signal.SIGINT)
                break
        rest = process.stdout.read()
    assert process.returncode == 130, rest
    result = subprocess.run(
        [*command, "log", "--json"], check=True, capture_output=True, cwd=ROOT
    )
    (run,) = json.loads(result.stdout)
    assert run["completed"] is False


def test_where_no_folder_can_be_made_one_can_plan_and_rehearse(
    capsys: pytest.CaptureFixture[str], home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (home / "file").write_text("", encoding="utf-8")
    monkeypatch.setenv("COACH_HOME", str(home / "file" / "home"))
    rehearse = ("rehearse", "tide", "--plain", "--fast", "--bars", "1-2")
    for words in (("plan", "tide"), ("player",), ("today",), rehearse):
        assert main([*words]) == 0
        (told,) = capsys.readouterr().err.splitlines()
        assert told.endswith("Until then nothing is kept.")
    assert "cannot be used" in refused(capsys, "log")


def test_a_pickup_alone_is_not_called_no_bars(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    tune = "X:1\nT:Upbeat\nM:4/4\nL:1/4\nK:Bb clef=bass\nF,|B,2 C2|D4|]\n"
    (home / "upbeat.abc").write_text(tune, encoding="utf-8")
    told = said(capsys, "plan", str(home / "upbeat.abc"), "--bars", "0")
    assert ", pickup, 1 note\n" in told


def test_a_fault_of_ours_is_a_sentence_and_its_details_are_kept(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    crash = RuntimeError("slide fell off")
    assert _say_crash(crash) == 1
    assert "Traceback" not in capsys.readouterr().err
    assert "slide fell off" in (home / "crash.txt").read_text(encoding="utf-8")


def test_a_fault_beside_settings_that_cannot_be_read_is_ours(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    (home / "player.toml").write_text("[slide\n", encoding="utf-8")
    assert _say_crash(RuntimeError("slide fell off")) == 1
    assert "This is a fault of the coach" in capsys.readouterr().err


def test_own_settings_that_do_not_work_are_named(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    """A number that no table refuses, and that nothing can be worked out with."""
    own = home / "player.toml"
    own.write_text("[player]\nage = 30.0\n[slide]\nquick_s = 0.0\n", encoding="utf-8")
    told = refused(capsys, "plan", "two-by-two")
    assert f"Either your own settings in {own} (slide) do not work" in told
    assert "crash.txt" in told


@pytest.mark.parametrize(("asked", "beats"), [("beat", 1.0), ("half", 0.5)])
def test_each_breath_may_have_room(
    capsys: pytest.CaptureFixture[str], asked: str, beats: float
) -> None:
    words = ("rehearse", "tide", "--plain", "--fast", "--bars", "1-8")
    out = said(capsys, *words, "--room", asked)
    assert f"with {say_room(beats)} at each breath" in out
    (run,) = said_json(capsys, "log", "--json")
    assert run["room_beats"] == beats


def test_where_no_breath_needs_room_that_is_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = ("rehearse", "tide", "--plain", "--fast", "--bars", "1-1")
    out = said(capsys, *words, "--room", "beat")
    assert "no breath needs room" in out
    (run,) = said_json(capsys, "log", "--json")
    assert run["room_beats"] == 0.0


def test_two_breaths_set_what_the_tongue_takes(
    capsys: pytest.CaptureFixture[str],
) -> None:
    usual = said_json(capsys, "plan", "mill-wheel", "--json")
    assert "as the model has it" in said(capsys, "player", "--tongued", "12")
    out = said(capsys, "player", "--in-twos", "14")
    assert "in 60 ms, from 12 s tongued and 14 s in twos" in out
    assert "half a second off makes it 43 to 79 ms" in out
    own = said_json(capsys, "plan", "mill-wheel", "--json")
    flows = [[note["flow_lps"] for note in plan["notes"]] for plan in (usual, own)]
    assert sum(flows[1]) > sum(flows[0])
    assert said_json(capsys, "player", "--json")["pair_wind"] == "brass"
    told = refused(capsys, "player", "--in-twos", "11")
    assert "a breath ends a little sooner" in told
    assert said_json(capsys, "player", "--json")["in_twos_s"] == 14.0
    flute = said(capsys, "player", "--instrument", "flute")
    assert "as the model has it" in flute
