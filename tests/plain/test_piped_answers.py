"""Words about a run that come through a pipe, or do not come."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.plain.piped_answers import PipedWords


def piped(write: bytes, *, is_open: bool = False) -> io.TextIOWrapper:
    """Make a standard input that a script has written to, and maybe keeps open."""
    end, start = os.pipe()
    os.write(start, write)
    if not is_open:
        os.close(start)
    return os.fdopen(end, encoding="utf-8")


def test_a_line_that_was_piped_in_is_the_answer() -> None:
    with piped(b"not clean, lips tired\nclean\n") as pipe:
        assert PipedWords(pipe)("How was it?") == "not clean, lips tired"


def test_a_last_line_needs_no_end() -> None:
    with piped(b"clean") as pipe:
        assert PipedWords(pipe)("How was it?") == "clean"


def test_each_run_has_a_line_of_its_own_and_what_is_left_is_counted() -> None:
    with piped(b"clean\n\nnot clean\nlips tired\n\n") as pipe:
        words = PipedWords(pipe)
        assert words.left == 0
        assert [words("1?"), words("2?"), words("3?")] == ["clean", "", "not clean"]
        assert words.left == 1
        assert [words("4?"), words("5?")] == ["lips tired", ""]
        with pytest.raises(EOFError):
            words("6?")


def test_what_never_ends_is_not_read_on() -> None:
    with Path("/dev/zero").open(encoding="utf-8") as zeros:
        assert len(PipedWords(zeros)("How was it?")) < 200_000


@pytest.mark.parametrize("is_open", [False, True])
def test_where_nothing_was_piped_in_nobody_is_waited_for(is_open: bool) -> None:
    with piped(b"", is_open=is_open) as pipe, pytest.raises(EOFError):
        PipedWords(pipe)("How was it?")


def closed() -> io.TextIOWrapper:
    """Give an input that was closed."""
    pipe = piped(b"")
    pipe.close()
    return pipe


@pytest.mark.parametrize("pipe", [lambda: None, closed, lambda: io.StringIO("clean")])
def test_without_a_standard_input_nobody_answers(
    pipe: Callable[[], io.TextIOWrapper | None],
) -> None:
    with pytest.raises(EOFError):
        PipedWords(pipe())("How was it?")
