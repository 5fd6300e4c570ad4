"""The line of a score that an instrument's name stands on."""

from __future__ import annotations

import pytest

from coach.planning.instrument.own_line import find_line
from coach.wiring.instrument_files import find_own_line

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


@pytest.mark.parametrize(
    "name",
    [
        *("Tbn.", "Trb.", "Tromb. II", "Posaune", "1. Posaune", "Trombón", "T. Tbn."),
        *("Bassposaune", "Bass-Posaune 3", "B. Tbn.", "Altposaune", "trombone basso"),
    ],
)
def test_a_trombone_is_found_by_any_name_it_is_printed_with(name: str) -> None:
    assert find_own_line(["Violin", name, "Trompete"], "tenor trombone") == 1


def test_the_own_name_goes_before_a_relatives() -> None:
    lines = ["Posaune 1", "Bassposaune", "Fagott"]
    assert [
        find_own_line(lines, asked)
        for asked in ("Posaune", "bass-trombone", "bass-trombone-dependent", "fagot")
    ] == [0, 1, 1, 2]
    assert find_own_line(["Violino", "Corno inglese", "Corno 1"], "horn") == 2


BRASS_BAND = [
    *("Solo Cornet B♭", "Flugelhorn B♭", "Solo Horn E♭", "1st Baritone B♭"),
    *("1st Trombone B♭", "Bass Trombone", "Euphonium B♭", "E♭ Bass", "BB♭ Bass"),
]


@pytest.mark.parametrize(
    ("asked", "line"),
    [
        *(("tuba-eb", "E♭ Bass"), ("Eb Bass", "E♭ Bass"), ("EEb bass", "E♭ Bass")),
        *(("tuba-bb", "BB♭ Bass"), ("BBb Tuba", "BB♭ Bass"), ("B-Tuba", "BB♭ Bass")),
        *(("tenor horn", "Solo Horn E♭"), ("baritone", "1st Baritone B♭")),
        *(("Bb cornet", "Solo Cornet B♭"), ("euphonium", "Euphonium B♭")),
    ],
)
def test_a_part_of_a_brass_band_is_found_by_its_printed_name(
    asked: str, line: str
) -> None:
    found = find_own_line(BRASS_BAND, asked)
    assert found is not None
    assert BRASS_BAND[found] == line
