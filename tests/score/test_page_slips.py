"""What on a page looks like a slip."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.score.metre import Metre
from coach.score.note import Pitch
from coach.score.page import Page, PageBar, PageNote
from coach.score.page_facts import page_doubts
from coach.score.played.repeats import RepeatSigns
from coach.score.tempo import beats

C4, D4 = Pitch(4, "C"), Pitch(4, "D")


def note(offset: int, pitch: Pitch = C4, **signs: bool) -> PageNote:
    plain = PageNote(beats(offset), beats(2), pitch, pitch)
    return replace(plain, **signs)  # type: ignore[arg-type]


def page(*bars: tuple[PageNote, ...]) -> Page:
    made = [
        PageBar(number, beats(4), Metre(4, 4), notes)
        for number, notes in enumerate(bars, 1)
    ]
    return Page("", "", tuple(made))


def doubts(of: Page, order: list[int] | None = None) -> list[str]:
    every = list(range(len(of.bars)))
    return list(page_doubts(of, every if order is None else order))


ENDING = RepeatSigns(times=2, endings=frozenset({1}))
OPEN = note(2, is_tied_on=True)
TIED_OVER = note(0, is_tied_over=True)


def test_a_tie_that_leads_to_the_same_note_and_has_no_end_is_named() -> None:
    told = doubts(page((note(0), OPEN), (note(0), OPEN), (note(0),)))
    assert told == [
        "A tie without an end is played to the next note, which is the same: "
        "bars 1 to 2."
    ]


@pytest.mark.parametrize(
    "following",
    [
        TIED_OVER,
        note(0, D4),
        note(2),
        replace(TIED_OVER, is_grace=True, is_tied_over=False),
    ],
)
def test_other_ties_are_not(following: PageNote) -> None:
    assert doubts(page((note(0), OPEN), (following,))) == []


def test_a_tie_into_the_ending_behind_it_is_not_named() -> None:
    plain = page((note(0), OPEN), (note(0),))
    ending = replace(plain.bars[1], signs=ENDING)
    assert doubts(replace(plain, bars=(plain.bars[0], ending))) == []


def test_a_tie_inside_of_an_ending_is_named() -> None:
    plain = page((note(0, is_tied_on=True), note(2)))
    ending = replace(plain.bars[0], signs=ENDING)
    assert len(doubts(replace(plain, bars=(ending,)))) == 1


def test_bars_that_the_way_passes_by_are_named() -> None:
    bars = page(*[(note(0),)] * 7)
    assert doubts(bars, [0, 6]) == [
        "Never played on the way through the repeats: bars 2 to 6."
    ]
    assert doubts(bars, [0, 1, 2, 3, 4, 5, 6, 0]) == []


def signed(*signs: RepeatSigns) -> Page:
    plain = page(*[(note(0),)] * len(signs))
    bars = zip(plain.bars, signs, strict=True)
    return replace(plain, bars=tuple(replace(bar, signs=sign) for bar, sign in bars))


PLAIN, OPENS, CLOSES = RepeatSigns(), RepeatSigns(opens=True), RepeatSigns(times=2)


@pytest.mark.parametrize(
    ("signs", "bars"),
    [
        ((OPENS, PLAIN), "bar 1"),
        ((OPENS, PLAIN, OPENS, CLOSES), "bar 1"),
        ((PLAIN, OPENS, CLOSES, OPENS), "bar 4"),
        ((OPENS, OPENS), "bars 1 to 2"),
    ],
)
def test_a_repeat_that_no_sign_closes_is_named(
    signs: tuple[RepeatSigns, ...], bars: str
) -> None:
    text = f"A repeat begins that no sign closes, so it is played once: {bars}."
    assert doubts(signed(*signs)) == [text]


def test_a_repeat_that_is_closed_or_has_no_opening_sign_is_not() -> None:
    both = RepeatSigns(opens=True, times=2)
    assert doubts(signed(OPENS, CLOSES, both, PLAIN, CLOSES)) == []


def test_endings_that_lead_nowhere_back_are_named() -> None:
    first, second = (RepeatSigns(endings=frozenset({k})) for k in (1, 2))
    closed = replace(first, times=2)
    text = "Endings that no repeat sign leads back from are played one after the other"
    assert doubts(signed(PLAIN, first, second)) == [f"{text}: bar 2."]
    assert doubts(signed(PLAIN, closed, second, PLAIN, second)) == [f"{text}: bar 5."]
    assert doubts(signed(PLAIN, closed, second)) == []
