"""Words about a run that come through a pipe, or do not come."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.plain.piped_answers import words_from


def piped(write: bytes, *, is_open: bool = False) -> io.TextIOWrapper:
    """Make a standard input that a script has written to, and maybe keeps open."""
    end, start = os.pipe()
    os.write(start, write)
    if not is_open:
        os.close(start)
    return os.fdopen(end, encoding="utf-8")


def test_a_line_that_was_piped_in_is_the_answer() -> None:
    with piped(b"not clean, lips tired\nclean\n") as pipe:
        assert words_from(pipe)("How was it?") == "not clean, lips tired"


def test_a_last_line_needs_no_end() -> None:
    with piped(b"clean") as pipe:
        assert words_from(pipe)("How was it?") == "clean"


def test_an_empty_line_says_nothing() -> None:
    with piped(b"\n") as pipe, pytest.raises(EOFError):
        words_from(pipe)("How was it?")


def test_what_never_ends_is_not_read_on() -> None:
    with Path("/dev/zero").open(encoding="utf-8") as zeros:
        assert len(words_from(zeros)("How was it?")) < 200_000


@pytest.mark.parametrize("is_open", [False, True])
def test_where_nothing_was_piped_in_nobody_is_waited_for(is_open: bool) -> None:
    with piped(b"", is_open=is_open) as pipe, pytest.raises(EOFError):
        words_from(pipe)("How was it?")


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
        words_from(pipe())("How was it?")
