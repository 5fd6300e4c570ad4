"""What a player can ask of the click, and what nobody can count."""

from __future__ import annotations

import pytest

from coach.errors import PlanError
from coach.rehearsal.click.click_wishes import ClickWishes


@pytest.mark.parametrize(
    ("wishes", "words"),
    [
        ({"count_in_bars": -1}, "bars"),
        ({"count_in_bars": 10_000}, "bars"),
        ({"subdivision": 0}, "0 parts"),
        ({"subdivision": 99}, "99 parts"),
        ({"groups": (2, 0)}, "no length"),
    ],
)
def test_what_cannot_be_counted_is_refused(
    wishes: dict[str, object], words: str
) -> None:
    with pytest.raises(PlanError, match=words):
        ClickWishes(**wishes)  # type: ignore[arg-type]
