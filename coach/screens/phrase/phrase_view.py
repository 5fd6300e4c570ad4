"""An etude with its plan: where the air goes, where to breathe, which positions."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on, work
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.rehearsal.run.playing import NO_ROOM_NEEDED, say_room
from coach.rehearsal.stand.stand import MOST_NOTES
from coach.screens.phrase.part_reading import PartReading
from coach.screens.phrase.plan_words import say_note, say_plan, say_ways_to_try
from coach.screens.staff.legend import legend_lines, say_legend
from coach.screens.staff.staff_pages import StaffPages
from coach.screens.tempo_words import say_tempo
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.conductor import Conductor
    from coach.planning.breathing.ways_out import WayOut
    from coach.planning.plan import Plan
    from coach.score.phrase import Part


MOST_ROWS_SHARE = 0.2
"""Of the rows, so many may tell what a plan comes to where the air runs out."""


class PhraseView(PartReading):
    """A whole etude with its plan, and a place in it.

    Parameters
    ----------
    path : str
        File that the etude is read from.
    title : str
        Shown until it is read; empty when not known: the file's name is, then.
    part_name : str or None
        Which part of the score; None to ask where it has several.
    """

    def __init__(
        self,
        path: str,
        *,
        title: str = "",
        part_name: str | None = None,
    ) -> None:
        super().__init__(path, part_name)
        self._title = title
        self._part: Part | None = None
        self._conductor: Conductor | None = None
        self._plan: Plan | None = None
        self._tongued: Plan | None = None
        self._ways_out: Sequence[WayOut] = ()
        self._has_looked = False
        self._cursor = 0
        self._segment: tuple[int, int] | None = None

    def compose_body(self) -> ComposeResult:
        """Heading, what the plan comes to, the pages, what is under the cursor."""
        yield Heading(self.signs)
        yield Words(self.signs, id="plan")
        yield StaffPages(self.signs, engraver=self.studio.engraver())
        yield Words(self.signs, id="note")

    def on_mount(self) -> None:
        """Read the part without holding up the screen."""
        super().on_mount()
        self.query_one(Heading).show_heading(self._title or Path(self._path).stem)
        self.begin_reading()

    @work(thread=True, exclusive=True, group="part")
    def move_part(self, semitones: int) -> None:
        """Read the part anew, so many semitones higher; keep it so."""
        worker = get_current_worker()
        try:
            part = self.studio.move_further(self._path, self._part_name, semitones)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_part, part)

    def show_part(self, part: Part) -> None:
        """Show a part and its plan."""
        self._say_no_more()
        try:
            self._conductor = self.studio.rehearse(part)
        except CoachError as error:
            self._fail(error)
            return
        self._part, self._plan = part, None
        if part.remarks:
            self.tell(" ".join(part.remarks))
        else:
            self._explain_signs()
        self._make_plan()

    def _explain_signs(self) -> None:
        """Tell once what the signs of the staff mean."""
        memory = self.studio.read_memory()
        if memory.has_seen_legend:
            return
        self.tell(say_legend(self.signs))
        with suppress(CoachError):
            self.studio.save_memory(replace(memory, has_seen_legend=True))

    def tell_signs(self) -> Sequence[Line]:
        """Give what the signs of the staff mean."""
        return legend_lines(self.signs)

    @property
    def plan(self) -> Plan | None:
        """The plan that is shown."""
        return self._plan

    def on_screen_resume(self) -> None:
        """Show what a rehearsal may have changed: the tempo."""
        if self._plan is not None:
            self._make_plan()

    def _make_plan(self) -> None:
        """Plan anew and show it."""
        part, conductor = self._part, self._conductor
        if part is None or conductor is None:
            return
        try:
            self._plan = self._whole_plan(part, conductor)
        except CoachError as error:
            self.tell_error(error)
            return
        self._tongued, self._ways_out, self._has_looked = None, (), False
        self._show_plan(self._plan)
        if len(part.notes) <= MOST_NOTES:
            self.look_again(self._plan, conductor)

    @work(thread=True, exclusive=True, group="again")
    def look_again(self, plan: Plan, conductor: Conductor) -> None:
        """Tell optional breaths, and what would do where the air runs out."""
        worker, planner = get_current_worker(), self.studio.planner
        edits = conductor.edits
        is_told = conductor.knows_optional and plan is conductor.plan_in_time
        try:
            told = plan if is_told else planner.tell_sure(plan, edits)
            ways_out = () if worker.is_cancelled else planner.ways_out(plan, edits)
        except CoachError as error:
            self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self._take_told, plan, told, ways_out)

    def _take_told(self, plan: Plan, told: Plan, ways_out: Sequence[WayOut]) -> None:
        """Show what a second look at a plan has told, if it still stands."""
        if self._plan is not plan or self._conductor is None:
            return
        self._plan, self._ways_out, self._has_looked = told, ways_out, True
        self._conductor.take_sure(told)
        if self._tongued is None:
            self.query_one(StaffPages).show_told(told)
            self._show_words(told)

    def _whole_plan(self, part: Part, conductor: Conductor) -> Plan:
        """Plan all of the part; the conductor has done so where it plays all of it."""
        bpm = conductor.wishes.bpm
        if conductor.segment.is_whole and conductor.plan.bpm == bpm:
            return conductor.plan_in_time
        return self.studio.planner.plan(part, bpm, conductor.edits, self._plan)

    def dry_lines(self, *, has_keys: bool) -> Sequence[str]:
        """Say where the air runs out, and what would do; nothing where it lasts."""
        plan = self._plan
        if plan is None or plan.breaths.runs_out is None:
            return ()
        where = plan.breaths.notices[-1]
        if not self._has_looked:
            return (where,)
        return where, say_ways_to_try(self._ways_out, has_keys=has_keys)

    def _show_plan(self, plan: Plan) -> None:
        conductor = self._conductor
        if conductor is None:
            return
        pages = self.query_one(StaffPages)
        pages.show_plan(plan, conductor.edits, conductor.gauge.empty_air)
        self._show_words(plan)

    def _show_words(self, plan: Plan) -> None:
        """Say what a plan comes to, and what stands under the cursor."""
        lines = [Line(text) for text in say_plan(plan, self.signs)]
        if self._tongued is not None:
            lines.insert(0, Line("tongued throughout, played as usual:", "strong"))
        dry = self.dry_lines(has_keys=True) if self._tongued is None else ()
        lines += [Line(text, "strong") for text in dry[1:]]
        words = self.query_one("#plan", Words)
        words.show_lines(lines)
        words.grow_to(MOST_ROWS_SHARE if dry else 0.0)
        self._show_cursor()

    def _show_cursor(self) -> None:
        plan, part, conductor = self._plan, self._part, self._conductor
        if plan is None or part is None or conductor is None:
            return
        self.query_one(StaffPages).show_cursor(self._cursor, self._segment)
        shown = self._tongued or plan
        notices = (*shown.breaths.notices, *shown.slide.notices)
        self.query_one("#note", Words).show_lines(
            [
                Line(say_note(shown, self._cursor, self.signs)),
                *([Line(" ".join(notices), "quiet")] if notices else []),
            ]
        )
        bullet = self.signs.bullet
        edits = conductor.edits
        words = [say_tempo(conductor.wishes.bpm, part.tempo.beat, self.signs)]
        if edits.dynamic_shift:
            words.append(f"dynamics {edits.dynamic_shift:+g}")
        if edits.dial is not None:
            words.append(f"alternates {edits.dial:.2g}")
        if not edits.locks.may_leave_out:
            words.append("every note")
        if conductor.wishes.room_beats:
            given = conductor.room_beats
            words.append(say_room(given) if given else NO_ROOM_NEEDED)
        if self._segment:
            words.append(f"bars {self._segment[0]} to {self._segment[1]}")
        self.query_one(Heading).show_heading(part.title, f" {bullet} ".join(words))

    def _go(self, note: int) -> None:
        """Put the cursor on a note."""
        if self._part is not None:
            self._cursor = max(0, min(len(self._part.notes) - 1, note))
            self._show_cursor()

    @on(StaffPages.Touched)
    def touch(self, message: StaffPages.Touched) -> None:
        """Put the cursor where the mouse was."""
        self._go(message.note)

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
        self._show_plan(plan)
