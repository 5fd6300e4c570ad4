"""Cutting the segment that one run rehearses."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.errors import ScoreError
from coach.planning.breathing.breaths import Breath, breath_to_breath
from coach.score.note import Pitch
from coach.score.phrase import Part, RehearsalMark
from coach.score.segment import (
    cut_bars,
    cut_notes,
    find_bars,
)
from coach.score.tempo import Beats, Seconds, TempoMap, TempoMark, beats
from tests.hand_made import part_of

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
    with pytest.raises(ScoreError, match="No note starts in bars 3 to 3"):
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


def test_a_grace_note_goes_with_its_main_note() -> None:
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


def test_a_repeated_bar_is_found_where_it_is_first_played(part: Part) -> None:
    repeated = replace(part, bars=(*part.bars[:2], *part.bars))
    assert find_bars(repeated, 2, 3) == (1, 4)


@pytest.mark.parametrize(("from_bar", "to_bar"), [(0, 2), (1, 7), (3, 2)])
def test_bars_that_are_not_there_are_named(
    part: Part, from_bar: int, to_bar: int
) -> None:
    with pytest.raises(ScoreError, match=f"has no bars {from_bar} to {to_bar}"):
        find_bars(part, from_bar, to_bar)


def test_a_bar_that_comes_only_before_the_other_is_not_found(part: Part) -> None:
    odd = replace(part, bars=(*part.bars[3:], *part.bars[:2]))
    with pytest.raises(ScoreError, match="has no bars 2 to 4"):
        find_bars(odd, 2, 4)


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
        why="",
    )


def test_notes_are_divided_at_the_breaths() -> None:
    assert breath_to_breath([breath(3), breath(7)], 10) == ((0, 3), (4, 7), (8, 9))
    assert breath_to_breath([], 10) == ((0, 9),)
