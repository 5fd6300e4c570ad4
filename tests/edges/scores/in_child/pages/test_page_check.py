"""A page that no player could play is refused, with its bar."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.edges.scores.in_child.pages.page_check import check_page
from coach.edges.scores.score_limits import ScoreLimits, read_score_limits
from coach.errors import ScoreError
from coach.score.metre import Metre
from coach.score.note import Pitch
from coach.score.page import Page, PageBar, PageNote
from coach.score.played.repeats import RepeatSigns
from coach.score.speed_words import SpeedMark
from coach.score.tempo import beats

C4, C99 = Pitch(4, "C"), Pitch(99, "C")
NOTE = PageNote(beats(0), beats(4), C4, C4)
LIMITS = read_score_limits()


def make_bar(number: int, *notes: PageNote, length: int = 4, times: int = 1) -> PageBar:
    signs = RepeatSigns(times=times)
    return PageBar(number, beats(length), Metre(4, 4), notes, signs)


def check(*bars: PageBar, limits: ScoreLimits = LIMITS, tempo: float = 60) -> None:
    marks = (SpeedMark(beats(0)), SpeedMark(beats(4), tempo))
    check_page(Page("", "", bars, speeds=marks), "x.krn", limits)


def test_a_page_that_can_be_played_passes() -> None:
    check(make_bar(1, NOTE), make_bar(2, NOTE, times=2))


@pytest.mark.parametrize(
    ("bars", "limits", "tempo", "why"),
    [
        ([make_bar(1)], LIMITS, 60, "has no notes"),
        ([make_bar(7, replace(NOTE, sounding=C99))], LIMITS, 60, r"C99\) in bar 7"),
        ([make_bar(7, replace(NOTE, written=C99))], LIMITS, 60, r"C99\) in bar 7"),
        (
            [make_bar(7, replace(NOTE, length=beats(0)))],
            LIMITS,
            60,
            "no length in bar 7",
        ),
        ([make_bar(7, replace(NOTE, offset=beats(-1)))], LIMITS, 60, "length in bar 7"),
        ([make_bar(7, NOTE, length=129)], LIMITS, 60, "129 quarter notes in bar 7"),
        ([make_bar(7, NOTE, times=9)], LIMITS, 60, "repeats 9 times up to bar 7"),
        (
            [make_bar(7, NOTE), make_bar(8, NOTE)],
            replace(LIMITS, length_quarters=7),
            60,
            "longer than 7 quarter notes in bar 8",
        ),
        (
            [make_bar(7, NOTE, times=8)],
            replace(LIMITS, played_bars=7),
            60,
            "more than 7 bars with all its repeats",
        ),
        ([make_bar(7, NOTE), make_bar(8, NOTE)], LIMITS, 0, "tempo of 0.*in bar 8"),
        ([make_bar(7, NOTE), make_bar(8, NOTE)], LIMITS, 2000, "tempo of 2000"),
    ],
)
def test_a_page_that_cannot_be_played_is_refused(
    bars: list[PageBar], limits: ScoreLimits, tempo: float, why: str
) -> None:
    with pytest.raises(ScoreError, match=f"“x.krn” .*{why}"):
        check(*bars, limits=limits, tempo=tempo)
