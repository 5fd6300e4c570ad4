"""The harmonic series against equal temperament, and tube lengths."""

from __future__ import annotations

import pytest

from coach.planning.instrument.partials import (
    lay_partials,
    lowered_semitones,
    partial_semitones,
    tube_length_cm,
    tube_ratio,
)

# The harmonic series in semitones of equal temperament above the fundamental, and how
# many cents the partial lies above it: 1200 log2(n), in any textbook of acoustics
# (e.g. Benade, Fundamentals of Musical Acoustics, 1976; from memory).
SERIES = {
    1: (0, 0.0),
    2: (12, 0.0),
    3: (19, 1.96),
    4: (24, 0.0),
    5: (28, -13.69),
    6: (31, 1.96),
    7: (34, -31.17),
    8: (36, 0.0),
    9: (38, 3.91),
    10: (40, -13.69),
    11: (42, -48.68),
    12: (43, 1.96),
    13: (44, 40.53),
    14: (46, -31.17),
    15: (47, -11.73),
    16: (48, 0.0),
}


@pytest.mark.parametrize("partial", SERIES)
def test_partials_lie_where_the_harmonic_series_has_them(partial: int) -> None:
    semitones, cents = SERIES[partial]
    assert partial_semitones(partial) == pytest.approx(
        semitones + cents / 100, abs=5e-5
    )


def test_a_horn_may_differ_from_the_series_partial_by_partial() -> None:
    assert lay_partials((0.0, 5.0)) == pytest.approx((0.0, 12.05))


def test_b_flat_trombone_sounds_like_nearly_three_metres_of_tube() -> None:
    """c / 2f at 345 m/s and 58.27 Hz."""
    assert tube_length_cm(34, 345.0) == pytest.approx(296.0, abs=0.1)


def test_a_longer_tube_sounds_lower_by_its_ratio() -> None:
    assert tube_ratio(12) == pytest.approx(2.0)
    assert lowered_semitones(tube_ratio(5)) == pytest.approx(5.0)
