"""Leaving: at any moment, at once, with the run kept and nothing left behind."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.config import home as own_home
from coach.edges.ending import EXIT_INTERRUPTED
from coach.edges.left_folders import clear_left_folders, hold_folder
from coach.edges.scores.etude_shelf import find_etude
from coach.edges.scores.score_files import list_parts, read_part
from tests.commands.pty_coach import ENTERS, LEAVES, PtyCoach
from tests.jack_stand import PATIENCE_S, ROOT, wait_until

CTRL_C, CTRL_Q, CTRL_Z = "\x03", "\x11", "\x1a"
AT_ONCE_S = 1.0
"""Coarse: on a quiet machine it takes a third of a second."""

READS_FOR_EVER = "[scores.limits]\nwall_s = 600.0\n"

IS_SET_UP = "[screens]\nis_set_up = true\nhas_seen_cautions = true\n"


def read_log(home: Path) -> list[dict[str, object]]:
    """Read the runs that were kept."""
    result = subprocess.run(
        [sys.executable, "-m", "coach", "log", "--json"],
        cwd=ROOT,
        env={**os.environ, "COACH_HOME": str(home)},
        capture_output=True,
        check=True,
    )
    runs: list[dict[str, object]] = json.loads(result.stdout)
    return runs


def rehearse_on_screen(home: Path) -> PtyCoach:
    """Open a known etude without sound, and play until its music has begun."""
    etude = find_etude("long-river")
    list_parts(etude)
    read_part(etude)
    shutil.copytree(own_home() / "cache", home / "cache")
    (home / "player.toml").write_text(IS_SET_UP, encoding="utf-8")
    coach = PtyCoach(home, "rehearse", "long-river", "--silent", "--tempo", "240")
    coach.wait_for("Long River")
    coach.press("\r")
    coach.wait_for("starts the count-in")
    before = coach.press(" ")
    coach.wait_for("next breath", before)
    return coach


def test_a_first_start_is_left_at_once_while_etudes_are_still_read(
    tmp_path: Path,
) -> None:
    (tmp_path / "player.toml").write_text(READS_FOR_EVER, encoding="utf-8")
    coach = PtyCoach(tmp_path, "--engraved", "off")
    wait_until(lambda: ENTERS in coach.written)
    wait_until(lambda: any("score_child" in child for child in coach.children()))
    for process, words in coach.processes().items():
        if "score_child" in words:
            os.kill(process, signal.SIGSTOP)
    coach.press(CTRL_Q)
    assert coach.end() == 0
    assert LEAVES in coach.written
    wait_until(lambda: not coach.children())
    assert coach.left_folders() == []


@pytest.mark.timing
def test_a_run_is_left_in_no_time(tmp_path: Path) -> None:
    coach = rehearse_on_screen(tmp_path)
    began = time.monotonic()
    coach.press(CTRL_Q)
    assert coach.end() == 0
    assert time.monotonic() - began < AT_ONCE_S


def test_a_key_to_quit_waits_for_no_screen_that_would_read_it(tmp_path: Path) -> None:
    """What loads the screens may take as long as it likes."""
    loads_for_ever = (
        "import time\nfrom coach.edges.early_keys import keep_early_keys\n"
        "with keep_early_keys():\n while True: time.sleep(0.01)"
    )
    coach = PtyCoach(tmp_path, program=("-c", loads_for_ever))
    before = coach.keeps_keys()
    wait_until(coach.keeps_keys)
    coach.press(CTRL_Q)
    assert coach.wait_for_end() == 0
    assert (before, coach.keeps_keys()) == (False, False), "the terminal is as it was"
    coach.close_window()


@pytest.mark.parametrize(
    "leave",
    [lambda coach: coach.press(CTRL_C), lambda coach: coach.tell(signal.SIGHUP)],
    ids=["Ctrl+C", "hung up"],
)
def test_a_start_that_is_interrupted_is_not_taken_apart_first(
    leave: Callable[[PtyCoach], object], tmp_path: Path
) -> None:
    """Taking a program apart takes longer than a player waits: here, for ever."""
    for_ever = (
        "import atexit, time\nfrom coach.cli import main\n"
        "atexit.register(time.sleep, 600)\nraise SystemExit(main([]))"
    )
    coach = PtyCoach(tmp_path, program=("-c", for_ever))
    wait_until(coach.keeps_keys)
    leave(coach)
    assert coach.wait_for_end() == EXIT_INTERRUPTED
    assert not coach.keeps_keys()
    coach.close_window()


INTERRUPTED_AT_ONCE = """
import builtins, os, runpy, signal
signal.signal(signal.SIGINT, signal.default_int_handler)
take = builtins.__import__
def interrupted(name, *others, **named):
    if name == "coach.cli":
        os.kill(os.getpid(), signal.SIGINT)
    return take(name, *others, **named)
