"""Numbers with which nothing can be learned are refused in one sentence."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from coach.errors import ConfigError
from tests.rehearsal.learning.played_runs import SETTINGS


@pytest.mark.parametrize(
    ("other", "says"),
    [
        ({"players_differ_share": 0.0}, "must differ by more than 0"),
        ({"mark_late_s": -0.1}, "must differ by more than 0"),
        ({"walk_per_day_share": -0.01}, "may be below 0"),
        ({"aim_share": 1.5}, "must lie between 0 and 1"),
        ({"outside_share": 0.0}, "must lie between 0 and 1"),
        ({"most_runs_count": 0}, "at least 1"),
    ],
)
def test_numbers_that_teach_nothing_are_refused(
    other: dict[str, Any], says: str
) -> None:
    with pytest.raises(ConfigError, match=says):
        replace(SETTINGS, **other)
