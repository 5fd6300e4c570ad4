"""Make the plan of a part: the answer to a key first, the plan, then what is slow."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from threading import Lock
from typing import TYPE_CHECKING

from textual import work
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.planning.edits import Edits
from coach.rehearsal.stand.stand import MOST_NOTES
from coach.screens.phrase.part_reading import PartReading

if TYPE_CHECKING:
    from coach.conductor import Conductor
    from coach.planning.plan import Plan
    from coach.planning.way_out import WayOut
    from coach.rehearsal.stand.requests import Requests
    from coach.score.phrase import Part

PAUSE_S = 0.3
"""So long no key must have changed anything before a plan is looked at again: our own
choice, longer than between two keys of a row that is typed quickly."""


class ChangedMeanwhileError(Exception):
    """A plan is looked at that nobody asks for any more."""


class PhrasePlanning(PartReading):
    """A screen that shows the plan of a part.

    A key that changes something shows at once that it did; it is kept, and the plan
    follows, made on a thread as soon as that is drawn; and what takes several more
    plans waits until no key has come for a while.  Each further change ends what
    waits, and what is being looked at: it would take half of the processor from the
    plan that is due.
    """

    def __init__(self, path: str, part_name: str | None) -> None:
        super().__init__(path, part_name)
        self._part: Part | None = None
        self._conductor: Conductor | None = None
        self._plan: Plan | None = None
        self._planned = Edits()
        self._is_planning = False
        self._changes = 0
        self._laying = Lock()
        self._tongued: Plan | None = None
        self._ways_out: Sequence[WayOut] = ()
        self._has_looked = False

    @property
    def plan(self) -> Plan | None:
        """The plan that is shown."""
        return self._plan

    @property
    def is_looking(self) -> bool:
        """Tell whether it is looked for what would do where the air runs out."""
        plan = self._plan
        if plan is None or self._has_looked or len(plan.part.notes) > MOST_NOTES:
            return False
        return plan.breaths.runs_out is not None

    def show_wishes(self) -> None:
        """Show what was asked for, before there is a plan for it."""
        raise NotImplementedError

    def show_plan(self, plan: Plan) -> None:
        """Show a plan."""
        raise NotImplementedError

    def show_told(self, told: Plan) -> None:
        """Show the same plan, of which more is known by now."""
        raise NotImplementedError

    def _make_plan(self) -> None:
        """Plan what was asked for, show it and look at it again."""
        part, conductor = self._part, self._conductor
        if part is None or conductor is None:
            return
        self._look_no_further()
        self.workers.cancel_group(self, "plan")
        try:
            self._take_plan(*self._lay(part, conductor))
        except CoachError as error:
            self._refuse(error)
            return
        self.look_again()

    def _plan_later(self) -> None:
        """Show what was asked for at once; the plan of it follows."""
        conductor = self._conductor
        if conductor is not None:
            self._look_no_further()
            self._is_planning = True
            self.show_wishes()
            self.plan_anew()

    def _have_plan(self) -> None:
        """Have the plan of all that was asked for, where a key needs to know it."""
        if self._is_planning:
            self._make_plan()

    def _look_no_further(self) -> None:
        """End a look that is under way: another plan is due, or another screen."""
        self._changes += 1

    @property
    def keeps_at_end(self) -> bool:
        """Tell whether a key changed something that is not kept yet."""
        return self._conductor is not None and self._conductor.has_unkept_edits

    def on_unmount(self) -> None:
        """Keep what the last keys changed."""
        self.keep_changes()

    def keep_changes(self) -> None:
        """Keep what keys changed: the screen goes, or another part comes."""
        if self._conductor is not None:
            self.keep_at_end(self._conductor.keep_edits)

    def on_screen_suspend(self) -> None:
        """Leave the processor to the screen that comes; back here all is looked at."""
        self._look_no_further()

    @work(exclusive=True, group="plan")
    async def plan_anew(self) -> None:
        """Plan what was asked for, as soon as the answer to the key is drawn."""
        part, conductor = self._part, self._conductor
        if part is None or conductor is None:
            return
        drawn = asyncio.Event()
        self.call_after_refresh(drawn.set)
        await drawn.wait()
        try:
            laid, plan = await asyncio.to_thread(self._lay, part, conductor)
            self._take_plan(laid, plan)
        except CoachError as error:
            self._refuse(error)
            return
        await asyncio.sleep(PAUSE_S)
        await self._look(plan, conductor)

    @work(exclusive=True, group="plan")
    async def look_again(self) -> None:
        """Look at the plan again."""
        if self._plan is not None and self._conductor is not None:
            await self._look(self._plan, self._conductor)

    def _lay(self, part: Part, conductor: Conductor) -> tuple[Requests, Plan]:
        """Keep and lay what was asked for, plan all of the part (slow, any thread).

        One at a time: what comes after it is for what was asked for last.
        """
        conductor.keep_edits()
        with self._laying:
            laid = conductor.lay()
            stand, bpm = laid.stand, laid.wishes.bpm
            if stand.segment.is_whole and stand.plan.bpm == bpm:
                return laid, stand.in_time
            planner = self.studio.planner
            return laid, planner.plan(part, bpm, laid.edits, self._plan)

    def _take_plan(self, laid: Requests, plan: Plan) -> None:
        """Show a plan of what was asked for."""
        if self._conductor is None:
            return
        self._conductor.put_up(laid)
        self._plan, self._planned = plan, laid.edits
        self._is_planning = False
        self._tongued, self._ways_out, self._has_looked = None, (), False
        self.show_plan(plan)

    def _refuse(self, error: CoachError) -> None:
        """Say what cannot be planned, and go back to what was."""
        self._is_planning = False
        self.tell_error(error)
        if self._conductor is not None and self._plan is not None:
            self._conductor.set_edits(self._planned, is_laid=False)
            self.keep_changes()
            self.show_plan(self._plan)

    async def _look(self, plan: Plan, conductor: Conductor) -> None:
        """Tell optional breaths, and what would do where the air runs out."""
        if len(plan.part.notes) > MOST_NOTES:
            return
        planner, edits, changes = self.studio.planner, conductor.edits, self._changes

        def look_on() -> None:
            if self._changes != changes:
                raise ChangedMeanwhileError

        told = plan
        try:
            if not (conductor.knows_optional and plan is conductor.plan_in_time):
                told = await asyncio.to_thread(planner.tell_sure, plan, edits, look_on)
            ways_out = await asyncio.to_thread(planner.ways_out, plan, edits, look_on)
        except ChangedMeanwhileError:
            return
        except CoachError as error:
            self.tell_error(error)
            return
        self._take_told(plan, told, ways_out)

    def _take_told(self, plan: Plan, told: Plan, ways_out: Sequence[WayOut]) -> None:
        """Show what a second look at a plan has told, if it still stands."""
        if self._plan is not plan or self._conductor is None:
            return
        self._plan, self._ways_out, self._has_looked = told, ways_out, True
        self._conductor.take_sure(told)
        if self._tongued is None:
            self.show_told(told)

    @work(thread=True, exclusive=True, group="compare")
    def compare(self, plan: Plan) -> None:
        """Plan the same tongued throughout."""
        worker = get_current_worker()
        try:
            tongued = self.studio.tongued(plan)
        except CoachError as error:
            self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self._show_tongued, tongued)

    def _show_tongued(self, plan: Plan) -> None:
        self._tongued = plan
        self.show_plan(plan)

    @work(thread=True, exclusive=True, group="paper")
    def mark_part(self, plan: Plan) -> None:
        """Write the part with its marks for the stand, and say where it lies."""
        try:
            file = self.studio.mark_part(plan, self._path)
        except CoachError as error:
            self.call_later(self.tell_error, error)
            return
        said = (
            f"The marked part is in {file}: open it in a browser, and print it there."
        )
        self.call_later(self.tell, said, stays=True)
