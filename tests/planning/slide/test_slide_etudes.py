"""Arm and tongue on the shipped etudes, against what a teacher marks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pytest

from coach.edges.scores.score_files import read_part
from coach.planning.instrument.placement import Articulation
from coach.planning.slide.slide import SlidePlan, plan_tongued
from coach.score.phrase import Part
from tests.planning.slide.slide_shelf import instrument, planned, settings
from tests.shipped_etudes import FOUND, MARKED, MARKS, path_of

pytestmark = pytest.mark.usefixtures("read_etudes")

NO_MARKS: Mapping[str, Any] = {"surely": ()}
"""Of an etude that no teacher has marked yet."""


@dataclass(frozen=True)
class Played:
    """One etude as the coach would have it played."""

    part: Part
    plan: SlidePlan
    usual: SlidePlan
    tongued: SlidePlan

    def note_at(self, mark: str) -> int:
        """Find the note that a mark such as ``3:2.5 F4`` names."""
        spelled = [
            f"{note.bar}:{float(note.beat):g} {note.sounding}"
            for note in self.part.notes
        ]
        return spelled.index(mark)


@pytest.fixture(scope="module")
def shelf() -> dict[str, Played]:
    """Plan every etude once, with breaths where any teacher breathes."""
    parts = {name: read_part(path_of(name)) for name in FOUND}
    return {name: play(name, part) for name, part in parts.items()}


def play(name: str, part: Part) -> Played:
    spelled = [f"{n.bar}:{float(n.beat):g} {n.sounding}" for n in part.notes]
    breaths = frozenset(
        spelled.index(mark) for mark in MARKS.get(name, NO_MARKS)["surely"]
    )
    return Played(
        part,
        planned(part, breaths_after=breaths),
        planned(part, breaths_after=breaths, dial=0.0),
        plan_tongued(part, part.tempo_map, instrument(), settings(), breaths),
    )


def test_most_alternates_of_the_teacher_are_chosen(shelf: dict[str, Played]) -> None:
    """At the default dial; 59 of 71 when this was written."""
    marks = [
        (name, *mark.split(" = "))
        for name in MARKED
        for mark in MARKS[name]["positions"]
    ]
    kept = [
        shelf[name].plan.placements[shelf[name].note_at(note)].plain == position
        for name, note, position in marks
    ]
    assert sum(kept) >= 0.8 * len(kept)


@pytest.mark.parametrize("name", FOUND)
def test_an_etude_without_alternates_on_the_page_gets_few(
    shelf: dict[str, Played], name: str
) -> None:
    """An alternate on one note in three would be a habit, not a choice."""
    alternates = sum(place.is_alternate for place in shelf[name].plan.placements)
    assert alternates <= len(shelf[name].part.notes) / 3


@pytest.mark.parametrize("name", FOUND)
def test_the_plan_never_asks_more_of_arm_or_tongue(
    shelf: dict[str, Played], name: str
) -> None:
    played = shelf[name]
    for other in (played.usual, played.tongued):
        assert played.plan.travel_cm <= other.travel_cm + 1e-9
        assert played.plan.tongue_strokes <= other.tongue_strokes


ALLOWS = ["above-the-trees", "evening-field", "mill-wheel", "morning-air", "tide"]
ALLOWS += ["two-by-two"]


@pytest.mark.parametrize("name", ALLOWS)
def test_where_the_page_allows_it_three_hard_strokes_in_ten_go(
    shelf: dict[str, Played], name: str
) -> None:
    """Against the same phrase tongued throughout in usual positions.

    Where no slur is clean, a soft tongue keeps a passage in its twos.
    """
    played = shelf[name]
    hard = played.plan.articulations.count(Articulation.TONGUED)
    assert hard <= 0.7 * played.tongued.tongue_strokes


@pytest.mark.parametrize("name", FOUND)
def test_nobody_slurs_far_and_fast_unless_it_is_written(
    shelf: dict[str, Played], name: str
) -> None:
    """At most 25 cm in 0.2 s; common practice, no published source."""
    played = shelf[name]
    notes = played.part.notes
    at_s = [played.part.tempo_map.seconds_at(note.onset) for note in notes]
    for k in range(1, len(notes)):
        is_stroke = played.plan.articulations[k].is_stroke
        if not is_stroke and not notes[k].is_slurred:
            speed = played.plan.travel_by_note_cm[k] / (at_s[k] - at_s[k - 1])
            assert speed <= 125.0, notes[k]


@pytest.mark.parametrize("name", FOUND)
def test_every_note_can_be_played(shelf: dict[str, Played], name: str) -> None:
    assert all(place.label for place in shelf[name].plan.placements)
