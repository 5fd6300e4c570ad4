"""How many alternates, and which: the threshold is the player's, at every tempo."""

from __future__ import annotations

import pytest

from coach.edges.scores.score_files import read_part
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.slide.slide_shelf import planned, positions
from tests.shipped_etudes import FOUND, path_of

THIRDS = "F3s A3s G3s Bb3s A3s C4s Bb3s D4s C4s E4s D4s F4s E4s G4s F4s A4s F4q "
DOTTED = "Eb3e. G3s Bb3e. Eb4s G4e. Eb4s Bb3e. G3s Eb3q "


def alternates(part: Part, dial: float) -> int:
    """Count the notes that are not played in their usual place."""
    return sum(place.is_alternate for place in planned(part, dial=dial).placements)


@pytest.mark.parametrize("bpm", [76.0, 92.0, 104.0, 112.0, 126.0])
def test_quicker_notes_do_not_lower_the_threshold(bpm: float) -> None:
    """Broken thirds in usual positions, slow and fast: nothing new to learn."""
    assert alternates(part_of(THIRDS * 2, bpm=bpm), 0.5) == 0


def test_a_march_in_dotted_notes_never_leaves_for_sixth_position() -> None:
    """Nothing is slurred there, and a student plays it where it lies."""
    for bpm in (88.0, 104.0, 120.0):
        assert "6" not in positions(planned(part_of(DOTTED * 2, bpm=bpm)))


def test_a_slurred_scale_of_b_flat_keeps_e_flat_in_third() -> None:
    scale = "Bb3s ~C4s ~D4s ~Eb4s F4s ~Eb4s ~D4s ~C4s "
    for bpm in (60.0, 76.0, 92.0):
        plan = planned(part_of(scale * 2 + "Bb3q", bpm=bpm))
        assert {positions(plan).split()[k] for k in (3, 5, 11, 13)} == {"3"}


def test_with_the_dial_up_seldom_places_are_used_too() -> None:
    plan = planned(part_of("Bb3e ~C4e ~D4e ~Eb4e", bpm=80), dial=1.0)
    assert positions(plan) == "1 3 4 6"


@pytest.mark.usefixtures("read_etudes")
def test_each_notch_of_the_dial_is_heard() -> None:
    """Over the shelf: none, few, some, more, as many as help."""
    parts = [read_part(path_of(name)) for name in FOUND]
    none, few, some, more, most = (
        sum(alternates(part, dial) for part in parts)
        for dial in (0.0, 0.25, 0.5, 0.75, 1.0)
    )
    assert none == 0
    assert 0 < few < 0.6 * some
    assert some < 0.8 * more < more < 0.9 * most
