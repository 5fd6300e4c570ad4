"""A printed page becomes what is played."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import ScoreError
from coach.score.loudness import Dynamic, Hairpin, LoudnessSettings
from coach.score.metre import Metre
from coach.score.note import Pitch
from coach.score.page import BoxedWords, Page, PageBar, PageNote
from coach.score.phrase import Part
from coach.score.played.graces import GraceSettings
from coach.score.played.repeats import RepeatSigns
from coach.score.played.unfolding import PageSettings, unfold
from coach.score.speed_words import SpeedMark
from coach.score.speeds import SpeedSettings
from coach.score.tempo import beats

SETTINGS = PageSettings(
    LoudnessSettings(hairpin_steps=1.0, sforzato_steps=1.0, open_words_quarters=8.0),
    SpeedSettings(
        default_bpm=80,
        slower_share=0.5,
        faster_share=1.5,
        gradual_quarters=16,
        slowest_bpm=20,
        fastest_bpm=400,
        names_bpm=(),
    ),
    GraceSettings(0.125, 0.5, leaned_share=0.5, leaned_dotted_share=2 / 3),
)
COMMON = Metre(4, 4)
C4, D4 = Pitch(4, "C"), Pitch(4, "D")
CLOSE = RepeatSigns(times=2)
Row = tuple[object, ...]


def printed(offset: int | str, length: int | str, pitch: Pitch = C4) -> PageNote:
    return PageNote(beats(offset), beats(length), pitch, pitch)


def bar(
    number: int,
    *notes: PageNote,
    signs: RepeatSigns | None = None,
    length: int = 4,
    first_beat: int = 1,
) -> PageBar:
    return PageBar(
        number,
        beats(length),
        COMMON,
        notes,
        signs or RepeatSigns(),
        first_beat=Fraction(first_beat),
    )


def ending(number: int, times: int = 1) -> RepeatSigns:
    return RepeatSigns(times=times, endings=frozenset({number}))


def play(*bars: PageBar, **signs: object) -> Part:
    page = replace(Page("Title", "Trombone", bars), **signs)  # type: ignore[arg-type]
    return unfold(page, SETTINGS, most_bars=100)


def onsets(part: Part) -> list[Fraction]:
    return [note.onset for note in part.notes]


def test_a_repeat_is_played_twice_under_the_same_bar_numbers() -> None:
    part = play(bar(1, printed(0, 4)), bar(2, printed(0, 4, D4), signs=CLOSE))
    assert [note.bar for note in part.notes] == [1, 2, 1, 2]
    assert [bar.onset for bar in part.bars] == [0, 4, 8, 12]
    assert part.bar_count == 2
    assert [part.start, part.end] == [0, 16]


def test_a_pickup_lies_before_zero_on_its_own_beat() -> None:
    part = play(
        bar(0, printed(0, 1), length=1, first_beat=4), bar(1, printed(0, 4, D4))
    )
    assert onsets(part) == [-1, 0]
    assert [note.beat for note in part.notes] == [4, 1]
    assert part.start == -1


def test_a_tie_makes_one_note_with_the_signs_of_both() -> None:
    first = replace(printed(2, 2), is_tied_on=True, articulations=frozenset({"accent"}))
    second = replace(
        printed(0, 1), is_tied_over=True, breath_mark="breath", has_fermata=True
    )
    part = play(bar(1, first), bar(2, second, printed(1, 1)))
    (tied, after) = part.notes
    assert [tied.onset, tied.length] == [2, 3]
    assert tied.bar == 1
    assert tied.articulations == {"accent"}
    assert tied.breath_mark == "breath"
    assert tied.has_fermata
    assert after.length == 1


def test_a_breath_within_a_tie_divides_it_and_is_told() -> None:
    held = replace(printed(0, 4), is_tied_on=True)
    part = play(
        bar(1, replace(held, breath_mark="breath")),
        bar(2, replace(held, is_tied_over=True)),
        bar(3, replace(printed(0, 4), is_tied_over=True)),
    )
    assert [note.bar for note in part.notes] == [1, 2]
    assert [note.length for note in part.notes] == [4, 8]
    assert [note.breath_mark for note in part.notes] == ["breath", ""]
    assert (
        "A breath stands within a tie, so the note is begun anew after it: bar 1."
        in part.remarks
    )


def test_a_tie_to_another_pitch_ties_nothing() -> None:
    part = play(bar(1, replace(printed(0, 2), is_tied_on=True), printed(2, 2, D4)))
    assert [note.length for note in part.notes] == [2, 2]


def test_a_tie_over_a_rest_ties_nothing() -> None:
    part = play(bar(1, replace(printed(0, 1), is_tied_on=True), printed(2, 2)))
    assert [note.length for note in part.notes] == [1, 2]


def test_a_tie_leads_into_both_endings() -> None:
    part = play(
        bar(1, replace(printed(0, 4), is_tied_on=True)),
        bar(2, replace(printed(0, 4), is_tied_over=True), signs=ending(1, 2)),
        bar(3, printed(0, 2), signs=ending(2)),
    )
    assert [note.length for note in part.notes] == [8, 6]


def test_a_tie_at_a_repeat_sign_does_not_lead_back() -> None:
    part = play(bar(1, replace(printed(0, 4), is_tied_on=True), signs=CLOSE))
    assert [note.length for note in part.notes] == [4, 4]


def test_a_slur_reaches_its_notes_but_not_over_a_rest() -> None:
    def slurred(offset: int, pitch: Pitch) -> PageNote:
        return replace(printed(offset, 1, pitch), is_slurred=True)

    part = play(bar(1, printed(0, 1), slurred(1, D4), slurred(3, C4)))
    assert [note.is_slurred for note in part.notes] == [False, True, False]


def test_a_slur_leads_into_both_endings_and_not_back_to_the_start() -> None:
    slurred = replace(printed(0, 4, D4), is_slurred=True)
    part = play(
        bar(1, replace(printed(0, 4), is_slurred=True)),
        bar(2, slurred, signs=ending(1, 2)),
        bar(3, printed(0, 4, D4), signs=ending(2)),
    )
    assert [note.is_slurred for note in part.notes] == [False, True, False, True]


def test_a_repeat_from_the_last_bar_carries_no_slur() -> None:
    slurred = replace(printed(2, 2, D4), is_slurred=True)
    part = play(bar(1, printed(0, 2), slurred, signs=CLOSE))
    assert [note.is_slurred for note in part.notes] == [False, True, False, True]


def test_an_ending_after_an_empty_bar_is_not_slurred() -> None:
    part = play(
        bar(1, printed(0, 4)),
        bar(2, signs=ending(1, 2)),
        bar(3, replace(printed(0, 4), is_slurred=True), signs=ending(2)),
    )
    assert [note.is_slurred for note in part.notes] == [False, False, False]


def test_dynamics_are_the_same_each_time() -> None:
    part = play(
        bar(1, printed(0, 4)),
        bar(2, printed(0, 4), signs=CLOSE),
        dynamics=(Dynamic(beats(0), "p"),),
        hairpins=(Hairpin(beats(0), beats(8), 1),),
    )
    assert [(note.loud_start, note.loud_end) for note in part.notes] == [
        (-2, -1.5),
        (-1.5, -1),
    ] * 2


def test_a_hairpin_leads_to_the_dynamic_of_the_next_note_inside_a_bar() -> None:
    part = play(
        bar(1, printed(0, 2), printed(3, 1)),
        dynamics=(Dynamic(beats(0), "p"), Dynamic(beats(3), "f")),
        hairpins=(Hairpin(beats(0), beats(2), 1),),
    )
    assert (part.notes[0].loud_start, part.notes[0].loud_end) == (-2, 1)


def test_a_tied_note_ends_as_loud_as_its_last_part() -> None:
    part = play(
        bar(1, replace(printed(0, 4), is_tied_on=True)),
        bar(2, replace(printed(0, 4), is_tied_over=True)),
        dynamics=(Dynamic(beats(0), "p"), Dynamic(beats(8), "f")),
        hairpins=(Hairpin(beats(0), beats(8), 1),),
    )
    assert (part.notes[0].loud_start, part.notes[0].loud_end) == (-2, 1)


def test_the_second_ending_starts_as_loud_as_the_first() -> None:
    part = play(
        bar(1, printed(0, 4)),
        bar(2, printed(0, 4), signs=ending(1)),
        bar(3, printed(0, 4), signs=ending(1, 2)),
        bar(4, printed(0, 4), signs=ending(2)),
        bar(5, printed(0, 4)),
        dynamics=(Dynamic(beats(0), "p"), Dynamic(beats(4), "ff")),
    )
    by_bar = {note.bar: note.loud_start for note in part.notes}
    assert by_bar == {1: -2, 2: 2, 3: 2, 4: -2, 5: -2}


def test_a_grace_note_has_time_and_the_loudness_of_its_place() -> None:
    small = replace(printed(2, "1/2", D4), is_grace=True, takes_from_before=True)
    part = play(
        bar(1, printed(0, 2), small, printed(2, 2)),
        dynamics=(Dynamic(beats(2), "f"),),
    )
    assert onsets(part) == [0, Fraction(15, 8), 2]
    assert part.notes[1].is_grace
    assert part.notes[1].loud_start == part.notes[1].loud_end == 1
    assert part.notes[1].beat == 3


def test_a_grace_note_before_a_tie_keeps_it_apart() -> None:
    small = replace(printed(0, "1/2", D4), is_grace=True, takes_from_before=True)
    part = play(
        bar(1, replace(printed(0, 4), is_tied_on=True)),
        bar(2, small, replace(printed(0, 4), is_tied_over=True)),
    )
    assert len(part.notes) == 3


def test_no_note_reaches_into_the_next() -> None:
    part = play(bar(1, printed(0, 4), printed(1, 1, D4), printed(1, 2)))
    rows: list[Row] = [(note.onset, note.length) for note in part.notes]
    assert rows == [(0, 1), (1, 2)]


def test_tempo_changes_are_played_each_time() -> None:
    marks = (SpeedMark(beats(0), 60, beats(1)), SpeedMark(beats(6), 120, beats(1)))
    part = play(bar(1, printed(0, 4)), bar(2, printed(0, 4), signs=CLOSE), speeds=marks)
    marks_played = part.tempo_map.marks
    rows: list[Row] = [(mark.at, mark.quarters_per_minute) for mark in marks_played]
    assert rows == [
        (0, 60),
        (6, 120),
        (8, 60),
        (14, 120),
    ]
    assert part.tempo.bpm == 60


def test_rehearsal_marks_stand_where_they_are_played() -> None:
    boxes = (BoxedWords(beats(0), "A"), BoxedWords(beats(6), "B"))
    part = play(bar(1, printed(0, 4)), bar(2, printed(0, 4), signs=CLOSE), boxes=boxes)
    rows: list[Row] = [(mark.at, mark.text) for mark in part.rehearsal_marks]
    assert rows == [
        (0, "A"),
        (6, "B"),
        (8, "A"),
        (14, "B"),
    ]


def test_a_mute_is_told_with_the_bar_that_asks_for_it() -> None:
    bars = [bar(k, printed(0, 4)) for k in (1, 2)]
    part = play(
        *bars,
        speeds=(SpeedMark(beats(0), 80.0), SpeedMark(beats(4), words="con sord.")),
    )
    assert [said for said in part.remarks if "sord" in said] == [
        "Bar 2: “con sord.” is not reckoned with, the air is that of the open "
        "instrument."
    ]


def test_swing_is_told_with_the_bar_that_asks_for_it() -> None:
    bars = [bar(k, printed(0, 4)) for k in (1, 2)]
    part = play(*bars, speeds=(SpeedMark(beats(0), 80.0, words="Medium swing"),))
    assert part.remarks == (
        "Bar 1: “Medium swing” is planned and clicked as written, with even pairs of "
        "notes.",
    )


def test_remarks_name_the_bar() -> None:
    part = play(
        bar(1, printed(0, 4)),
        bar(2, printed(0, 4)),
        speeds=(SpeedMark(beats(4), words="meno mosso"),),
        remarks=("Chords are written.",),
    )
    assert part.remarks == (
        "Chords are written.",
        "Bar 2: “meno mosso” has no number, the tempo stays.",
        "No tempo mark: 80 beats a minute is a guess; "
        "set the tempo that you want to reach.",
    )


def test_a_page_without_notes_cannot_be_played() -> None:
    with pytest.raises(ScoreError, match="no note"):
        play(bar(1))


def test_repeats_that_never_end_are_refused() -> None:
    with pytest.raises(ScoreError, match="more than 100 bars"):
        play(*[bar(k, printed(0, 4), signs=CLOSE) for k in range(1, 90)])


NOTES = st.lists(st.sampled_from(["1/2", "1", "3/2", "1/3", "1/4"]), min_size=1)


@settings(deadline=None)
@given(NOTES, st.integers(1, 4), st.booleans())
def test_a_part_is_a_single_line_in_order(
    lengths: list[str], times: int, is_tied: bool
) -> None:
    notes: list[PageNote] = []
    place = Fraction(0)
    for length in lengths:
        note = printed(str(place), length)
        notes.append(replace(note, is_tied_on=is_tied, is_tied_over=is_tied))
        place += Fraction(length)
    page_bar = PageBar(
        1, beats(place), COMMON, tuple(notes), RepeatSigns(opens=True, times=times)
    )
    part = play(page_bar)
    assert all(a.end <= b.onset for a, b in pairwise(part.notes))
    assert sum(note.length for note in part.notes) == place * times
    assert part.notes[-1].end == part.end
