"""What a terminal shows, told from its environment."""

from __future__ import annotations

from io import BytesIO, TextIOWrapper

import pytest

from coach.wiring.terminal.terminal_signs import are_plain, tell


@pytest.mark.parametrize(
    ("environment", "encoding", "is_plain"),
    [
        ({"TERM": "xterm-256color", "LANG": "de_DE.UTF-8"}, "utf-8", False),
        ({"TERM": "linux", "LANG": "en_US.UTF-8"}, "utf-8", True),
        ({"TERM": "xterm", "LANG": "C"}, "utf-8", True),
        ({"TERM": "xterm", "LC_ALL": "POSIX", "LANG": "en_US.UTF-8"}, "utf-8", True),
        ({"TERM": "xterm", "LANG": "en_US.ISO-8859-1"}, "iso-8859-1", True),
        ({"TERM": "xterm", "LANG": "C", "LC_CTYPE": "C.UTF-8"}, "utf-8", True),
        ({"TERM": "xterm", "LC_CTYPE": "C.UTF-8"}, "utf-8", False),
    ],
)
def test_letters_and_dashes_where_a_terminal_shows_no_more(
    environment: dict[str, str], encoding: str, is_plain: bool
) -> None:
    assert are_plain(environment, encoding) == is_plain


def test_a_line_in_letters_and_dashes_waits_in_three_dots() -> None:
    """A tilde would be read as *about*."""
    written = BytesIO()
    terminal = TextIOWrapper(written, "ascii", write_through=True)
    tell(["reading … 4 s"], terminal)
    assert written.getvalue() == b"reading ... 4 s\n"
