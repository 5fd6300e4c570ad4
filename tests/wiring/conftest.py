"""Every test plays in a home of its own, with the etudes already read."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def at_home(home: Path) -> None:
    """Use the fixture in every test."""
