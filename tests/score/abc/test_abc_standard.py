"""ABC, construct by construct: each is read right, or refused with its place.

Source of every row: the abc music standard 2.1 (Walshaw and others, December 2011);
the number is that of its section.  Silently wrong is none.
"""

from __future__ import annotations

import pytest

from tests.score.abc.abc_samples import FIRST_LINE, HEAD, body, part_of, reading
from tests.score.abc.abc_table import DOUBTED, HEADERS, MUSIC, REFUSED, TUNES
from tests.score.page_samples import told


@pytest.mark.parametrize(("section", "music", "played"), MUSIC)
def test_music_is_played_as_the_standard_says(
    section: str, music: str, played: str
) -> None:
    assert told(body(music)) == played.replace(" z*0", ""), section


@pytest.mark.parametrize(("section", "tune", "played"), TUNES)
def test_tunes_are_played_as_the_standard_says(
    section: str, tune: str, played: str
) -> None:
    assert told(part_of(tune + "\n")) == played, section


@pytest.mark.parametrize(("section", "music", "column", "bar", "word"), REFUSED)
def test_what_cannot_be_read_is_refused_with_its_place(
    section: str, music: str, column: int, bar: int | None, word: str
) -> None:
    found = reading(HEAD + music + "\n").faults
    assert found, section
    told = f"{found[0].what}. {found[0].hint}"
    assert word in told, (section, told)
    assert found[0].spot.column == column, (section, found[0])
    assert FIRST_LINE <= found[0].spot.line <= FIRST_LINE + 2
    assert found[0].bar == bar, (section, found[0])


@pytest.mark.parametrize(("section", "music", "line", "column", "bar", "word"), DOUBTED)
def test_what_looks_like_a_slip_is_named_with_its_place(
    section: str, music: str, line: int, column: int, bar: int, word: str
) -> None:
    found = reading(HEAD + music + "\n")
    assert not found.faults, (section, found.faults)
    told = [doubt for doubt in found.doubts if word in doubt.what]
    assert told, (section, found.doubts)
    assert (told[0].spot.line, told[0].spot.column) == (line, column), section
    assert told[0].bar == bar, section
    assert any(word in remark for remark in found.pages[0].remarks)


@pytest.mark.parametrize(("section", "tune", "line", "word"), HEADERS)
def test_a_header_that_cannot_be_read_is_refused_with_its_line(
    section: str, tune: str, line: int, word: str
) -> None:
    found = reading(tune).faults
    assert found, section
    assert word in f"{found[0].what}. {found[0].hint}", section
    assert found[0].spot.line == line, section


def test_the_table_is_long_enough() -> None:
    assert len(MUSIC) + len(TUNES) + len(REFUSED) + len(DOUBTED) + len(HEADERS) > 60


def test_six_under_one_sign_that_make_too_short_a_bar_are_told_how_to_be_typed() -> (
    None
):
    """In the standard (6 is six in the time of two (4.13)."""
    short = reading(HEAD + "C4|(6CDEFGA D|C4|\n").doubts[0]
    assert "(6:4:6" in short.hint
    long_enough = reading(HEAD + "(6CDEFGA D2|C3|C4|\n").doubts[0]
    assert long_enough.hint == "Count its notes."
