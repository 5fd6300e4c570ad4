"""Cutting the segment that one run rehearses."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import ScoreError
from coach.planning.breathing.breaths import Breath, breath_to_breath
from coach.score.note import Pitch
from coach.score.page_facts import span_on_page
from coach.score.phrase import Part, RehearsalMark
from coach.score.segment import (
    cut_bars,
    cut_notes,
    find_bars,
)
from coach.score.tempo import Beats, Seconds, Tempo, TempoMap, TempoMark, beats
from tests.hand_made import part_of
from tests.score.whole_notes import Row, make_part, note

SIX_BARS = "Bb2q C3q D3q Eb3q F3h G3h rw A3w Bb3q A3q G3q F3q Eb3h D3h"


@pytest.fixture
def part() -> Part:
    return part_of(SIX_BARS)


def with_pickup(part: Part) -> Part:
    """Make the first bar a pickup of its last two beats."""
    first, second = part.bars[0], part.bars[1:]
    shift = beats(4)
    return replace(
        part,
        notes=tuple(
            replace(note, onset=Beats(note.onset - shift), bar=note.bar - 1)
            for note in part.notes[2:]
        ),
        bars=(
            replace(first, number=0, onset=beats(-2), length=beats(2)),
            *(
                replace(bar, number=bar.number - 1, onset=Beats(bar.onset - shift))
                for bar in second
            ),
        ),
    )


def test_bars_are_cut_whole_and_start_at_zero(part: Part) -> None:
    segment = cut_bars(part, 1, 3)
    assert [bar.onset for bar in segment.part.bars] == [0, 4, 8]
    assert [bar.number for bar in segment.part.bars] == [2, 3, 4]
    assert [note.onset for note in segment.part.notes] == [0, 2, 8]
    assert (segment.first_note, segment.from_bar, segment.to_bar) == (4, 2, 4)
    assert segment.from_top == 4
    assert not segment.is_whole


def test_all_bars_are_the_part_itself(part: Part) -> None:
    segment = cut_bars(part, 0, 5)
    assert segment.part is part
    assert segment.is_whole
    assert segment.from_top == 0


def test_the_first_note_of_a_stretch_is_not_slurred_to(part: Part) -> None:
    slurred = replace(part.notes[4], is_slurred=True)
    part = replace(part, notes=(*part.notes[:4], slurred, *part.notes[5:]))
    assert not cut_bars(part, 1, 1).part.notes[0].is_slurred


def test_a_lead_in_is_played_before_the_bars_asked_for(part: Part) -> None:
    segment = cut_bars(part, 1, 1, lead_in=1)
    assert [bar.number for bar in segment.part.bars] == [1, 2]
    assert (segment.from_bar, segment.to_bar) == (2, 2)
    assert segment.first_note == 0


def test_a_lead_in_longer_than_the_page_begins_at_the_top(part: Part) -> None:
    assert cut_bars(part, 1, 1, lead_in=9).part.bars[0].number == 1


def test_an_overlap_plays_the_next_downbeat_for_one_beat(part: Part) -> None:
    segment = cut_bars(part, 0, 0, overlaps=True)
    last = segment.part.notes[-1]
    assert last.written == Pitch(3, "F")
    assert (last.onset, last.length) == (beats(4), beats(1))
    assert segment.part.end == 5
    assert segment.to_bar == 1


def test_an_overlap_into_a_rest_plays_nothing_more(part: Part) -> None:
    segment = cut_bars(part, 1, 1, overlaps=True)
    assert segment.part.end == 4


def test_an_overlap_after_the_last_bar_plays_nothing_more(part: Part) -> None:
    assert cut_bars(part, 5, 5, overlaps=True).part.end == 4


def test_an_overlap_after_the_last_note_plays_nothing_more() -> None:
    part = part_of("Bb2w C3w rw")
    assert cut_bars(part, 1, 1, overlaps=True).part.end == 4


def test_a_note_held_over_the_last_bar_line_ends_there() -> None:
    part = part_of("Bb2h C3w D3h")
    assert cut_bars(part, 0, 0).part.notes[-1].length == 2


def test_bars_of_rest_alone_cannot_be_rehearsed(part: Part) -> None:
    with pytest.raises(ScoreError, match="No note starts in bar 3 of"):
        cut_bars(part, 2, 2)


def test_a_pickup_stays_before_zero(part: Part) -> None:
    segment = cut_bars(with_pickup(part), 0, 1)
    assert segment.part.start == -2
    assert [note.onset for note in segment.part.notes] == [-2, -1, 0, 2]


def test_speeds_and_rehearsal_marks_go_with_their_bars(part: Part) -> None:
    part = replace(
        part,
        tempo_map=TempoMap(
            (TempoMark(beats(0), 60), TempoMark(beats(12), 120)),
        ),
        rehearsal_marks=(RehearsalMark(beats(0), "A"), RehearsalMark(beats(12), "B")),
    )
    segment = cut_bars(part, 3, 4)
    assert segment.part.tempo_map.quarters_per_minute_at(beats(0)) == 120
    assert segment.part.rehearsal_marks == (RehearsalMark(beats(0), "B"),)


def test_breath_to_breath_keeps_the_time_of_the_notes_left_out(part: Part) -> None:
    segment = cut_notes(part, 2, 4)
    assert [bar.number for bar in segment.part.bars] == [1, 2]
    assert [note.onset for note in segment.part.notes] == [2, 3, 4]
    assert (segment.first_note, segment.from_bar, segment.to_bar) == (2, 1, 2)


def test_breath_to_breath_with_overlap_plays_the_note_after_the_breath(
    part: Part,
) -> None:
    assert len(cut_notes(part, 0, 3, overlaps=True).part.notes) == 5
    assert cut_notes(part, 8, 12, overlaps=True).part.notes[-1].written == Pitch(3, "D")


def test_breath_to_breath_with_a_lead_in_plays_everything_before(part: Part) -> None:
    segment = cut_notes(part, 5, 5, lead_in=1)
    assert segment.first_note == 0
    assert len(segment.part.notes) == 6


def with_grace_note() -> Part:
    """Two bars, and a grace note before the second bar line."""
    plain = part_of("Bb2w C3w")
    main = plain.notes[1]
    grace = replace(
        main,
        onset=Beats(main.onset - Fraction(1, 8)),
        length=Beats(Fraction(1, 8)),
        written=Pitch(3, "D"),
        is_grace=True,
    )
    before = replace(plain.notes[0], length=Beats(4 - Fraction(1, 8)))
    return replace(plain, notes=(before, grace, main))


def test_a_grace_note_before_the_bar_line_goes_with_the_bar_after() -> None:
    part = with_grace_note()
    assert [note.is_grace for note in cut_bars(part, 0, 0).part.notes] == [False]
    inside = cut_bars(part, 1, 1)
    first, second = inside.part.notes
    assert first.is_grace
    assert (first.onset, first.length) == (beats(0), beats("1/8"))
    assert (second.onset, second.end) == (beats("1/8"), beats(4))
    assert inside.first_note == 1


def test_from_a_grace_note_on_its_main_notes_bar_is_cut() -> None:
    segment = cut_notes(with_grace_note(), 1, 2)
    assert [bar.number for bar in segment.part.bars] == [2]
    assert [note.onset for note in segment.part.notes] == [0, Fraction(1, 8)]
    assert cut_notes(with_grace_note(), 0, 1).to_bar == 2


def test_grace_notes_take_half_of_a_short_main_note_at_most() -> None:
    plain = part_of("Bb2w C3s rs rq rh")
    main = plain.notes[1]
    grace = replace(main, onset=Beats(main.onset - 1), length=beats(1), is_grace=True)
    before = replace(plain.notes[0], length=beats(3))
    first, second = cut_bars(
        replace(plain, notes=(before, grace, main)), 1, 1
    ).part.notes
    assert first.length == second.length == Fraction(1, 8)


def test_a_bar_divided_by_a_repeat_sign_is_played_to_its_end(part: Part) -> None:
    first, *rest = part.bars
    halves = (
        replace(first, length=beats(2)),
        replace(first, onset=beats(2), length=beats(2), first_beat=Fraction(3)),
    )
    divided = replace(part, bars=(*halves, *rest))
    assert find_bars(divided, 1, 1) == (0, 1)
    assert find_bars(divided, 6, 6) == (6, 6)


def test_bars_over_a_repeat_sign_are_found_where_they_are_played_through(
    part: Part,
) -> None:
    repeated = replace(part, bars=(*part.bars[:2], *part.bars))
    assert find_bars(repeated, 2, 3) == (3, 4)


def breath(after_note: int) -> Breath:
    return Breath(
        after_note=after_note,
        start=Seconds(0),
        next_note=Seconds(1),
        taken=Seconds(0),
        is_on_rest=True,
        kind="full",
        air_before=0.5,
        air_after=0.9,
        is_marked=False,
        is_locked=False,
        say_why=str,
    )


def test_notes_are_divided_at_the_breaths() -> None:
    assert breath_to_breath([breath(3), breath(7)], 10) == ((0, 3), (4, 7), (8, 9))
    assert breath_to_breath([], 10) == ((0, 9),)


def cut(part: Part, from_bar: int, to_bar: int) -> Part:
    """Cut bars by their numbers on the page."""
    return cut_bars(part, *find_bars(part, from_bar, to_bar)).part


def test_a_segment_starts_at_zero_and_keeps_the_page() -> None:
    segment = cut(make_part([1, 2, 3]), 2, 3)
    rows: list[Row] = [(note.onset, note.bar) for note in segment.notes]
    assert rows == [(0, 2), (4, 3)]
    assert [bar.onset for bar in segment.bars] == [0, 4]
    assert [mark.at for mark in segment.rehearsal_marks] == [0]
    assert segment.tempo == Tempo(60, beats(1))
    # The page changes tempo in the middle of bar 2.
    assert segment.tempo_map.seconds_at(beats(4)) == 3.0


def test_a_segment_from_the_pickup_has_its_zero_on_beat_one_of_bar_one() -> None:
    segment = cut(make_part([0, 1, 2], pickup=1), 0, 1)
    assert [note.onset for note in segment.notes] == [-1, 0]
    assert [segment.start, segment.end] == [-1, 4]
    assert segment.notes[0].beat == 4


def test_with_repeats_a_segment_is_the_first_time_through() -> None:
    part = make_part([1, 2, 1, 2, 3])
    assert [bar.number for bar in cut(part, 1, 2).bars] == [1, 2]
    # Bars 2 to 3 are not bars 2, 1, 2, 3; bars 1 to 3 have the repeat in them.
    assert [bar.number for bar in cut(part, 2, 3).bars] == [2, 3]
    assert [bar.number for bar in cut(part, 1, 3).bars] == [1, 2, 1, 2, 3]
    assert [bar.number for bar in cut(part, 3, 3).bars] == [3]


@pytest.mark.parametrize(
    "played",
    [[1, 2, 1, 2], [1, 1], [0, 1, 2, 0, 1, 2], [1, 2, 3, 4, 3, 4], [1, 2, 3, 1, 2]],
)
def test_all_bars_of_the_page_are_the_whole_part_with_its_last_repeat(
    played: list[int],
) -> None:
    whole = cut(make_part(played), min(played), max(played))
    assert [bar.number for bar in whole.bars] == played


@pytest.mark.parametrize(
    ("played", "stretch", "span"),
    [
        ([0, 1, 2, 3, 4, 0, 1, 2], (0, 7), (0, 4)),  # da capo al fine
        ([1, 2, 1, 2, 3, 4, 1, 2], (0, 7), (1, 4)),
        ([1, 2, 3, 4, 1, 2], (2, 5), (3, 4)),
        ([1, 2, 3, 4, 1, 2, 3, 4], (0, 4), (1, 4)),
        ([1, 2, 3, 1, 2, 4], (2, 5), (3, 4)),
        ([1, 2, 3], (1, 2), (2, 3)),
    ],
)
def test_a_stretch_lies_between_bars_of_the_page_that_lead_there(
    played: list[int], stretch: tuple[int, int], span: tuple[int, int]
) -> None:
    assert span_on_page(make_part(played), *stretch) == span


@given(st.data())
def test_the_way_between_the_bars_of_any_stretch_is_found(data: st.DataObject) -> None:
    played = data.draw(st.lists(st.integers(1, 6), min_size=1, max_size=12))
    part = make_part(played)
    first = data.draw(st.integers(0, len(played) - 1))
    last = data.draw(st.integers(first, len(played) - 1))
    span = span_on_page(part, first, last)
    begin, end = find_bars(part, *span)
    if span == (min(played), max(played)):
        assert (begin, end) == (0, len(played) - 1)
    else:
        assert (played[begin], played[end]) == span


def test_from_a_first_ending_to_the_second_there_is_only_the_long_way() -> None:
    part = make_part([1, 2, 3, 1, 2, 4])
    assert [bar.number for bar in cut(part, 3, 4).bars] == [3, 1, 2, 4]
    assert [bar.number for bar in cut(part, 2, 4).bars] == [2, 4]


def test_a_bar_that_a_repeat_sign_divides_is_cut_whole() -> None:
    part = make_part([1, 2, 3])
    halves = (
        part.bars[0],
        replace(part.bars[1], length=beats(3)),
        replace(part.bars[1], onset=beats(7), length=beats(1), first_beat=Fraction(4)),
        part.bars[2],
    )
    divided = replace(part, bars=halves)
    assert len(cut(divided, 2, 2).bars) == 2
    assert len(cut(divided, 1, 3).bars) == 4


def test_a_segment_of_a_bar_that_is_repeated_at_once_is_one_bar() -> None:
    assert len(cut(make_part([1, 1, 2]), 1, 1).bars) == 1


@pytest.mark.parametrize(
    ("segment", "named"),
    [
        ((1, 9), "no bar 9"),
        ((9, 9), "no bar 9"),
        ((9, 3), "no bar 9"),
        ((7, 9), "no bar 7 and no bar 9"),
        ((-1, 1), "no bar -1"),
    ],
)
def test_bars_that_are_not_there_are_named(
    segment: tuple[int, int], named: str
) -> None:
    with pytest.raises(ScoreError, match=rf"has {named}\. Choose from bars 1 to 3\."):
        cut(make_part([1, 2, 3]), *segment)


def test_a_page_with_numbers_left_out_names_those_it_has() -> None:
    with pytest.raises(ScoreError, match=r"no bar 3\. Choose from bars 1 to 2, 5\."):
        cut(make_part([1, 2, 5]), 3, 5)


def test_bars_the_wrong_way_round_are_told_of() -> None:
    with pytest.raises(ScoreError, match="bar 1 comes before bar 2"):
        cut(make_part([1, 2, 3]), 2, 1)


def test_a_later_time_of_the_bar_does_not_count_as_the_way_there() -> None:
    """Bar 1 comes before bar 3 on the page but is not played after it."""
    with pytest.raises(ScoreError, match="bar 2 comes before bar 3"):
        cut(make_part([1, 2, 3, 2]), 3, 2)


def test_a_bar_left_out_by_the_endings_cannot_end_a_segment() -> None:
    part = make_part([3, 1, 2])
    with pytest.raises(ScoreError, match="not played after"):
        cut(part, 2, 3)


def test_a_segment_without_notes_is_refused() -> None:
    part = make_part([1, 2, 3])
    silent = replace(part, notes=part.notes[::2])
    with pytest.raises(ScoreError, match="No note starts in bar 2 of"):
        cut(silent, 2, 2)


def test_the_first_note_of_a_segment_is_tongued() -> None:
    part = make_part([1, 2])
    slurred = replace(
        part, notes=tuple(replace(n, is_slurred=True) for n in part.notes)
    )
    assert [n.is_slurred for n in cut(slurred, 2, 2).notes] == [False]


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
    assert len(cut(with_graces(), 1, 1).notes) == 1
    segment = cut(with_graces(), 2, 2)
    assert [(n.onset, n.length) for n in segment.notes] == [
        (0, Fraction(1, 8)),
        (Fraction(1, 8), Fraction(1, 8)),
        (Fraction(1, 4), Fraction(15, 4)),
    ]
    assert segment.notes[-1].end == 4


def test_grace_notes_at_the_start_take_no_more_than_half_the_main_note() -> None:
    part = with_graces()
    short = replace(part.notes[-1], length=beats("1/4"))
    segment = cut(replace(part, notes=(*part.notes[:-1], short)), 2, 2)
    assert [n.length for n in segment.notes] == [
        Fraction(1, 16),
        Fraction(1, 16),
        Fraction(1, 8),
    ]


def test_a_grace_note_after_its_main_note_stays_with_it() -> None:
    part = make_part([1, 2])
    after = replace(note("15/4", "1/4", bar=1, beat=1), is_grace=True)
    notes = (replace(part.notes[0], length=beats("15/4")), after, part.notes[1])
    segment = cut(replace(part, notes=notes), 1, 1)
    assert [n.onset for n in segment.notes] == [0, Fraction(15, 4)]
    last = cut(replace(part, notes=notes[:2], bars=part.bars[:1]), 1, 1)
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
        segment = cut(part, first, last)
    except ScoreError:
        return
    whole = [bar.number for bar in part.bars]
    numbers = [bar.number for bar in segment.bars]
    if (first, last) == (min(whole), max(whole)):
        assert numbers == whole
    else:
        assert (numbers[0], numbers[-1]) == (first, last)
    starts = [k for k in range(len(whole)) if whole[k : k + len(numbers)] == numbers]
    start = part.bars[starts[0]].onset
    assert segment.start == 0
    for note_there in segment.notes:
        was = next(n for n in part.notes if n.onset == note_there.onset + start)
        assert (was.bar, was.length) == (note_there.bar, note_there.length)
        here = segment.tempo_map.seconds_at(note_there.onset)
        there = part.tempo_map.seconds_at(was.onset) - part.tempo_map.seconds_at(start)
        assert here == pytest.approx(there)
