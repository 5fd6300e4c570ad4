"""What was learned of a player's air, in words."""

from __future__ import annotations

import pytest

from coach.rehearsal.learning.learned_words import (
    LONG_TONE,
    RAN_OUT,
    TO_THE_END,
    say_air,
)

FLOW = (0.81, 0.55, 1.1)


@pytest.mark.parametrize(
    ("days", "counts", "wants_a_tone"),
    [
        (3, {TO_THE_END: 12}, True),
        (1, {TO_THE_END: 4}, False),  # one day tells little of anything
        (3, {TO_THE_END: 12, RAN_OUT: 1}, True),
        (3, {TO_THE_END: 12, LONG_TONE: 1}, False),
    ],
)
def test_while_the_band_is_wide_a_long_tone_is_asked_for(
    days: int, counts: dict[str, int], wants_a_tone: bool
) -> None:
    """Light blowers hardly ever do, so that their runs cannot tell how little they
    need."""
    told = say_air(FLOW, days, counts, 0.35)
    assert told.endswith("long tone would tell more.") == wants_a_tone
    assert ("never run out" in told) == (wants_a_tone and RAN_OUT not in counts)
    assert not say_air((0.81, 0.7, 0.94), days, counts, 0.35).endswith("more.")
    assert "about 0.81 of the model's flow, likely 0.55 to 1.10" in told
