"""An app over a studio of paper, on a clock that the test moves."""

from __future__ import annotations

import pytest

from coach.rehearsal.gear.gear import ManualClock
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.phrase import phrase_planning
from coach.screens.widgets import key_bar
from tests.screens.paper_studio import PaperStudio, make_part


@pytest.fixture(autouse=True)
def no_pause(monkeypatch: pytest.MonkeyPatch) -> None:
    """Look at a changed plan again at once: no test is to wait for it."""
    monkeypatch.setattr(phrase_planning, "PAUSE_S", 0.0)


@pytest.fixture(autouse=True)
def remarks_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no remark go before a test has read it, however busy the machine."""
    monkeypatch.setattr(key_bar, "REMARK_S", 3600.0)


@pytest.fixture
def part() -> Part:
    """A part of eight bars, mostly sixteenths."""
    return make_part()


@pytest.fixture
def clock() -> ManualClock:
    """A clock that the test moves."""
    return ManualClock(Seconds(100.0))


@pytest.fixture
def studio(part: Part, clock: ManualClock) -> PaperStudio:
    """A studio with two etudes."""
    return PaperStudio([part, make_part("Slow Stairs", "\nBb2/8 D3/8\nF3/16\n")], clock)


@pytest.fixture
def app(studio: PaperStudio) -> CoachApp:
    """The app over that studio."""
    return CoachApp(studio)
