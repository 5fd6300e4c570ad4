"""Metres, parts, and the segment of a part that is rehearsed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import ScoreError
from coach.score.note import Note, Pitch
from coach.score.phrase import (
    Bar,
    Metre,
    Part,
    Place,
    RehearsalMark,
    cut_segment,
    place_of,
    time_notes,
)
from coach.score.tempo import Beats, Tempo, TempoMap, TempoMark, beats

COMMON = Metre(4, 4)
C4 = Pitch(4, "C")
Row = tuple[object, ...]


def note(
    onset: int | str, length: int | str = 1, *, bar: int = 1, beat: int = 1
) -> Note:
    return Note(beats(onset), beats(length), C4, C4, bar, Fraction(beat))


def make_part(numbers: list[int], *, pickup: int = 0) -> Part:
    """A part of whole notes, after a pickup of some quarters."""
    bars: list[Bar] = []
    notes: list[Note] = []
    place = Fraction(-pickup)
    for number in numbers:
        length = pickup if number == 0 else 4
        first_beat = Fraction(5 - length)
        bars.append(
            Bar(number, Beats(place), beats(length), COMMON, first_beat=first_beat)
        )
        notes.append(note(str(place), length, bar=number, beat=5 - length))
        place += length
    return Part(
        title="Study",
        name="Trombone",
        source="",
        notes=tuple(notes),
        bars=tuple(bars),
        tempo=Tempo(60, beats(1)),
        tempo_map=TempoMap((TempoMark(beats(0), 60), TempoMark(beats(6), 120))),
        rehearsal_marks=(RehearsalMark(beats(4), "A"),),
    )


@pytest.mark.parametrize(
    ("metre", "is_compound", "beat", "length"),
    [
        (Metre(4, 4), False, "1", "4"),
        (Metre(2, 2), False, "2", "4"),
        (Metre(3, 8), False, "1/2", "3/2"),
        (Metre(6, 8), True, "3/2", "3"),
        (Metre(9, 8), True, "3/2", "9/2"),
        (Metre(12, 16), True, "3/4", "3"),
        (Metre(6, 4), True, "3", "6"),
        (Metre(6, 2), False, "2", "12"),
        (Metre(7, 8, (2, 2, 3)), False, "1/2", "7/2"),
        (Metre(9, 8, (2, 2, 2, 3)), False, "1/2", "9/2"),
        (Metre(6, 8, (3, 3)), True, "3/2", "3"),
    ],
)
def test_compound_metre_has_dotted_beats(
    metre: Metre, is_compound: bool, beat: str, length: str
) -> None:
    assert metre.is_compound is is_compound
    assert metre.beat == Fraction(beat)
    assert metre.length == Fraction(length)


def test_a_metre_is_written_as_on_the_page() -> None:
    assert str(Metre(6, 8)) == "6/8"


def test_a_part_knows_its_ends_and_counts_its_bars() -> None:
    part = make_part([0, 1, 2, 1, 2], pickup=1)
    assert [part.start, part.end] == [-1, 16]
    assert part.bar_count == 2


def test_another_tempo_keeps_the_changes() -> None:
    faster = make_part([1, 2]).at_tempo(90)
    assert [mark.quarters_per_minute for mark in faster.marks] == [90, 180]


def test_notes_are_timed_as_written() -> None:
    part = make_part([1, 2])
    times = time_notes(part, part.tempo_map)
    rows: list[Row] = [(time.start, time.end) for time in times]
    assert rows == [(0, 4), (4, 7)]


def test_a_segment_starts_at_zero_and_keeps_the_page() -> None:
    segment = cut_segment(make_part([1, 2, 3]), 2, 3)
    rows: list[Row] = [(note.onset, note.bar) for note in segment.notes]
    assert rows == [(0, 2), (4, 3)]
    assert [bar.onset for bar in segment.bars] == [0, 4]
    assert [mark.at for mark in segment.rehearsal_marks] == [0]
    assert segment.tempo == Tempo(60, beats(1))
    # The page changes tempo in the middle of bar 2.
    assert segment.tempo_map.seconds_at(beats(4)) == 3.0


def test_a_segment_from_the_pickup_starts_at_zero_with_it() -> None:
    segment = cut_segment(make_part([0, 1, 2], pickup=1), 0, 1)
    assert [note.onset for note in segment.notes] == [0, 1]
    assert [segment.start, segment.end] == [0, 5]
    assert segment.notes[0].beat == 4


def test_with_repeats_a_segment_is_the_first_time_through() -> None:
    part = make_part([1, 2, 1, 2, 3])
    assert [bar.number for bar in cut_segment(part, 1, 2).bars] == [1, 2]
    # Bars 2 to 3 are not bars 2, 1, 2, 3; bars 1 to 3 have the repeat in them.
    assert [bar.number for bar in cut_segment(part, 2, 3).bars] == [2, 3]
    assert [bar.number for bar in cut_segment(part, 1, 3).bars] == [1, 2, 1, 2, 3]
    assert [bar.number for bar in cut_segment(part, 3, 3).bars] == [3]


def test_from_a_first_ending_to_the_second_there_is_only_the_long_way() -> None:
    part = make_part([1, 2, 3, 1, 2, 4])
    assert [bar.number for bar in cut_segment(part, 3, 4).bars] == [3, 1, 2, 4]
    assert [bar.number for bar in cut_segment(part, 2, 4).bars] == [2, 4]


def test_a_bar_that_a_repeat_sign_divides_is_cut_whole() -> None:
    part = make_part([1, 2, 3])
    halves = (
        part.bars[0],
        replace(part.bars[1], length=beats(3)),
        replace(part.bars[1], onset=beats(7), length=beats(1), first_beat=Fraction(4)),
        part.bars[2],
    )
    divided = replace(part, bars=halves)
    assert len(cut_segment(divided, 2, 2).bars) == 2
    assert len(cut_segment(divided, 1, 3).bars) == 4


def test_a_segment_of_a_bar_that_is_repeated_at_once_is_one_bar() -> None:
    assert len(cut_segment(make_part([1, 1, 2]), 1, 1).bars) == 1


@pytest.mark.parametrize("stretch", [(2, 1), (1, 9), (7, 9), (-1, 1)])
def test_bars_that_are_not_there_are_named(stretch: tuple[int, int]) -> None:
    with pytest.raises(ScoreError, match=r"no bars.*Choose from bars 1 to 3"):
        cut_segment(make_part([1, 2, 3]), *stretch)


def test_a_later_time_of_the_bar_does_not_count_as_the_way_there() -> None:
    """Bar 1 comes before bar 3 on the page but is not played after it."""
    with pytest.raises(ScoreError, match="no bars 3 to 2"):
        cut_segment(make_part([1, 2, 3, 2]), 3, 2)


def test_a_bar_left_out_by_the_endings_cannot_end_a_segment() -> None:
    part = make_part([3, 1, 2])
    with pytest.raises(ScoreError, match="not played after"):
        cut_segment(part, 2, 3)


def test_a_stretch_without_notes_is_refused() -> None:
    part = make_part([1, 2, 3])
    silent = replace(part, notes=part.notes[::2])
    with pytest.raises(ScoreError, match="No note starts in bars 2 to 2"):
        cut_segment(silent, 2, 2)


def test_the_first_note_of_a_segment_is_tongued() -> None:
    part = make_part([1, 2])
    slurred = replace(
        part, notes=tuple(replace(n, is_slurred=True) for n in part.notes)
    )
    assert [n.is_slurred for n in cut_segment(slurred, 2, 2).notes] == [False]


@pytest.mark.parametrize(
    ("where", "place"),
    [
        (-1.0, Place(0, 4.0)),
        (0.0, Place(1, 1.0)),
        (2.5, Place(1, 3.5)),
        (4.0, Place(2, 1.0)),
        (9.0, Place(2, 6.0)),
        (-2.0, Place(0, 3.0)),
    ],
)
def test_a_moment_is_named_by_bar_and_beat(where: float, place: Place) -> None:
    assert place_of(make_part([0, 1, 2], pickup=1), where) == place


def with_graces() -> Part:
    """Two bars; before bar 2 come two grace notes that take from bar 1."""
    part = make_part([1, 2])
    graces = tuple(
        replace(note(onset, "1/8", bar=2), is_grace=True) for onset in ("15/4", "31/8")
    )
    first, second = part.notes
    before = replace(first, length=beats("15/4"))
    return replace(part, notes=(before, *graces, second))


def test_a_grace_note_goes_with_its_main_note() -> None:
    assert len(cut_segment(with_graces(), 1, 1).notes) == 1
    segment = cut_segment(with_graces(), 2, 2)
    assert [(n.onset, n.length) for n in segment.notes] == [
        (0, Fraction(1, 8)),
        (Fraction(1, 8), Fraction(1, 8)),
        (Fraction(1, 4), Fraction(15, 4)),
    ]
    assert segment.notes[-1].end == 4


def test_grace_notes_at_the_start_take_no_more_than_half_the_main_note() -> None:
    part = with_graces()
    short = replace(part.notes[-1], length=beats("1/4"))
    segment = cut_segment(replace(part, notes=(*part.notes[:-1], short)), 2, 2)
    assert [n.length for n in segment.notes] == [
        Fraction(1, 16),
        Fraction(1, 16),
        Fraction(1, 8),
    ]


def test_a_grace_note_after_its_main_note_stays_with_it() -> None:
    part = make_part([1, 2])
    after = replace(note("15/4", "1/4", bar=1, beat=1), is_grace=True)
    notes = (replace(part.notes[0], length=beats("15/4")), after, part.notes[1])
    segment = cut_segment(replace(part, notes=notes), 1, 1)
    assert [n.onset for n in segment.notes] == [0, Fraction(15, 4)]
    last = cut_segment(replace(part, notes=notes[:2], bars=part.bars[:1]), 1, 1)
    assert len(last.notes) == 2


@settings(deadline=None)
@given(
    st.lists(st.integers(1, 5), min_size=1, max_size=6),
    st.integers(1, 5),
    st.integers(1, 5),
)
def test_a_segment_holds_what_the_part_holds_there(
    numbers: list[int], first: int, last: int
) -> None:
    part = make_part(numbers)
    try:
        segment = cut_segment(part, first, last)
    except ScoreError:
        return
    numbers = [bar.number for bar in segment.bars]
    assert (numbers[0], numbers[-1]) == (first, last)
    whole = [bar.number for bar in part.bars]
    starts = [k for k in range(len(whole)) if whole[k : k + len(numbers)] == numbers]
    start = part.bars[starts[0]].onset
    assert segment.start == 0
    for note_there in segment.notes:
        was = next(n for n in part.notes if n.onset == note_there.onset + start)
        assert (was.bar, was.length) == (note_there.bar, note_there.length)
        here = segment.tempo_map.seconds_at(note_there.onset)
        there = part.tempo_map.seconds_at(was.onset) - part.tempo_map.seconds_at(start)
        assert here == pytest.approx(there)
