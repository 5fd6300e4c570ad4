"""What every room's tests share: a folder of their own, and real sound."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.pulseaudio_stand import PulseServer

# A busy machine must not fail a property that holds.
settings.register_profile("patient", deadline=None)
settings.load_profile("patient")


@pytest.fixture(scope="session", autouse=True)
def away_from_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep settings, cache and log out of the folder of whoever runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COACH_HOME", str(tmp_path_factory.mktemp("home")))
        yield


@pytest.fixture(scope="session")
def pulse_of_the_session() -> Iterator[PulseServer]:
    """Run a PulseAudio server without a sound card; a missing one fails the tests."""
    server = PulseServer()
    yield server
    server.close()


@pytest.fixture
def pulse(
    pulse_of_the_session: PulseServer, monkeypatch: pytest.MonkeyPatch
) -> PulseServer:
    """Let this test's processes be clients of the session's server."""
    for name, value in pulse_of_the_session.environment.items():
        monkeypatch.setenv(name, value)
    return pulse_of_the_session
