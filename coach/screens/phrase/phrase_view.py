"""An etude with its plan: where the air goes, where to breathe, which positions."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on

from coach.errors import CoachError
from coach.planning.naming import say_bars
from coach.rehearsal.run.playing import NO_ROOM_NEEDED, say_room
from coach.screens.phrase.phrase_planning import PhrasePlanning
from coach.screens.phrase.plan_words import (
    say_chosen,
    say_note,
    say_plan,
    say_ways_to_try,
)
from coach.screens.staff.legend import legend_lines, say_legend
from coach.screens.staff.staff_pages import StaffPages
from coach.screens.tempo_words import say_tempo
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.conductor import Conductor
    from coach.planning.plan import Plan
    from coach.rehearsal.stand.wishes import RunWishes
    from coach.score.phrase import Part


NOTE_ROWS = 2
"""Rows of what stands under the cursor, as the styles have it."""

MOST_ROWS_SHARE = 0.2
"""Of the rows, so many may tell what a plan comes to where the air runs out."""


class PhraseView(PhrasePlanning):
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
        self._opening: RunWishes | None = None
        self._has_played = False
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

    def tell(self, words: str, *, is_wrong: bool = False, stays: bool = False) -> None:
        """Show one line to the player, in the rows of the words under the staff.

        The staff keeps its rows: else the names under its notes would come and go.
        What stays leaves a row to the note under the cursor.
        """
        super().tell(words, is_wrong=is_wrong, stays=stays)
        taken = self.query_one(Notice).rows
        self.query_one("#note").styles.height = max(int(stays), NOTE_ROWS - taken)

    def show_part(self, part: Part) -> None:
        """Show a part and its plan."""
        self._say_no_more()
        self.keep_changes()
        try:
            conductor = self.studio.rehearse(part)
        except CoachError as error:
            self._fail(error)
            return
        self._put_up(part, conductor)
        if part.remarks:
            self.tell(" ".join(part.remarks), stays=True)
        else:
            self._explain_signs()
        self.show_keys()
        self._make_plan()

    def _put_up(self, part: Part, conductor: Conductor) -> None:
        """Have a part on the page, and nothing planned of it yet."""
        self._part, self._conductor = part, conductor
        self._plan, self._planned = None, conductor.edits
        self._opening = conductor.opening()

    def _explain_signs(self) -> None:
        """Tell once what the signs of the staff mean."""
        memory = self.studio.read_memory()
        if memory.has_seen_legend:
            return
        self.tell(say_legend(self.signs), stays=True)
        with suppress(CoachError):
            self.studio.save_memory(replace(memory, has_seen_legend=True))

    @property
    def reads_on_with(self) -> str:
        """Help tells all that is too long for the rows around the staff."""
        return "?"

    def tell_whole(self) -> Sequence[Line]:
        """Give what is to be known of the plan and of the note under the cursor."""
        shown = self._tongued or self._plan
        if shown is None:
            return ()
        note = say_note(shown, self._cursor, self.signs)
        return [Line(words) for words in (note, *self._notices, *self._ways_to_try)]

    def tell_signs(self) -> Sequence[Line]:
        """Give what the signs of the staff mean."""
        return legend_lines(self.signs)

    @property
    def _ways_to_try(self) -> Sequence[str]:
        """What would do where the air runs out, as it stands above the staff."""
        return () if self._tongued else self.dry_lines(has_keys=True)[1:]

    @property
    def _notices(self) -> Sequence[str]:
        """What is to be known of the plan that is shown."""
        shown = self._tongued or self._plan
        if shown is None:
            return ()
        told = (*shown.breaths.notices, *shown.slide.notices)
        return tuple(map(self.signs.spell, told))

    def on_screen_resume(self) -> None:
        """Show what a rehearsal may have changed: the tempo, and the air it taught.

        After a screen that changes nothing the plan stands, with what was told of it.
        """
        if self._plan is None or self._conductor is None:
            return
        if self._has_played:
            self._has_played = False
            try:
                self.studio.learn_air()
            except CoachError as error:
                self.tell_error(error)
            self._conductor.plan_for_other_air()
            self._make_plan()
        elif self._is_planning:
            self._make_plan()
        elif not self._has_looked:
            self.look_again()

    def dry_lines(self, *, has_keys: bool) -> Sequence[str]:
        """Say where the air runs out, and what would do; nothing where it lasts."""
        plan = self._plan
        if plan is None or plan.breaths.runs_out is None:
            return ()
        where = plan.breaths.notices[-1]
        if not self._has_looked:
            return (where,)
        return where, say_ways_to_try(self._ways_out, has_keys=has_keys)

    def show_wishes(self) -> None:
        """Draw what was asked for on the page and in the heading."""
        if self._conductor is not None:
            self.query_one(StaffPages).show_wishes(self._conductor.edits)
            self._show_heading()

    def show_told(self, told: Plan) -> None:
        """Put optional breaths in brackets, and say what would do."""
        self.query_one(StaffPages).show_told(told)
        self._show_words(told)

    def show_plan(self, plan: Plan) -> None:
        """Draw a plan on the page, and say what it comes to."""
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
        is_dry = self._tongued is None and plan.breaths.runs_out is not None
        lines += [Line(text, "strong") for text in self._ways_to_try]
        words = self.query_one("#plan", Words)
        words.show_lines(lines)
        words.grow_to(MOST_ROWS_SHARE if is_dry else 0.0)
        self._show_cursor()

    def _show_cursor(self) -> None:
        plan, part, conductor = self._plan, self._part, self._conductor
        if plan is None or part is None or conductor is None:
            return
        self.query_one(StaffPages).show_cursor(self._cursor, self._segment)
        shown = self._tongued or plan
        notices = " ".join(self._notices)
        self.query_one("#note", Words).show_lines(
            [
                Line(say_note(shown, self._cursor, self.signs)),
                *([Line(notices, "quiet")] if notices else []),
            ]
        )
        self._show_heading()

    def _show_heading(self) -> None:
        """Say which bars, at what tempo, and how as far as there is room."""
        part, conductor = self._part, self._conductor
        if part is None or conductor is None:
            return
        wishes = conductor.wishes
        where = [say_tempo(wishes.bpm, part.tempo.beat, self.signs)]
        if self._segment:
            where.insert(0, say_chosen(part, *self._segment))
        elif wishes.is_open and self._opening is not None:
            where += self._say_opening(wishes, self._opening)
        self.query_one(Heading).show_heading(
            part.title,
            f" {self.signs.bullet} ".join(where),
            self._say_how(conductor),
        )

    def _say_how(self, conductor: Conductor) -> list[str]:
        """Say how the plan is asked for, the least important first."""
        edits = conductor.edits
        how = []
        if not edits.locks.may_leave_out:
            how.append("every other note" if edits.locks.left_out else "every note")
        if edits.dial is not None:
            how.append(f"alternates {edits.dial:.2g}")
        if conductor.wishes.room_beats:
            given = conductor.room_beats
            how.append(say_room(given) if given else NO_ROOM_NEEDED)
        if edits.dynamic_shift:
            how.append(f"dynamics {edits.dynamic_shift:+g}")
        return how

    def _say_opening(self, shown: RunWishes, opening: RunWishes) -> Sequence[str]:
        """Say what space begins with, where that is not what is shown."""
        part = self._part
        bars = opening.from_bar, opening.to_bar
        is_other = bars != (shown.from_bar, shown.to_bar)
        if part is None or (not is_other and opening.bpm == shown.bpm):
            return ()
        tempo = say_tempo(opening.bpm, part.tempo.beat, self.signs)
        which = f"with {say_bars(*bars)} " if is_other else ""
        return (f"space begins {which}at {tempo}",)

    def _go(self, note: int) -> None:
        """Put the cursor on a note."""
        if self._part is not None:
            self._cursor = max(0, min(len(self._part.notes) - 1, note))
            self._show_cursor()

    @on(StaffPages.Touched)
    def touch(self, message: StaffPages.Touched) -> None:
        """Put the cursor where the mouse was."""
        self._go(message.note)
