"""What takes long is told, and what does not is not."""

from __future__ import annotations

import io
import threading

import pytest

from coach.plain.slow_line import say_when_slow


class Terminal(io.StringIO):
    """Standard error that somebody reads, and that tells when a line has come."""

    def __init__(self, wanted: int) -> None:
        super().__init__()
        self.wanted = wanted
        self.is_told = threading.Event()

    def isatty(self) -> bool:
        return True

    def flush(self) -> None:
        if self.getvalue().count("\n") >= self.wanted:
            self.is_told.set()


def test_what_takes_long_is_told_in_whole_lines(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    terminal = Terminal(wanted=3)
    monkeypatch.setattr("sys.stderr", terminal)
    with say_when_slow("reading “x”", slow_s=0.0, again_s=0.001):
        assert terminal.is_told.wait(60)
    first, second, *_ = terminal.getvalue().splitlines()
    assert first == "reading “x” … Ctrl+C stops it."
    assert second.startswith("reading “x” … 0 s")
    assert "\r" not in terminal.getvalue()


def test_what_is_done_at_once_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal(wanted=1)
    monkeypatch.setattr("sys.stderr", terminal)
    with say_when_slow("reading", slow_s=60.0):
        pass
    assert terminal.getvalue() == ""


def test_where_nobody_reads_nothing_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with say_when_slow("reading", slow_s=0.0):
        pass
    assert capsys.readouterr().err == ""
