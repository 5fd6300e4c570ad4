"""What the screens have opened: gear, log and planner, each when it is first needed."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from threading import RLock
from typing import TYPE_CHECKING

from coach.edges.system_clock import SystemClock
from coach.wiring.open_rehearsal import open_log, open_player
from coach.wiring.screens_file import read_screen_facts, write_screen_facts
from coach.wiring.terminal.collecting import collect_all, collect_from_here

if TYPE_CHECKING:
    import argparse

    from coach.edges.engraving.engraver import Engraver as EngravingProcess
    from coach.edges.log.run_log import RunLogFile
    from coach.rehearsal.gear.gear import ClickPlayer, Clock, Fact
    from coach.rehearsal.gear.listener import Listener
    from coach.screens.remembered import ScreenFacts
    from coach.screens.staff.engraved.staff_engraver import Engraver
    from coach.wiring.player_planner import PlayerPlanner


class StudioOpen:
    """What is opened once for all screens, and closed when they end.

    Parameters
    ----------
    arguments : Namespace
        How the coach was called: instrument, part, tempo, bars, silence.
    """

    def __init__(self, arguments: argparse.Namespace) -> None:
        self._arguments = arguments
        self._instrument: str | None = getattr(arguments, "instrument", None)
        self._is_silent = getattr(arguments, "silent", False)
        self._clock: Clock = SystemClock()
        self._one_at_a_time = RLock()
        self._opened: ClickPlayer | None = None
        self._ear: Listener | None = None
        self._log: RunLogFile | None = None
        self._told: list[str] = []
        self._unkept: ScreenFacts | None = None
        self._planner: PlayerPlanner | None = None
        self._engraver: EngravingProcess | None = None

    def close(self) -> None:
        """End all sound and all reading, and close the log."""
        if self._ear is not None:
            self._ear.close()
        if self._opened is not None:
            self._opened.close()
        if "coach.edges.scores.score_process" in sys.modules:
            from coach.edges.scores.score_process import stop_reading

            stop_reading()
        if self._engraver is not None:
            self._engraver.close()
        if self._log is not None:
            self._log.close()

    def leave_soon(self) -> None:
        """See to it that the program ends, even if its screens cannot."""
        from coach.edges.ending import leave_within

        leave_within(self.close)

    def leave_now(self, code: int) -> None:
        """End the program from beside its screens, which are busy."""
        from coach.edges.ending import quit_from_outside

        quit_from_outside(self.close, code)

    @property
    def _player(self) -> ClickPlayer:
        """What sounds the click, opened when it is first needed."""
        with self._one_at_a_time:
            if self._opened is None:
                self._opened = open_player(self._clock, is_silent=self._is_silent)
            return self._opened

    @property
    def log(self) -> RunLogFile:
        """The run log, opened when it is first needed."""
        with self._one_at_a_time:
            if self._log is None:
                self._log = open_log(self._told.append, to_play=True)
            return self._log

    @property
    def planner(self) -> PlayerPlanner:
        """What makes plans, made when it is first needed."""
        with self._one_at_a_time:
            if self._planner is None:
                from coach.wiring.player_planner import PlayerPlanner

                self._planner = PlayerPlanner(self._instrument)
            return self._planner

    @property
    def clock(self) -> Clock:
        """The system's clock."""
        return self._clock

    def engrave_with(self, engraver: EngravingProcess) -> None:
        """Take what engraves staves; it ends with the room."""
        self._engraver = engraver

    def engraver(self) -> Engraver | None:
        """Give what engraves staff lines; None where they are drawn in cells."""
        return self._engraver

    def use_pause(self) -> None:
        """Collect memory, which would hold up the pictures of a run."""
        collect_all()

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact of the gear to `tell`, from the first picture on."""
        collect_from_here()
        self._player.listen(tell)

    def says(self) -> str:
        """Say who plays, and on what, in a few words."""
        instrument = self.planner.instrument.title
        player = self.planner.player
        whose = f"{player.name}, " if player.name else ""
        return f"{whose}{instrument}, {player.capacity_l:.1f} L"

    def tell_files(self) -> str:
        """Say what is to be known of the player's files, once; mostly nothing."""
        told, self._told[:] = " ".join(self._told), ()
        return told

    def read_memory(self) -> ScreenFacts:
        """Give what the screens remember; for now, also what cannot be kept."""
        kept, unkept = read_screen_facts(), self._unkept
        if unkept is None:
            return kept
        return replace(unkept, is_set_up=kept.is_set_up or unkept.is_set_up)

    def save_memory(self, facts: ScreenFacts) -> None:
        """Keep what the screens remember."""
        self._unkept = facts
        write_screen_facts(facts)
        self._unkept = None
