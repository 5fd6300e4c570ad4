"""The built-in sound comes and goes; what is said of it never waits for a driver."""

from __future__ import annotations

from typing import Any, cast

import pytest

from coach.edges.engine.in_child import sound_gear
from coach.edges.engine.in_child.gear_user import GearUser
from coach.edges.engine.in_child.sound_gear import SoundGear
from coach.edges.sound.click_sinks import SoundSink
from coach.edges.system_clock import SystemClock
from coach.rehearsal.gear.gear_choice import GearChoice

BUILT_IN = GearChoice("", "", "auto", "", "", 0.0)


class AtOnce:
    """A main thread that does all at once and keeps nothing."""

    def post(self, job: Any) -> None:
        """Do it."""
        job()

    def __getattr__(self, _: str) -> Any:
        """Take whatever is told."""
        return lambda *_, **__: None


def test_that_the_sound_is_gone_is_said_before_its_driver_lets_go(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where a sound server died, closing may take as long as the run."""

    def refuse(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(sound_gear, "import_module", refuse)
    gear = SoundGear(cast("GearUser", AtOnce()), SystemClock())
    told: list[str] = []

    class Device:
        """A device whose server died."""

        name = "speakers"

        def close(self) -> None:
            """Take as long as it takes."""
            told.append("closed")

    gear.sink = cast("SoundSink", Device())
    gear._opened_as = BUILT_IN
    gear.lose()
    gear.look(BUILT_IN, "", lambda: told.append(f"{gear.sink}: {gear.remark}"))
    assert told == ["None: The sound device “speakers” is gone.", "closed"]
