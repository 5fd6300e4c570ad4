"""Tests never touch the folder of the player whose machine this is."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings


@pytest.fixture(scope="session", autouse=True)
def away_from_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep settings, cache and log in a folder of the session."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COACH_HOME", str(tmp_path_factory.mktemp("home")))
        yield


# A busy machine must not fail a property that holds.
settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
