"""Which terminals show pictures; asking one never takes long and loses no key."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from coach.edges.engraving.terminal_graphics import known_graphics, read_answer

pty = pytest.importorskip("pty")
ROOT = Path(__file__).parents[3]

ASK = """
import sys
from coach.edges.engraving.terminal_graphics import ask_terminal, measure_cell
print("ready", flush=True)
sys.stdin.readline()
answer = ask_terminal()
print(repr((answer.graphics, answer.cell, answer.typed)), flush=True)
"""

SIXEL_ANSWER = b"\x1b[6;18;9t\x1b[?62;4;22c"
KITTY_ANSWER = b"\x1b[6;20;10t\x1b_Gi=31;OK\x1b\\\x1b[?62;c"
PLAIN_ANSWER = b"\x1b[?1;2c"


@pytest.mark.parametrize(
    ("variables", "graphics"),
    [
        ({"TERM": "xterm-kitty"}, "kitty"),
        ({"TERM": "xterm-ghostty"}, "kitty"),
        ({"TERM": "foot"}, "sixel"),
        ({"TERM": "xterm-256color", "TERM_PROGRAM": "WezTerm"}, "sixel"),
        ({"TERM": "xterm-256color", "TERM_PROGRAM": "iTerm.app"}, "sixel"),
        ({"TERM": "xterm-256color", "KONSOLE_VERSION": "230802"}, "sixel"),
        ({"TERM": "xterm-256color", "KONSOLE_VERSION": "210400"}, None),
        ({"TERM": "xterm-256color"}, None),
        ({"TERM": "xterm-256color", "KITTY_WINDOW_ID": "1"}, None),
        ({"TERM": "xterm-kitty", "TMUX": "/tmp/tmux-0/default,1,0"}, None),
        ({"TERM": "screen-256color", "TERM_PROGRAM": "WezTerm"}, None),
        ({"TERM": "foot", "STY": "1.pts"}, None),
        ({"TERM": "foot", "NO_COLOR": "1"}, None),
        ({"TERM_PROGRAM": "WezTerm", "VTE_VERSION": "7200"}, None),
        ({}, None),
    ],
)
def test_a_terminal_is_known_by_its_own_variables(
    variables: dict[str, str], graphics: str | None
) -> None:
    assert known_graphics(variables) == graphics


def test_answers_are_told_from_keys_wherever_these_came_between() -> None:
    heard = b"q" + SIXEL_ANSWER[:9] + b"\x1b[A" + SIXEL_ANSWER[9:] + "ä ".encode()
    answer = read_answer(heard)
    assert (answer.graphics, answer.cell) == ("sixel", (9, 18))
    assert answer.typed == "q\x1b[Aä "


def test_a_kitty_that_says_ok_is_one_and_another_is_not() -> None:
    assert read_answer(KITTY_ANSWER).graphics == "kitty"
    assert read_answer(b"\x1b_Gi=31;ENOENT\x1b\\\x1b[?62c").graphics is None
    assert read_answer(PLAIN_ANSWER).graphics is None


def asked(
    home: Path, patience_s: int, answers: bytes, keys: bytes = b""
) -> tuple[object, object, str]:
    """Let a process ask a terminal that answers so, while keys are typed."""
    (home / "player.toml").write_text(
        f"[engraving.limits]\nanswer_s = {patience_s}\n", encoding="utf-8"
    )
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", ASK],
        stdin=theirs,
        stdout=theirs,
        cwd=ROOT,
        env={**os.environ, "COACH_HOME": str(home)},
        start_new_session=True,
    )
    os.close(theirs)
    heard = b""
    while b"ready" not in heard:
        heard += os.read(ours, 4096)
    os.write(ours, b"\n")
    while b"\x1b[c" not in heard:
        heard += os.read(ours, 4096)
    os.write(ours, keys + answers)
    while b"')\r\n" not in heard:
        heard += os.read(ours, 4096)
    process.wait()
    os.close(ours)
    said = heard[heard.rindex(b"\x1b[c(") + 3 :].decode()
    return eval(said)  # type: ignore[no-any-return]


def test_a_terminal_with_sixels_is_found_at_once(tmp_path: Path) -> None:
    graphics, cell, typed = asked(tmp_path, 30, SIXEL_ANSWER)
    assert (graphics, cell, typed) == ("sixel", (9, 18), "")


def test_a_silent_terminal_holds_nobody_up_and_loses_no_key(
    tmp_path: Path,
) -> None:
    began = time.monotonic()
    graphics, cell, typed = asked(tmp_path, 3, b"", b"j \x1b[B")
    assert (graphics, cell) == (None, None)
    assert typed == "j \x1b[B"
    assert time.monotonic() - began < 30


def test_keys_typed_before_a_terminals_answers_are_kept(tmp_path: Path) -> None:
    graphics, _, typed = asked(tmp_path, 30, KITTY_ANSWER, b"\r")
    assert (graphics, typed) == ("kitty", "\r")