builtins.__import__ = interrupted
runpy.run_module("coach", run_name="__main__")
"""


def test_before_its_modules_are_read_it_is_ended_without_a_word() -> None:
    ended = subprocess.run(
        [sys.executable, "-c", INTERRUPTED_AT_ONCE],
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert (ended.returncode, ended.stderr) == (-signal.SIGINT, b"")


STANDS_STILL = {
    "draws on": 'while True: self._driver.write("busy"); time.sleep(0.01)',
    "opens a screen": 'self._driver.write("busy"); await asyncio.sleep(600)',
}
"""What an app does that hears of nothing, with its loop or beside it."""


@pytest.mark.parametrize("stands", STANDS_STILL)
@pytest.mark.parametrize(
    ("leave", "code"),
    [
        (lambda coach: coach.press(CTRL_Q), 0),
        (lambda coach: coach.press(CTRL_C), 0),
        (lambda coach: coach.tell(signal.SIGHUP), EXIT_INTERRUPTED),
    ],
    ids=["Ctrl+Q", "Ctrl+C", "hung up"],
)
def test_screens_that_are_busy_are_left_all_the_same(
    leave: Callable[[PtyCoach], object], code: int, stands: str, tmp_path: Path
) -> None:
    """They stand still for ever as they open, and draw on into another's terminal."""
    busy = f"""
import asyncio, time
from coach.edges.early_keys import keep_early_keys
from coach.edges.ending import leave_within, quit_from_outside
from coach.screens.leaving.leaving_app import LeavingApp
class Busy(LeavingApp):
    def leave_soon(self): leave_within(lambda: None, 600.0)
    def leave_now(self, code): quit_from_outside(lambda: None, code)
    async def on_ready(self):
        {STANDS_STILL[stands]}
with keep_early_keys(): Busy().run()
"""
    coach = PtyCoach(tmp_path, program=("-c", busy))
    coach.wait_for("busy")
    leave(coach)
    assert coach.wait_for_end() == code
    assert not coach.keeps_keys()
    coach.close_window()
    last_words = bytes(coach.written).partition(LEAVES)[2]
    assert last_words.endswith(b"\x1b[?25h\x1b[?1004l")
    assert b"busy" not in last_words


def test_screens_that_are_taken_away_half_built_are_no_fault(tmp_path: Path) -> None:
    """They lacked their widgets, and the coach said that it was at fault."""
    told_early = """
import os, signal
from coach.rehearsal.gear.gear import ManualClock
from coach.screens.app import CoachApp
from tests.screens.paper_studio import PaperStudio, make_part
class Told(CoachApp):
    def get_default_screen(self):
        os.kill(os.getpid(), signal.SIGHUP)
        return super().get_default_screen()
app = Told(PaperStudio([make_part()], ManualClock(0.0)))
app.run()
app.raise_what_went_wrong()
raise SystemExit(app.return_code)
"""
    coach = PtyCoach(tmp_path, program=("-c", told_early))
    assert coach.end() == EXIT_INTERRUPTED


@pytest.mark.parametrize(
    "leave",
    [
        lambda coach: coach.tell(signal.SIGTERM),
        lambda coach: coach.tell(signal.SIGHUP),
        lambda coach: coach.close_window(),
    ],
    ids=["told to end", "hung up", "window closed"],
)
def test_a_run_that_is_under_way_is_kept_with_its_last_bar(
    leave: Callable[[PtyCoach], None], tmp_path: Path
) -> None:
    coach = rehearse_on_screen(tmp_path)
    leave(coach)
    assert coach.end() == 130
    wait_until(lambda: not coach.children())
    assert coach.left_folders() == []
    (run,) = read_log(tmp_path)
    assert run["completed"] is False
    assert run["reached_bar"]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_rehearsal_in_lines_is_kept_when_it_is_told_to_end(
    number: int, tmp_path: Path
) -> None:
    words = ["rehearse", "long-river", "--plain", "--silent", "--count-in", "0"]
    with subprocess.Popen(
        [sys.executable, "-m", "coach", *words],
        cwd=ROOT,
        env={**os.environ, "COACH_HOME": str(tmp_path)},
        stdout=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        text=True,
    ) as process:
        assert process.stdout
        for line in process.stdout:
            if line == "bar 1\n":
                process.send_signal(number)
                break
        rest = process.stdout.read()
    assert process.returncode == 130
    assert "Cut off in bar 1; kept in the log as run 1." in rest


