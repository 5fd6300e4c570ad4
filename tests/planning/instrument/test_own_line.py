"""The line of a score that an instrument's name stands on."""

from __future__ import annotations

import pytest

from coach.planning.instrument.own_line import find_line

BAND = [
    *("Flute", "Oboe", "Clarinet in Bb 1", "Alto Sax", "Horn in F", "Bb Trumpet 1"),
    *("Bass Trombone", "Trombone 1", "Trombone 2", "Euphonium (B.C.)", "Tuba"),
]


@pytest.mark.parametrize(
    ("title", "also_called", "line"),
    [
        ("tenor trombone", ["trombone"], "Trombone 1"),
        ("tenor trombone with F attachment", ["F trombone"], "Trombone 1"),
        ("bass trombone", [], "Bass Trombone"),
        ("bass trombone, dependent second valve", [], "Bass Trombone"),
        ("clarinet in B flat", [], "Clarinet in Bb 1"),
        ("horn in F", ["horn", "French horn"], "Horn in F"),
        ("trumpet in B flat", ["B flat trumpet"], "Bb Trumpet 1"),
        ("alto saxophone", ["sax", "alto sax"], "Alto Sax"),
        ("euphonium", ["tenor tuba"], "Euphonium (B.C.)"),
        ("tuba in E flat", ["E flat bass"], "Tuba"),
        ("bassoon", [], None),
        ("voice", ["singer"], None),
    ],
)
def test_a_player_finds_the_own_line(
    title: str, also_called: list[str], line: str | None
) -> None:
    found = find_line(BAND, title, also_called)
    assert (None if found is None else BAND[found]) == line


def test_a_name_inside_a_word_is_another_name() -> None:
    assert find_line(["Bassoon", "Contrabass"], "bass trombone", ["bass"]) is None
