"""An etude that does not fit says by how much it would."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.instrument.range_fit import fitting_shift, say_fit, say_way
from coach.planning.transposing import transpose
from coach.wiring.instrument_files import open_instrument
from tests.hand_made import part_of

ELSE = "For another instrument: --instrument NAME."
TROMBONE = open_instrument("tenor-trombone")
FLUTE = open_instrument("flute")


@pytest.mark.parametrize(
    ("notes", "shift"),
    [("Bb2w F3w", 0), ("C6w D6w", -12), ("C7w D7w", -24), ("C0w D0w", 36)],
)
def test_the_nearest_octave_that_fits(notes: str, shift: int) -> None:
    assert fitting_shift(part_of(notes), TROMBONE) == shift


def test_where_no_octave_fits_semitones_do() -> None:
    wide = part_of("B3w C7w")
    assert fitting_shift(wide, FLUTE) == 1
    assert say_way(wide, FLUTE) == f"It fits 1 semitone higher: --transpose 1. {ELSE}"


def test_what_fits_nowhere_says_so() -> None:
    wide = part_of("E2w C9w")
    assert fitting_shift(wide, TROMBONE) is None
    assert "no key" in say_fit(wide, TROMBONE)
    assert say_fit(part_of("Bb2w"), TROMBONE) == ""


def test_the_way_counts_from_the_page() -> None:
    high = transpose(part_of("C4w"), 24)
    assert (
        say_way(high, TROMBONE) == f"It fits an octave higher: --transpose 12. {ELSE}"
    )
    far = transpose(part_of("C5w"), 12)
    assert say_way(far, TROMBONE) == f"It fits as it is written: --transpose 0. {ELSE}"


def test_notes_typed_as_a_horn_reads_them_are_told_of() -> None:
    """What fits neither way is not."""
    horn = open_instrument("horn-f")
    told = say_fit(part_of("E5w G5w C5w"), horn)
    assert "if they are written for the horn in F, type transpose=-7" in told
    assert "written for" not in say_fit(part_of("E5w C7w"), horn)
    assert "written for" not in say_fit(part_of("C6w D6w"), TROMBONE)
    moved = part_of("E5w G5w")
    heard = [replace(n, sounding=n.sounding.moved(1, 2)) for n in moved.notes]
    assert "written for" not in say_fit(replace(moved, notes=tuple(heard)), horn)
