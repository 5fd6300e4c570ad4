"""What the player is told of the manner in which passages are begun."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.slide.patterns import Pattern, PatternStretch
from coach.planning.slide.words.pattern_words import say_patterns
from tests.hand_made import part_of


def stretch(first: int, last: int, pattern: Pattern, *soft: int) -> PatternStretch:
    slurred = tuple(k for k in range(first + 1, last, 2) if k not in soft)
    return PatternStretch(first, last, pattern, soft, slurred=slurred)


def test_patterns_are_named_with_their_bars_and_exceptions() -> None:
    part = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 4, bpm=90)
    patterns = (
        stretch(0, 7, Pattern.IN_TWOS, 3),
        stretch(8, 15, Pattern.TONGUED),
        stretch(16, 23, Pattern.AS_WRITTEN),
        stretch(24, 31, Pattern.IN_TWOS),
    )
    assert say_patterns(part, patterns) == [
        "Bars 1, 4 in twos (tongue, slur); no clean slur, so a soft tongue, in bar 1.",
        "Bar 2 tongued.",
    ]


def test_notes_that_the_arm_goes_far_for_are_told_apart_from_soft_ones() -> None:
    part = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 2, bpm=90)
    both = PatternStretch(0, 15, Pattern.IN_TWOS, (3, 9), (9,), (1, 5))
    alone = PatternStretch(0, 15, Pattern.IN_TWOS, (9,), (9,), (1,))
    assert say_patterns(part, (both,)) == [
        "Bars 1 to 2 in twos (tongue, slur); no clean slur, so a soft tongue, "
        "in bar 1; tongued where the arm goes far, in bar 2."
    ]
    assert say_patterns(part, (alone,)) == [
        "Bars 1 to 2 in twos (tongue, slur); tongued where the arm goes far, in bar 2."
    ]


def test_what_is_mostly_softly_tongued_is_not_called_slurred() -> None:
    part = part_of("F3e G3e A3e Bb3e C4e D4e " * 2, bpm=90)
    few = PatternStretch(0, 11, Pattern.IN_THREES, (1, 2, 7, 8, 10), (10,), (4, 5, 11))
    assert say_patterns(part, (few,)) == [
        "Bars 1 to 2 in threes (tongue, soft tongue, soft tongue); slurred where that "
        "is clean, in bars 1 to 2; tongued where the arm goes far, in bar 2."
    ]
    none = replace(few, exceptions=(1, 2), tongued=(), slurred=())
    assert say_patterns(part, (none,)) == [
        "Bars 1 to 2 in threes (tongue, soft tongue, soft tongue)."
    ]
    tongued = PatternStretch(8, 11, Pattern.TONGUED, (9, 10))
    assert say_patterns(part, (stretch(0, 7, Pattern.IN_TWOS), tongued))[1:] == [
        "Bar 2 tongued; no clean slur, so a soft tongue, in bar 2."
    ]


def test_what_is_mostly_tongued_is_not_called_twos() -> None:
    part = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 2, bpm=90)
    far = PatternStretch(0, 15, Pattern.IN_TWOS, (1, 3, 5, 7, 9), (3, 5, 7), (11, 13))
    assert say_patterns(part, (far,)) == [
        "Bars 1 to 2 mostly tongued; slurred where that is clean, in bar 2; softly "
        "tongued where the arm is near, in bars 1 to 2."
    ]
    all_far = replace(far, exceptions=(1, 3), tongued=(1, 3), slurred=())
    assert say_patterns(part, (all_far,)) == ["Bars 1 to 2 mostly tongued."]


def test_a_bar_in_which_a_passage_ends_is_named_once() -> None:
    part = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 2, bpm=90)
    patterns = (
        stretch(0, 4, Pattern.IN_TWOS),
        stretch(5, 7, Pattern.TONGUED),
        stretch(8, 15, Pattern.IN_TWOS),
    )
    assert say_patterns(part, patterns) == ["Bars 1 to 2 in twos (tongue, slur)."]


def test_nothing_is_said_where_all_is_as_the_page_and_habit_have_it() -> None:
    part = part_of("F3e G3e A3e Bb3e", bpm=90)
    assert say_patterns(part, (stretch(0, 3, Pattern.TONGUED),)) == []
    assert say_patterns(part, (stretch(0, 3, Pattern.AS_WRITTEN),)) == []


def test_passages_that_meet_within_a_bar_are_told_by_their_beats() -> None:
    """As in a cadenza, which is one long bar."""
    part = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 2, bpm=90)
    patterns = (stretch(0, 11, Pattern.IN_TWOS), stretch(12, 15, Pattern.IN_THREES))
    assert say_patterns(part, patterns) == [
        "Bars 1 to 2 in twos (tongue, slur); in bar 2 only from beat 1 to 2.",
        "Bar 2 in threes (tongue, slur, slur); in bar 2 only from beat 3 to 4.",
    ]


def test_a_passage_names_the_bar_of_its_very_last_note() -> None:
    part = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 2, bpm=90)
    assert say_patterns(part, (stretch(0, 8, Pattern.IN_TWOS),)) == [
        "Bars 1 to 2 in twos (tongue, slur)."
    ]


def test_a_repeat_in_twos_and_then_in_threes_lies_in_sets() -> None:
    """The same bars, cut elsewhere by a breath: nobody reads them in two ways."""
    once = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 2, bpm=90)
    part = replace(once, notes=once.notes * 2)
    patterns = (stretch(0, 15, Pattern.IN_TWOS), stretch(16, 31, Pattern.IN_THREES))
    assert say_patterns(part, patterns) == [
        "Bars 1 to 2 in sets (tongue the first, slur the others)."
    ]
    soft = tuple(replace(each, exceptions=(1, 3, 9), slurred=()) for each in patterns)
    assert say_patterns(part, soft) == [
        "Bars 1 to 2 in sets (tongue the first, the others softly)."
    ]


def test_most_bars_of_a_passage_are_not_named_one_by_one() -> None:
    part = part_of("F3e G3e A3e Bb3e C4e D4e Eb4e F4e " * 6, bpm=90)
    slurred, soft = tuple(range(1, 48, 2)), (3, 11, 19, 27)
    most = stretch(0, 47, Pattern.IN_TWOS, *soft)
    few = replace(most, exceptions=soft[:3])
    said = [say_patterns(part, (replace(s, slurred=slurred),)) for s in (most, few)]
    begins = "Bars 1 to 6 in twos (tongue, slur); no clean slur, so a soft tongue, in "
    assert said == [[f"{begins}most bars."], [f"{begins}bars 1 to 3."]]
