"""Passes that are alike are counted from the first, whichever the ear found."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.alignment.alike_passes import count_from_first
from coach.rehearsal.hearing.alignment.legs import Leg
from coach.rehearsal.hearing.due_part import DueNote, DuePart
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.take import Sounding
from coach.score.tempo import Seconds
from tests.hearing_room.players import Habits, perform
from tests.hearing_room.repeats import unfold
from tests.hearing_room.studies import compose_study
from tests.hearing_room.takes import Performed
from tests.hearing_room.voices import LEAD_S, sing
from tests.hearing_room.whole_takes import hear

LOOP = (48, 50, 52, 50, 53, 52, 50, 48)
"""Two bars of quarter notes of a second."""

FAULTLESS = Habits(wrong_share=0.0, dropped_share=0.0, fades=False, rushes=False)


def page_of(*keys: int) -> DuePart:
    """Give a page of quarter notes in bars of four."""
    return DuePart(
        notes=tuple(
            DueNote(Seconds(k), Seconds(k + 1), Seconds(k + 1), key, 0.0)
            for k, key in enumerate(keys)
        ),
        bar_starts=tuple(Seconds(k) for k in range(0, len(keys), 4)),
    )


FOUR_PASSES = page_of(*LOOP * 4)


def leg(first: int, count: int, at: float) -> Leg:
    """Play so many notes in a row, in time."""
    begins = tuple(at + k for k in range(count))
    return Leg(first, begins, at + count, way_first=first)


def counted(*legs: Leg, page: DuePart = FOUR_PASSES) -> list[tuple[int, int]]:
    """Give the first note of each leg, and how many notes it has, once counted."""
    found = count_from_first(legs, page)
    assert all(one.way_first == one.first for one in found)
    return [(one.first, len(one.begins)) for one in found]


@pytest.mark.parametrize(
    ("found", "told"),
    [
        ([leg(16, 8, 2.0)], [(0, 8)]),
        ([leg(20, 12, 2.0)], [(4, 12)]),
        ([leg(0, 32, 2.0)], [(0, 32)]),
    ],
)
def test_a_take_begins_with_the_first_pass_alike(
    found: list[Leg], told: list[tuple[int, int]]
) -> None:
    assert counted(*found) == told


@pytest.mark.parametrize(
    ("found", "told"),
    [
        ([leg(16, 16, 2.0), leg(0, 16, 18.2)], [(0, 32)]),
        ([leg(16, 12, 2.0), leg(20, 8, 15.0)], [(0, 12), (12, 8)]),
        ([leg(0, 12, 2.0), leg(24, 8, 21.0)], [(0, 12), (8, 8)]),
        ([leg(0, 32, 2.0), leg(0, 16, 34.0)], [(0, 32), (16, 16)]),
    ],
)
def test_another_leg_goes_on_with_the_next_pass_or_goes_back_least(
    found: list[Leg], told: list[tuple[int, int]]
) -> None:
    assert counted(*found) == told


def test_what_only_rings_after_the_last_note_leads_to_no_other_pass() -> None:
    assert counted(leg(16, 16, 2.0), leg(0, 18, 18.0)) == [(0, 32)]


def test_a_bar_after_which_other_notes_come_is_no_other_one() -> None:
    page = page_of(*LOOP, *LOOP, 55, 57, 58, 60)
    assert counted(leg(8, 12, 2.0), page=page) == [(8, 12)]
    assert counted(leg(8, 8, 2.0), page=page) == [(0, 8)]


def test_notes_alike_elsewhere_in_the_bar_are_no_pass() -> None:
    assert counted(leg(7, 1, 2.0)) == [(7, 1)]
    page = page_of(48, 48, 48, 48, 48, 48, 48, 48)
    assert counted(leg(5, 3, 2.0), page=page) == [(1, 3)]


def test_on_a_page_without_bars_nothing_is_a_pass() -> None:
    page = replace(FOUR_PASSES, bar_starts=())
    assert counted(leg(16, 8, 2.0), page=page) == [(16, 8)]


@pytest.mark.parametrize("is_ours", [True, False])
def test_five_passes_of_twelve_are_the_first_five(is_ours: bool) -> None:
    bars, once = (0, 1), compose_study(9, "mixed", 92.0, phrase_count=4)
    study, page = unfold(once, bars * 5), unfold(once, bars * 12)
    played = perform(study, 9, FAULTLESS)
    take = Performed(study, played, sing(played, 9), {}).taken(9)
    if not is_ours:
        take = replace(take, sounding=Sounding())
    heard = hear(take, page.due, read_hearing_settings())
    assert isinstance(heard, Heard), heard
    there = [k for k, note in enumerate(heard.notes) if note.heard is not None]
    assert there == list(range(len(study.due.notes)))
    assert float(heard.offset) == pytest.approx(-LEAD_S, abs=0.05)
    assert heard.missed == heard.began_again == ()
    assert heard.passed_over == ()
