"""The run at hand and those of its row that wait for a word, as the log keeps them.

Nothing is said of a run before the player says it: of several in a row each waits
for its own word until the last is over, and one that gets none is kept as such.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from coach.planning.plan import Plan
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS
from coach.rehearsal.run.noting import Noted, take_back
from coach.rehearsal.run.run import Run, RunLog
from coach.rehearsal.run.under_way import UnderWay
from coach.rehearsal.stand.stand import Stand


@dataclass(frozen=True, slots=True)
class Played:
    """A run that is over, with what lay on the stand for it."""

    run: UnderWay
    """The run."""

    stand: Stand
    """What was played."""


class RunBook:
    """Keeps runs in the log as they go.

    Parameters
    ----------
    log : RunLog
        Where they are kept; safe after each call.
    """

    def __init__(self, log: RunLog) -> None:
        self._log = log
        self._waiting: tuple[Played, ...] = ()
        self._asked = 0
        self.run: UnderWay | None = None
        """The run that plays or waits for a word."""
        self.last: Run | None = None
        """The run that was finished last."""

    @property
    def waits(self) -> int:
        """Runs of the row that wait for a word beside the one at hand."""
        return len(self._waiting)

    @property
    def place(self) -> tuple[int, int]:
        """Which of the runs to say a word on is at hand, from 1, and of how many."""
        return self._asked - self.waits, self._asked

    @property
    def silence(self) -> Mapping[int | None, bool]:
        """Runs that wait for a word: whether nothing went wrong as far as is marked."""
        return {
            played.run.id: not any(mark.kind in FAULTS for mark in played.run.marks)
            for played in self._waiting
        }

    def begin(self, run: Run, plan: Plan) -> UnderWay:
        """Keep a run from its first click on."""
        return UnderWay(self._log.begin(run), plan)

    def note(self, noted: Noted) -> Mark | None:
        """Keep what was noted in the log, then in the run; what stands there stays."""
        standing = () if self.run is None else self.run.marks
        for mark in noted.replaces:
            which = standing.index(mark)
            self._log.take_back_mark(noted.run.id, which)
            standing = standing[:which] + standing[which + 1 :]
        if noted.mark is not None and noted.mark not in standing:
            self._log.add_mark(noted.run.id, noted.mark)
        self.run = noted.run
        return noted.mark

    def take_back(self, run: UnderWay, which: Mark | None) -> Noted:
        """Take a mark of the run back, or the newest."""
        noted = take_back(run, which)
        if noted.mark is not None:
            self._log.take_back_mark(run.id, run.marks.index(noted.mark))
        self.run = noted.run
        return noted

    def end(self, run: UnderWay, stand: Stand) -> UnderWay:
        """Keep how a run came to its end, unless that is kept already."""
        if not run.is_kept:
            self._log.end(run.id, run.how(stand.gauge))
        self.run = replace(run, is_kept=True)
        return self.run

    def finish(
        self, run: UnderWay, stand: Stand, is_clean: bool | None = None, note: str = ""
    ) -> Run:
        """Keep the word on a run, or that there is none, and close it."""
        run = self.end(run, stand)
        saved = self._log.finish(run.id, run.word(stand.gauge, is_clean, note))
        self.run, self.last = None, saved
        return saved

    def lay_aside(self, run: UnderWay, stand: Stand) -> None:
        """Let a run wait for its word until those that follow are over."""
        self._waiting = (*self._waiting, Played(self.end(run, stand), stand))
        self._asked = self.waits
        self.run = None

    def take_up(self) -> Stand:
        """Put the oldest run that waits at hand; give what was played in it."""
        oldest, *others = self._waiting
        self._waiting = tuple(others)
        self.run = oldest.run
        return oldest.stand
