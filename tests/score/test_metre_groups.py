"""How irregular bars are grouped: as the page says, as its beams show, or as usual.

What is felt of these metres is common practice, no published source; that white space
ends a beam is section 4.7 of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import pytest

from coach.score.metre import Metre
from coach.score.metre_groups import is_irregular, usual_groups
from coach.score.phrase import Part
from tests.score.abc.abc_samples import part_of


def groups_of(metre: str, music: str) -> list[tuple[int, ...]]:
    """Give the groups of each bar of a tune in eighths."""
    return [bar.metre.groups for bar in tune(metre, music).bars]


def tune(metre: str, music: str) -> Part:
    return part_of(f"X:1\nT:Study\nM:{metre}\nL:1/8\nQ:1/8=160\nK:C\n{music}\n")


@pytest.mark.parametrize(
    ("metre", "music", "groups"),
    [
        ("7/8", "CDE FG AB|", (3, 2, 2)),
        ("7/8", "CD EFG AB|", (2, 3, 2)),
        ("7/8", "CD EF GAB|", (2, 2, 3)),
        ("7/8", "CDE FGAB|", (3, 2, 2)),
        ("7/8", "CDEF GAB|", (2, 2, 3)),
        ("7/8", "CDEFGAB|", (2, 2, 3)),
        ("7/8", "C D E F G A B|", (2, 2, 3)),
        ("7/8", "C3 FG AB|", (3, 2, 2)),
        ("7/8", "CDE F2 A2|", (3, 2, 2)),
        ("7/8", "C`D`E FG AB|", (3, 2, 2)),
        ("7/8", "C/D/E/F/G/A/ FG AB|", (3, 2, 2)),
        ("7/8", "{c}CD{c}E FG AB|", (3, 2, 2)),
        ("7/8", "zDE FG AB|", (3, 2, 2)),
        ("5/8", "CDE FG|", (3, 2)),
        ("8/8", "CDE FGA Bc|", (3, 3, 2)),
        ("8/8", "CDEF GABc|", ()),
        ("(2+2+3)/8", "CDE FG AB|", (2, 2, 3)),
        ("9/8", "CD EF GA Bcd|", ()),
        ("6/8", "CD EF GA|", ()),
        ("5/4", "C3D E2 F2 G2|", ()),
        ("17/8", "CDE FG AB cd ef gf ed cB|", (2, 2, 2, 2, 2, 2, 2, 3)),
    ],
)
def test_beams_show_the_groups(metre: str, music: str, groups: tuple[int, ...]) -> None:
    assert groups_of(metre, music) == [groups]


def test_one_bar_that_is_beamed_otherwise_changes_nothing() -> None:
    music = "CDE FG AB|CD EF GAB|CDE FG AB|"
    assert groups_of("7/8", music) == [(3, 2, 2)] * 3


def test_a_pickup_is_beamed_as_the_end_of_a_bar() -> None:
    assert groups_of("7/8", "FG AB|CDE F2 G2|") == [(3, 2, 2)] * 2


def test_each_time_signature_has_its_own_groups() -> None:
    music = "CDE FG AB|[M:5/8]CD EFG|[M:7/8]CD EFG AB|"
    assert groups_of("7/8", music) == [(3, 2, 2), (2, 3), (2, 3, 2)]


@pytest.mark.parametrize(
    ("music", "said"),
    [
        ("CDE FG AB|CDE FG AB|", ("7/8 is counted 3+2+2, as its beams show.",)),
        (
            "C3 D4|[M:4/4]C8|[M:7/8]C3 D4|",
            ("7/8 is counted 2+2+3, a guess, since no beams show it.",),
        ),
        ("CD EF GAB|", ()),
        ("[M:8/8]C8|", ()),
    ],
)
def test_what_is_not_written_is_said(music: str, said: tuple[str, ...]) -> None:
    remarks = tune("7/8", music).remarks
    assert tuple(text for text in remarks if "is counted" in text) == said


def test_usual_groups_are_twos_and_a_three() -> None:
    assert [usual_groups(count) for count in (5, 7, 8)] == [
        (2, 3),
        (2, 2, 3),
        (2, 2, 2, 2),
    ]
    assert [is_irregular(Metre(n, 8)) for n in (3, 5, 6, 8, 9, 17)] == [
        *(False, True, False, False, False),
        True,
    ]
    assert not is_irregular(Metre(5, 4))
