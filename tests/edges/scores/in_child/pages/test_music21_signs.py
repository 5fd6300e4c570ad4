"""Signs as music21 holds them, where files show them seldom."""

from __future__ import annotations

from music21 import repeat, spanner, stream, tempo

from coach.edges.scores.in_child.found_signs import FoundSigns
from coach.edges.scores.in_child.pages.music21_page import _route_words
from coach.edges.scores.in_child.pages.music21_places import PlacedSign
from coach.edges.scores.in_child.pages.music21_signs import repeat_signs, speed_mark
from coach.score.page import PageBar
from coach.score.phrase import Metre
from coach.score.speeds import SpeedMark
from coach.score.tempo import beats

BAR = PageBar(1, beats(4), Metre(4, 4))


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
    segno = repeat.Segno()  # type: ignore[no-untyped-call]
    signs = [PlacedSign(k, beats(4 * k + 4), segno) for k in (0, 2)]
    words = _route_words(signs, [BAR] * 3, FoundSigns())
    assert words == [frozenset(), {"segno"}, {"segno"}]
