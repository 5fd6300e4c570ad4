"""Grace notes take their time from a neighbour."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.score.note import Note, Pitch
from coach.score.played.graces import Grace, GraceSettings, time_graces
from coach.score.tempo import Beats, beats

SETTINGS = GraceSettings(0.125, 0.5, leaned_share=0.5, leaned_dotted_share=2 / 3)
C4 = Pitch(4, "C")
Line = list[Note | Grace]
Row = tuple[object, object]


def note(onset: int | str, length: int | str, *, bar: int = 1) -> Note:
    place = beats(onset)
    return Note(place, beats(length), C4, C4, bar, Fraction(place + 1))


def grace(
    onset: int | str, sign: int | str = "1/2", *, slash: bool = True, bar: int = 1
) -> Grace:
    small = replace(note(onset, sign, bar=bar), is_grace=True)
    return Grace(small, takes_from_before=slash)


def times(line: Line) -> list[Row]:
    return [(item.onset, item.length) for item in time_graces(line, SETTINGS)]


def test_a_slashed_grace_note_comes_out_of_the_note_before() -> None:
    line: Line = [note(0, 1), grace(1), note(1, 1)]
    assert times(line) == [
        (0, Fraction(7, 8)),
        (Fraction(7, 8), Fraction(1, 8)),
        (1, 1),
    ]


def test_a_slashed_grace_note_after_a_rest_takes_nothing_from_a_note() -> None:
    line: Line = [note(0, 1), grace(2), note(2, 1)]
    assert times(line) == [(0, 1), (Fraction(15, 8), Fraction(1, 8)), (2, 1)]


def test_many_slashed_grace_notes_take_no_more_than_half_the_note_before() -> None:
    line: Line = [note(0, "1/2"), *[grace("1/2")] * 4, note("1/2", 1)]
    timed = times(line)
    assert timed[0] == (0, Fraction(1, 4))
    assert timed[1:5] == [(Fraction(4 + k, 16), Fraction(1, 16)) for k in range(4)]


def test_a_grace_note_without_a_slash_is_leaned_on() -> None:
    line: Line = [note(0, 1), grace(1, slash=False), note(1, 2)]
    assert times(line) == [
        (0, 1),
        (1, Fraction(1, 2)),
        (Fraction(3, 2), Fraction(3, 2)),
    ]


def test_a_leaned_on_note_takes_at_most_half_of_its_main_note() -> None:
    """C. P. E. Bach 1753, chapter 2, section 2, paragraph 11, from memory."""
    line: Line = [grace(0, 4, slash=False), note(0, 2)]
    assert times(line) == [(0, 1), (1, 1)]


@pytest.mark.parametrize("length", ["3", "3/2", "3/4"])
def test_a_leaned_on_note_takes_at_most_two_thirds_of_a_dotted_one(
    length: str,
) -> None:
    """C. P. E. Bach 1753, chapter 2, section 2, paragraph 11, from memory."""
    line: Line = [grace(0, 4, slash=False), note(0, length)]
    whole = Fraction(length)
    assert times(line) == [(0, whole * 2 / 3), (whole * 2 / 3, whole / 3)]


def test_the_first_note_of_a_piece_gives_time_itself() -> None:
    line: Line = [grace(0), note(0, 1)]
    assert times(line) == [(0, Fraction(1, 8)), (Fraction(1, 8), Fraction(7, 8))]


def test_grace_notes_after_their_main_note_belong_to_it() -> None:
    """A turn after a trill is written at the end of the bar."""
    line: Line = [
        note(3, 1),
        grace(4, "1/4", slash=False),
        grace(4, "1/4", slash=False),
        note(4, 1, bar=2),
    ]
    timed = time_graces(line, SETTINGS)
    assert [item.onset for item in timed] == [3, Fraction(7, 2), Fraction(15, 4), 4]
    places: list[Row] = [(item.bar, item.beat) for item in timed[1:3]]
    assert places == [(1, 4), (1, 4)]


def test_grace_notes_in_front_of_a_rest_belong_to_the_note_before() -> None:
    line: Line = [note(0, 2), grace(2), note(3, 1)]
    assert times(line)[:2] == [
        (0, Fraction(15, 8)),
        (Fraction(15, 8), Fraction(1, 8)),
    ]


def test_grace_notes_at_the_end_of_the_piece_belong_to_the_last_note() -> None:
    line: Line = [note(0, 2), grace(2)]
    assert times(line)[1] == (Fraction(15, 8), Fraction(1, 8))


def test_grace_notes_alone_have_no_time() -> None:
    assert times([grace(0)]) == []


def test_a_grace_note_at_the_same_place_as_the_note_before_follows_it() -> None:
    line: Line = [note(1, 1), grace(1), note(1, 1, bar=2)]
    assert times(line)[1] == (Fraction(15, 8), Fraction(1, 8))


def test_slashed_and_leaned_grace_notes_share_one_main_note() -> None:
    line: Line = [note(0, 1), grace(1), grace(1, slash=False), note(1, 1)]
    assert times(line) == [
        (0, Fraction(7, 8)),
        (Fraction(7, 8), Fraction(1, 8)),
        (1, Fraction(1, 2)),
        (Fraction(3, 2), Fraction(1, 2)),
    ]


LENGTHS = st.sampled_from(["1/8", "1/6", "1/4", "1/2", "3/4", "1", "2"])


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(
            LENGTHS,
            st.lists(st.tuples(LENGTHS, st.booleans()), max_size=4),
        ),
        min_size=1,
        max_size=8,
    )
)
def test_grace_notes_never_overlap_and_never_vanish(
    mains: list[tuple[str, list[tuple[str, bool]]]],
) -> None:
    line: Line = []
    place = beats(0)
    for length, before in mains:
        line += [grace(str(place), sign, slash=slash) for sign, slash in before]
        line.append(note(str(place), length))
        place = Beats(place + Fraction(length))
    timed = time_graces(line, SETTINGS)
    assert len(timed) == len(line)
    assert all(item.length > 0 for item in timed)
    assert all(a.end == b.onset for a, b in pairwise(timed))
    assert timed[0].onset == 0
    assert timed[-1].end == place
