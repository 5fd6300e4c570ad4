"""Signs as music21 holds them, where files show them seldom."""

from __future__ import annotations

from collections.abc import Callable

from music21 import base, clef, note, repeat, spanner, stream, tempo

from coach.edges.scores.in_child.found_signs import FoundSigns
from coach.edges.scores.in_child.pages.music21_bars import clefs_of, clefs_within
from coach.edges.scores.in_child.pages.music21_page import _route_words
from coach.edges.scores.in_child.pages.music21_places import PlacedSign
from coach.edges.scores.in_child.pages.music21_signs import repeat_signs, speed_mark
from coach.edges.scores.in_child.sign_sentences import CLEF_WITHIN
from coach.score.metre import Metre
from coach.score.page import PageBar
from coach.score.speed_words import SpeedMark
from coach.score.tempo import beats

BAR = PageBar(1, beats(4), Metre(4, 4))


def made(kind: Callable[[], base.Music21Object]) -> base.Music21Object:
    """Make a sign of music21's, whose makers have no types."""
    return kind()


def test_a_number_that_music21_makes_up_of_words_is_no_tempo() -> None:
    made_up = tempo.MetronomeMark("allegro")
    assert made_up.number is not None
    assert speed_mark(made_up, beats(0)) == SpeedMark(beats(0), words="allegro")
    printed = tempo.MetronomeMark("allegro", 100)
    assert speed_mark(printed, beats(0)) == SpeedMark(
        beats(0), 100.0, beats(1), "allegro"
    )


def test_a_bracket_that_names_its_first_and_last_bar_holds_those_between() -> None:
    measures = [stream.Measure(number=k) for k in range(1, 5)]
    bracket = spanner.RepeatBracket([measures[0], measures[2]], number=1)
    words = [frozenset[str]()] * 4
    signs = repeat_signs(measures, [bracket], words, [])
    assert [bool(sign.endings) for sign in signs] == [True, True, True, False]


def test_a_segno_at_the_end_of_a_bar_is_the_next_ones_and_of_the_last_its_own() -> None:
    segno = made(repeat.Segno)
    signs = [PlacedSign(k, beats(4 * k + 4), segno) for k in (0, 2)]
    words = _route_words(signs, [BAR] * 3, FoundSigns())
    assert words == [frozenset(), {"segno"}, {"segno"}]


def test_a_clef_is_told_of_before_the_last_note_of_a_bar_and_not_about_bar_lines() -> (
    None
):
    measures = [stream.Measure(number=k) for k in range(1, 4)]
    for measure, place in zip(measures, (0.0, 2.0, 4.0), strict=True):
        measure.insert(0.0, note.Note("C3", quarterLength=2.0))
        measure.insert(2.0, note.Note("D4", quarterLength=2.0))
        measure.insert(place, made(clef.TenorClef))
    assert list(clefs_within(measures)) == [(1, CLEF_WITHIN)]


def test_a_clef_in_a_voice_holds_for_the_staff() -> None:
    first, second = (stream.Measure(number=k) for k in (1, 2))
    first.insert(0.0, made(clef.BassClef))
    voice = stream.Voice()
    for place in (0.0, 2.0):
        voice.insert(place, note.Note("D4", quarterLength=2.0))
    voice.insert(2.0, made(clef.TenorClef))
    first.insert(0.0, voice)
    assert list(clefs_of([first, second], [])) == ["bass", "tenor"]
    assert list(clefs_within([first, second])) == [(0, CLEF_WITHIN)]
