"""The phrase: where the air goes, where to breathe, which positions; change it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.planning.edits import Edits
from coach.screens.coach_screen import PRACTICE_CSS, CoachScreen
from coach.screens.phrase import plan_edits
from coach.screens.phrase.edit_history import EditHistory
from coach.screens.phrase.phrase_keys import PHRASE_KEYS
from coach.screens.phrase.phrase_moves import (
    bar_starts,
    breath_places,
    next_of,
    phrase_starts,
)
from coach.screens.phrase.phrase_needs import PhraseNeeds
from coach.screens.phrase.plan_words import say_note, say_plan
from coach.screens.staff.staff_pages import StaffPages
from coach.screens.tempo_words import say_tempo
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.conductor import Conductor
    from coach.planning.plan import Plan
    from coach.rehearsal.gear.gear import Fact
    from coach.score.phrase import Part

DIAL_STEP = 0.25


class PhraseScreen(CoachScreen[PhraseNeeds]):
    """A whole etude with its plan.

    Parameters
    ----------
    path : str
        File that the etude is read from.
    title : str
        Shown until it is read; empty when not known.
    part_name : str or None
        Which part of the score; None to ask where it has several.
    plays_at_once : bool
        Go on to the rehearsal as soon as it is read.
    """

    CSS_PATH = PRACTICE_CSS
    ABOUT = "The phrase: see where the air goes and change the plan."
    KEYS: ClassVar[Sequence[Binding]] = PHRASE_KEYS

    def __init__(
        self,
        path: str,
        *,
        title: str = "",
        part_name: str | None = None,
        plays_at_once: bool = False,
    ) -> None:
        super().__init__()
        self._path = path
        self._title = title
        self._part_name = part_name
        self._plays_at_once = plays_at_once
        self._part: Part | None = None
        self._conductor: Conductor | None = None
        self._plan: Plan | None = None
        self._tongued: Plan | None = None
        self._cursor = 0
        self._segment: tuple[int, int] | None = None
        self._history = EditHistory()

    def compose_body(self) -> ComposeResult:
        """Heading, what the plan comes to, the pages, what is under the cursor."""
        yield Heading(self.signs)
        yield Words(self.signs, id="plan")
        yield StaffPages(self.signs, engraver=self.studio.engraver())
        yield Words(self.signs, id="note")

    def on_mount(self) -> None:
        """Read the part without holding up the screen."""
        super().on_mount()
        self.query_one(Heading).show_heading(self._title or "…")
        self.query_one("#plan", Words).show_lines([Line("reading …", "quiet")])
        self.read_part(self._part_name)

    @work(thread=True, exclusive=True, group="part")
    def read_part(self, name: str | None) -> None:
        """Read the part; where a score has several, ask which."""
        worker = get_current_worker()
        try:
            if name is None:
                names = tuple(self.studio.list_parts(self._path))
                if len(names) > 1:
                    self.call_later(self._ask_part, names)
                    return
            part = self.studio.open_part(self._path, name)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self._fail, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_part, part)

    def _fail(self, error: CoachError) -> None:
        self.query_one("#plan", Words).show_lines([])
        self.tell_error(error)

    def _ask_part(self, names: Sequence[str]) -> None:
        """Let the player choose one of several parts."""
        from coach.screens.choose_screen import ChooseScreen

        def chosen(index: int | None) -> None:
            if index is None:
                self.dismiss(None)
            else:
                self.read_part(names[index])

        self.app.push_screen(ChooseScreen("which part?", names), chosen)

    def show_part(self, part: Part) -> None:
        """Show a part and its plan; where it is asked for, go and play."""
        try:
            self._conductor = self.studio.rehearse(part)
        except CoachError as error:
            self._fail(error)
            return
        self._part = part
        if part.remarks:
            self.tell(" ".join(part.remarks))
        self._make_plan()
        if self._plays_at_once:
            self._plays_at_once = False
            self.action_rehearse()

    @property
    def plan(self) -> Plan | None:
        """The plan that is shown."""
        return self._plan

    def take_fact(self, fact: Fact) -> None:
        """Let a pedal begin the rehearsal."""
        from coach.rehearsal.gear.gear import PedalPressed

        if isinstance(fact, PedalPressed) and fact.action == "start-stop":
            self.action_rehearse()
        else:
            self.show_lost_gear(fact)

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
        self._tongued = None
        self._show_plan(self._plan)

    def _whole_plan(self, part: Part, conductor: Conductor) -> Plan:
        """Plan all of the part; the conductor has done so where it plays all of it."""
        bpm = conductor.wishes.bpm
        if conductor.segment.is_whole and conductor.plan.bpm == bpm:
            return conductor.plan
        return self.studio.planner.plan(part, bpm, conductor.edits)

    def _show_plan(self, plan: Plan) -> None:
        conductor = self._conductor
        if conductor is None:
            return
        pages = self.query_one(StaffPages)
        pages.show_plan(plan, conductor.edits, conductor.gauge.empty_air)
        lines = [Line(text) for text in say_plan(plan, self.signs)]
        if self._tongued is not None:
            lines.insert(0, Line("tongued throughout, played as usual:", "strong"))
        self.query_one("#plan", Words).show_lines(lines)
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
                *(Line(notice, "quiet") for notice in notices[:1]),
            ]
        )
        bullet = self.signs.bullet
        edits = conductor.edits
        words = [say_tempo(conductor.wishes.bpm, part.tempo.beat, self.signs)]
        if edits.dynamic_shift:
            words.append(f"dynamics {edits.dynamic_shift:+g}")
        if edits.dial is not None:
            words.append(f"alternates {edits.dial:.2g}")
        if self._segment:
            words.append(f"bars {self._segment[0]} to {self._segment[1]}")
        self.query_one(Heading).show_heading(part.title, f" {bullet} ".join(words))

    def _edit(self, edits: Edits) -> None:
        """Keep changed edits and plan anew."""
        conductor = self._conductor
        if conductor is None or edits == conductor.edits:
            return
        self._history.add(conductor.edits)
        self._keep(edits)

    def _keep(self, edits: Edits) -> None:
        if self._conductor is None:
            return
        self.tell("")
        try:
            self._conductor.set_edits(edits)
        except CoachError as error:
            self.tell_error(error)
            return
        self._make_plan()

    def _with_edits(self, change: Callable[[Edits, int], Edits]) -> None:
        """Change the edits at the note under the cursor."""
        if self._conductor is not None:
            self._edit(change(self._conductor.edits, self._cursor))

    def action_breathe(self) -> None:
        """Insist on a breath here."""
        if self._is_last():
            self.tell("After the last note you may always breathe.")
        else:
            self._with_edits(plan_edits.breathe_after)

    def action_never(self) -> None:
        """Refuse a breath here."""
        self._with_edits(plan_edits.never_after)

    def _is_last(self) -> bool:
        return self._part is not None and self._cursor == len(self._part.notes) - 1

    def action_move(self) -> None:
        """Move the nearest breath to here."""
        plan = self._plan
        if plan is None or not plan.breaths.breaths or self._is_last():
            return
        nearest = min(
            (breath.after_note for breath in plan.breaths.breaths),
            key=lambda note: abs(note - self._cursor),
        )
        self._with_edits(
            lambda edits, note: plan_edits.move_breath(edits, nearest, note)
        )

    def action_position(self, steps: int) -> None:
        """Play the note in another position."""
        plan, part = self._plan, self._part
        if plan is None or part is None:
            return
        ways = [way.label for way in self.studio.ways_to_play(part.notes[self._cursor])]
        if len(ways) < 2:  # noqa: PLR2004 - one way leaves no choice
            self.tell("There is no other way to play this note.")
            return
        now = plan.slide.placements[self._cursor].label
        at = ways.index(now) if now in ways else 0
        label = ways[(at + steps) % len(ways)]
        self._with_edits(
            lambda edits, note: plan_edits.choose_position(edits, note, label)
        )

    def action_clear_here(self) -> None:
        """Leave this note to the plan."""
        self._with_edits(plan_edits.leave_to_plan)

    def action_clear_all(self) -> None:
        """Leave everything to the plan."""
        self._edit(Edits())

    def action_dial(self, steps: int) -> None:
        """Turn the dial of alternates."""
        usual = self.studio.usual_dial()
        self._with_edits(
            lambda edits, _: plan_edits.turn_dial(edits, usual, steps * DIAL_STEP)
        )

    def action_dynamic(self, steps: int) -> None:
        """Play louder or softer."""
        self._with_edits(lambda edits, _: plan_edits.louder(edits, steps))

    def action_undo(self) -> None:
        """Undo the last change."""
        self._go_in_history(self._history.undo, "nothing to undo")

    def action_redo(self) -> None:
        """Do again what was undone."""
        self._go_in_history(self._history.redo, "nothing to do again")

    def _go_in_history(self, go: Callable[[Edits], Edits | None], none: str) -> None:
        if self._conductor is None:
            return
        edits = go(self._conductor.edits)
        if edits is None:
            self.tell(none)
        else:
            self._keep(edits)

    def action_tempo(self, notches: int) -> None:
        """Change the tempo and plan anew."""
        if self._conductor is not None:
            self._conductor.step_tempo(notches)
            self._make_plan()

    def _go(self, note: int) -> None:
        """Put the cursor on a note."""
        if self._part is not None:
            self._cursor = max(0, min(len(self._part.notes) - 1, note))
            self._show_cursor()

    def action_note(self, steps: int) -> None:
        """Go on by notes."""
        self._go(self._cursor + steps)

    def action_line(self, lines: int) -> None:
        """Go down by lines."""
        self._go(self.query_one(StaffPages).note_by_lines(self._cursor, lines))

    def action_page(self, pages: int) -> None:
        """Go on by pages."""
        staff = self.query_one(StaffPages)
        self._go(staff.note_by_lines(self._cursor, pages * staff.lines_in_view))

    def _go_among(self, firsts: Sequence[int], steps: int) -> None:
        """Go to the next of some notes, or to the one before."""
        self._go(next_of(firsts, self._cursor, steps))

    def action_bar(self, steps: int) -> None:
        """Go to the first note of another bar."""
        if self._part is not None:
            self._go_among(bar_starts(self._part), steps)

    def action_breath(self, steps: int) -> None:
        """Go to another breath."""
        if self._plan is not None:
            self._go_among(breath_places(self._plan), steps)

    def action_phrase(self, steps: int) -> None:
        """Go to the start of another phrase, as a musician hears them."""
        if self._plan is not None:
            self._go_among(phrase_starts(self._plan), steps)

    @on(StaffPages.Touched)
    def touch(self, message: StaffPages.Touched) -> None:
        """Put the cursor where the mouse was."""
        self._go(message.note)

    def action_segment_from(self) -> None:
        """Begin the segment at this bar."""
        if self._part is not None:
            bar = self._part.notes[self._cursor].bar
            last = self._segment[1] if self._segment else self._part.bars[-1].number
            self._segment = (bar, max(bar, last))
            self._show_cursor()

    def action_segment_to(self) -> None:
        """End the segment with this bar."""
        if self._part is not None:
            bar = self._part.notes[self._cursor].bar
            first = self._segment[0] if self._segment else self._part.bars[0].number
            self._segment = (min(first, bar), bar)
            self._show_cursor()

    def action_whole(self) -> None:
        """Choose all of it."""
        self._segment = None
        self._show_cursor()

    def action_rehearse(self) -> None:
        """Go and play."""
        conductor, part = self._conductor, self._part
        if conductor is None or part is None:
            return
        from coach.screens.run.run_screen import RunScreen

        first, last = self._segment or (part.bars[0].number, part.bars[-1].number)
        wishes = conductor.wishes
        if self._segment is not None and (wishes.from_bar, wishes.to_bar) != (
            first,
            last,
        ):
            try:
                conductor.set_segment(first, last)
            except CoachError as error:
                self.tell_error(error)
                return
        self.app.push_screen(RunScreen(conductor))

    def action_compare(self) -> None:
        """Show the same tongued throughout, or the plan again."""
        if self._plan is None:
            return
        if self._tongued is not None:
            self._tongued = None
            self._show_plan(self._plan)
        else:
            self.compare(self._plan)

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

    def action_reach(self) -> None:
        """Show at which tempos it works."""
        if self._part is None or self._conductor is None:
            return
        from coach.screens.phrase.reach_screen import ReachScreen

        self.app.push_screen(ReachScreen(self._part, self._conductor))

    def action_log(self) -> None:
        """Show the runs of this etude."""
        from coach.screens.shelf.log_screen import LogScreen

        self.app.push_screen(LogScreen(self._part))

    def action_back(self) -> None:
        """Back to the shelf."""
        self.dismiss(None)
