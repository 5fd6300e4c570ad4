"""What the shelf is told of each etude."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from coach.rehearsal.review.etude_tally import EtudeTally, Tallies
from coach.score.etude_key import EtudeKey

RIVER = EtudeKey("River", "abc")
OTHER_RIVER = EtudeKey("River", "def")
MONDAY = datetime(2025, 3, 3, 9, 0, tzinfo=UTC)
TUESDAY = datetime(2025, 3, 4, 9, 0, tzinfo=UTC)


def test_an_etude_that_was_never_rehearsed_has_nothing_to_tell() -> None:
    assert Tallies().of(RIVER) is None


def test_two_etudes_of_one_title_have_each_their_own_runs() -> None:
    one, other = EtudeTally(1, MONDAY), EtudeTally(2, TUESDAY)
    tallies = Tallies({"abc": one, "def": other})
    assert (tallies.of(RIVER), tallies.of(OTHER_RIVER)) == (one, other)


def test_old_runs_count_for_every_etude_of_their_title() -> None:
    new = EtudeTally(2, MONDAY, 80.0)
    old = EtudeTally(3, TUESDAY, 84.0)
    tallies = Tallies({"abc": new}, {"River": old})
    assert tallies.of(OTHER_RIVER) == old
    assert tallies.of(RIVER) == EtudeTally(5, TUESDAY, 84.0)
    assert tallies.of(EtudeKey("Field", "123")) is None


@pytest.mark.parametrize(
    ("one", "other", "best"), [(80.0, None, 80.0), (None, 84.0, 84.0), (None,) * 3]
)
def test_the_best_tempo_is_of_either(
    one: float | None, other: float | None, best: float | None
) -> None:
    both = EtudeTally(1, MONDAY, one).with_other(EtudeTally(1, TUESDAY, other))
    assert both.clean_bpm == best