def go_and_come_back(coach: PtyCoach) -> int:
    """Give the terminal back for a while; tell what had been written by then."""
    before = coach.press(CTRL_Z)
    wait_until(lambda: os.waitpid(coach.process, os.WUNTRACED | os.WNOHANG)[0])
    wait_until(lambda: LEAVES in coach.written[before:])
    came_back = len(coach.written)
    coach.tell(signal.SIGCONT)
    wait_until(lambda: ENTERS in coach.written[came_back:])
    return came_back


def test_the_terminal_is_given_back_for_a_while_and_taken_again(
    tmp_path: Path,
) -> None:
    coach = rehearse_on_screen(tmp_path)
    coach.wait_for("cut off in bar", go_and_come_back(coach))
    coach.press(CTRL_Q)
    assert coach.end() == 0
    assert [run["completed"] for run in read_log(tmp_path)] == [False]


def test_all_of_the_screen_is_drawn_again_where_nothing_is_new(tmp_path: Path) -> None:
    (tmp_path / "player.toml").write_text(IS_SET_UP, encoding="utf-8")
    coach = PtyCoach(tmp_path)
    coach.wait_for("10 etudes")
    coach.wait_for("10 etudes", go_and_come_back(coach))
    coach.press(CTRL_Q)
    assert coach.end() == 0


def test_nothing_plays_on_while_another_program_lets_it_wait(tmp_path: Path) -> None:
    coach = rehearse_on_screen(tmp_path)
    before = len(coach.written)
    coach.tell(signal.SIGTSTP)
    wait_until(lambda: os.waitpid(coach.process, os.WUNTRACED | os.WNOHANG)[0])
    wait_until(lambda: LEAVES in coach.written[before:])
    before = len(coach.written)
    coach.tell(signal.SIGCONT)
    coach.wait_for("cut off in bar", before)
    coach.press(CTRL_Q)
    assert coach.end() == 0
    assert [run["completed"] for run in read_log(tmp_path)] == [False]


def test_a_coach_that_loses_its_terminal_in_the_shell_ends_soon(
    tmp_path: Path,
) -> None:
    coach = rehearse_on_screen(tmp_path)
    coach.press(CTRL_Z)
    wait_until(lambda: os.waitpid(coach.process, os.WUNTRACED | os.WNOHANG)[0])
    coach.close_window()
    coach.tell(signal.SIGCONT)
    assert coach.end() == EXIT_INTERRUPTED
    wait_until(lambda: not coach.children())
    assert coach.left_folders() == []
    assert [run["completed"] for run in read_log(tmp_path)] == [False]


def test_a_coach_whose_terminal_takes_nothing_ends_soon_when_told(
    tmp_path: Path,
) -> None:
    coach = rehearse_on_screen(tmp_path)
    coach.stand_still()
    coach.tell(signal.SIGTERM)
    assert coach.end() == EXIT_INTERRUPTED
    wait_until(lambda: not coach.children())
    assert coach.left_folders() == []


def test_what_a_killed_coach_left_is_cleared_and_what_lives_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    ask = (
        "import sys\nfrom coach.edges.left_folders import hold_folder\n"
        "with hold_folder() as (name, _):\n print(name, flush=True)\n sys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", ask],
        cwd=ROOT,
        env={**os.environ, "TMPDIR": str(tmp_path)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as other:
        assert other.stdout
        folder = Path(other.stdout.readline().strip())
        later = folder.stat().st_ctime + 60.0
        (folder / "half.xml").write_text("", encoding="utf-8")
        clear_left_folders(later)
        assert folder.exists(), "its coach lives"
        other.kill()
        other.wait(PATIENCE_S)
    with hold_folder() as (own, _):
        clear_left_folders(later)
        assert not folder.exists()
        assert Path(own).exists()
    assert list(tmp_path.glob("coach-*")) == []


def test_a_folder_that_is_just_made_is_let_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    folder = tmp_path / "coach-reading-x"
    folder.mkdir()
    clear_left_folders(folder.stat().st_ctime)
    assert folder.exists()
    clear_left_folders(folder.stat().st_ctime + 60.0)
    assert not folder.exists()
