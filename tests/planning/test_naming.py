"""How places and numbers are said."""

from __future__ import annotations

import pytest

from coach.planning.naming import say_short


@pytest.mark.parametrize(
    ("litres", "says"),
    [
        (1.23, "1.2 L short"),
        (0.06, "0.1 L short"),
        (0.04, "less than 0.1 L short"),
    ],
)
def test_no_air_that_is_lacking_is_called_none(litres: float, says: str) -> None:
    assert say_short(litres) == says
