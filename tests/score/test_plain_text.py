"""Words from files never command a terminal or a screen."""

from __future__ import annotations

import subprocess
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.text import Text
from textual.content import Content

from coach.score.plain_text import LONGEST, bare_words, copied, plain_words


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("The Long River", "The Long River"),
        ("  Two\tby\r\nTwo ", "Two by Two"),
        ("\x1b[31mRed\x1b[0m", "Red"),
        ("\x1b]0;owned\x07Title", "Title"),
        ("\x1b]8;;http://x\x1b\\link\x1b]8;;\x1b\\", "link"),
        ("\x9b31mRed \x9d0;owned\x9cTitle", "Red Title"),
        ("\x1bcReset", "Reset"),
        ("broken \x1b", "broken"),
        ("Etude <b>No. 2</b>", "Etude No. 2"),
        ("Etude<br/>in <SUP class='x'>two</SUP> lines", "Etude in two lines"),
        ("The <Long> River", "The (Long) River"),
        ("<script>Low</script>", "(script)Low(/script)"),
        ("a < b", "a < b"),
        ("[@click=app.bell]Press[/]", "(@click=app.bell)Press(/)"),
        ("left\u202eright\u2066\u200f", "leftright"),
        ("Étude für Ōsaka 日本 ♭", "Étude für Ōsaka 日本 ♭"),
        ("\ud800\ue000\x00", ""),
        ("\u2028new\u2029line", "new line"),
    ],
)
def test_words_are_plain(text: str, plain: str) -> None:
    assert plain_words(text) == plain


def test_long_words_are_cut_where_they_can_be_seen_to_be() -> None:
    cut = plain_words("river " * 100)
    assert len(cut) <= LONGEST
    assert cut.endswith("…")


@settings(deadline=None)
@given(st.text())
def test_nothing_that_commands_a_screen_is_left(text: str) -> None:
    plain = plain_words(text)
    assert len(plain) <= LONGEST
    assert not any(unicodedata.category(sign).startswith("C") for sign in plain)
    assert plain_words(plain) == plain or "…" in plain


@settings(deadline=None)
@given(
    st.lists(st.sampled_from(["[", "]", "/", "b", "@click=a", "\\", "=", " ", "red"]))
)
def test_markup_is_shown_and_not_obeyed(pieces: list[str]) -> None:
    plain = plain_words("".join(pieces))
    assert Content.from_markup(plain).plain.replace("\\", "") == plain.replace("\\", "")
    assert Text.from_markup(plain).spans == []


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ("Long River", "long river"),
        ("long-river", "long river"),
        ("  Étude  (n° 12), “slow” ", "etude n 12 slow"),
        ("E\u0301tude", "etude"),
        ("STRASSE Straße", "strasse strasse"),
        ("…!?", ""),
        ("長い川", "長い川"),
    ],
)
def test_bare_words_are_the_same_however_they_are_typed(text: str, bare: str) -> None:
    assert bare_words(text) == bare


@pytest.mark.parametrize(
    "name",
    ["low-road", "low road", "-dash", "--bars", "it's", "a\nb", "a'\x1b[31m\\", "é"],
)
def test_a_shell_gives_the_name_back_and_a_terminal_is_not_commanded(name: str) -> None:
    command = copied("plan", name, "--transpose -12")
    assert command.isprintable()
    script = f"coach() {{ printf '%s|' \"$@\"; }}; {command}"
    given = subprocess.run(
        ["bash", "-c", script],
        capture_output=True,
        check=True,
        env={"LC_ALL": "C.UTF-8"},
    ).stdout.decode()
    first, *words = given.split("|")[:-1]
    assert first == "plan"
    options = ["--transpose", "-12"]
    is_dashed = name.startswith("-")
    assert words == ([*options, "--", name] if is_dashed else [name, *options])
