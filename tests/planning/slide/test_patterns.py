"""Stretches of one pattern."""

from __future__ import annotations

from coach.planning.edits import Edits
from coach.planning.instrument.placement import NO_PLACE
from coach.planning.slide.manners import Manner
from coach.planning.slide.moment import Moment, NoteWay
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.patterns import Pattern, PatternStretch, find_patterns
from tests.hand_made import part_of
from tests.hand_rehearsal import HandPlanner

STRUCK, SLURRED = NoteWay(NO_PLACE, is_stroke=True), NoteWay(NO_PLACE, is_stroke=False)


def notes(strong: str, *, is_free: bool = True) -> list[Moment]:
    """Make a note for each letter: ``X`` on a strong place."""
    begin = Begin.OPEN if is_free else Begin.TONGUE
    return [
        Moment((STRUCK, SLURRED), 60, begin, 0.2, 0.2, False, x == "X", is_free)
        for x in strong
    ]


def ways(letters: str) -> list[NoteWay]:
    return [STRUCK if letter == "T" else SLURRED for letter in letters]


def test_a_stretch_ends_where_another_manner_sets_in() -> None:
    moments = notes("X.X.X.X.")
    manners = [Manner.IN_SETS] * 4 + [Manner.TONGUED] * 4
    assert find_patterns(moments, ways("TnTTTTTT"), manners) == (
        PatternStretch(0, 3, Pattern.IN_TWOS, (3,), slurred=(1,)),
        PatternStretch(4, 7, Pattern.TONGUED),
    )


def test_of_the_notes_that_are_struck_those_that_lie_far_are_tongued() -> None:
    (stretch,) = find_patterns(
        notes("X.X.X."), ways("TTTTTn"), [Manner.IN_SETS] * 6, far={1, 4}
    )
    assert stretch.exceptions == (1, 3)
    assert stretch.tongued == (1,)


def test_what_the_page_dictates_is_a_stretch_of_its_own() -> None:
    moments = [*notes("X."), *notes("X.", is_free=False), *notes("X.")]
    found = find_patterns(moments, ways("TnTTTn"), [1, 1, 0, 0, 1, 1])
    assert [stretch.pattern for stretch in found] == [
        Pattern.IN_TWOS,
        Pattern.AS_WRITTEN,
        Pattern.IN_TWOS,
    ]


def test_sets_of_three_and_slurs_throughout_have_their_names() -> None:
    (threes,) = find_patterns(notes("X..X.."), ways("TnnTnn"), [Manner.IN_SETS] * 6)
    assert threes.pattern is Pattern.IN_THREES
    (through,) = find_patterns(notes("X.X."), ways("Tnnn"), [Manner.SLURRED] * 4)
    assert through == PatternStretch(0, 3, Pattern.SLURRED, (0,), slurred=(1, 2, 3))
    (weak,) = find_patterns(notes("."), ways("n"), [Manner.IN_SETS])
    assert weak.pattern is Pattern.IN_TWOS


def test_a_long_note_and_a_short_one_among_threes_leave_them_threes() -> None:
    """As in a gigue: a quarter and an eighth, then runs of three eighths."""
    moments = notes("X.X..X..X.X..X.")
    (gigue,) = find_patterns(moments, ways("TnTnnTnnTnTnnTn"), [Manner.IN_SETS] * 15)
    assert gigue.pattern is Pattern.IN_THREES
    (march,) = find_patterns(notes("X.X.X..X.X."), ways("TnTnTnnTnTn"), [1] * 11)
    assert march.pattern is Pattern.IN_TWOS


def test_strong_notes_alone_are_tongued_whatever_their_manner() -> None:
    """Quarters in a march of dotted figures: there is nothing to slur in twos."""
    (strong,) = find_patterns(notes("XX"), ways("TT"), [Manner.IN_SETS] * 2)
    assert strong.pattern is Pattern.TONGUED


def test_a_run_with_hardly_a_note_to_slur_is_not_said_to_lie_in_twos() -> None:
    """As where the horn has few of the notes: no passage holds over the others."""
    moments = notes("X.XXXXXXXX")
    (stretch,) = find_patterns(moments, ways("TnTTTTTTTT"), [Manner.IN_SETS] * 10)
    assert stretch.pattern is Pattern.TONGUED


ENDLESS = (
    "Bb2s D3s C3s Eb3s D3s F3s Eb3s G3s F3s A3s G3s Bb3s A3s F3s Eb3s C3s "
    "Bb2s C3s D3s Eb3s F3s G3s A3s Bb3s C4s Bb3s A3s G3s F3s Eb3s D3s C3s "
    "F3s D3s Eb3s C3s D3s Bb2s C3s D3s Eb3s F3s G3s A3s Bb3s A3s G3s F3s "
    "Eb3s G3s F3s A3s G3s Bb3s A3s C4s Bb3s D4s C4s Eb4s D4s Bb3s A3s F3s "
)


def test_a_passage_of_like_bars_keeps_one_pattern() -> None:
    """One articulation runs through a phrase (common practice, no published source)."""
    part = part_of(ENDLESS * 4, bpm=100)
    slide = HandPlanner().plan(part, 100, Edits()).slide
    found = {stretch.pattern for stretch in slide.patterns}
    assert found - {Pattern.AS_WRITTEN} == {Pattern.IN_TWOS}, "but for notes left out"
