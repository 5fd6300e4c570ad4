"""What the engine answers when it is asked: its gear, and how late it was."""

from __future__ import annotations

import threading
from array import array
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.rehearsal.gear.gear import GearReport


class EngineAnswers:
    """The latest answer to each question, and whether it has come."""

    def __init__(self) -> None:
        self.is_ready = threading.Event()
        """The engine has looked at its gear."""
        self.is_reported = threading.Event()
        """It has told what gear there is."""
        self.report: GearReport | None = None
        """What there is."""
        self.is_timed = threading.Event()
        """It has told how late it was."""
        self.lateness = array("d")
        """How late each message was, in seconds."""

    def take_report(self, report: GearReport) -> None:
        """Take what gear there is."""
        self.report = report
        self.is_reported.set()

    def take_lateness(self, body: bytes) -> None:
        """Take how late each message was."""
        self.lateness = array("d", body)
        self.is_timed.set()
