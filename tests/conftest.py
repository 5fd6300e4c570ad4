"""Real sound for every room's tests: a PulseAudio server without a sound card."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.pulse_stand import PulseServer


@pytest.fixture(scope="session")
def pulse_of_the_session() -> Iterator[PulseServer]:
    """Run a server; where there is none, tests fail and are not skipped."""
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
