"""The first start: three questions on one screen, and what to take care of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from coach.errors import CoachError
from coach.planning.air.lung_words import read_lungs
from coach.screens.set_up.big_figure import BigFigure
from coach.screens.set_up.player_screen import PlayerScreen
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import hidden, shown
from coach.screens.widgets.text_lines import Line, Tone, Words

if TYPE_CHECKING:
    from textual.widgets import Input

INSTRUMENT, LUNGS, LONG_TONE = range(3)


class FirstStartScreen(PlayerScreen):
    """Instrument, lungs and one long tone; each may be left open."""

    ABOUT = "Before the first note: three questions, each of which may stay open."
    ROWS = ("instrument", "lungs", "long tone")
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("enter", "next", "next", "Keep the answer, or leave it open, and go on"),
        shown("left", "turn(-1)", "before", "The instrument before"),
        shown("right", "turn(1)", "after", "The next instrument"),
        shown("space", "do", "next, long tone", "Go on; time the long tone"),
        shown("escape", "done", "shelf", "Leave the rest open"),
        hidden("a", "again", "again", "Time the long tone once more"),
        hidden("up,shift+tab", "move(-1)", "up", "The question before"),
        hidden("down,tab", "move(1)", "down", "The next question"),
    )

    def _show(self) -> None:
        """Show the questions, and what the one that is asked wants to know."""
        words = f"question {self._row + 1} of {len(self.ROWS)}"
        self.query_one(Heading).show_heading("before the first note", words)
        lines = []
        for k, (name, value) in enumerate(zip(self.ROWS, self._values(), strict=True)):
            tone: Tone = "chosen" if k == self._row else "plain"
            lines.append(Line(value, tone, name))
        self.query_one("#setup", Words).show_lines(lines, lead_width=14)
        self.query_one(BigFigure).display = self._row == LONG_TONE
        asked = [*self._mistake(), Line(self._question(), "strong"), Line("")]
        if self._row != LONG_TONE:
            asked += self._cautions()
        self.query_one("#what", Words).show_lines(asked)

    def _values(self) -> list[str]:
        facts, instrument = self._facts, self._instrument()
        lungs = "open: an average is taken"
        if facts.are_enough or facts.height_cm:
            lungs = self._say_capacity()
        tone = f"{facts.long_tone_s:g} seconds" if facts.long_tone_s else "open"
        return [instrument.title if instrument else facts.instrument, lungs, tone]

    def _question(self) -> str:
        if self._row == INSTRUMENT:
            return "Which instrument? Left and right choose, enter goes on."
        if self._row == LUNGS:
            facts = self._facts
            alone = "keeps them" if facts.are_enough else "leaves it open"
            return (
                "How large are your lungs? Litres (4.8), or height, age and f or m "
                f"(172 30 f). Enter alone {alone}."
            )
        if self._facts.long_tone_s and self._tone_began is None:
            return (
                "Space takes that to the shelf. Was it no full breath? a times it "
                "again, or type its seconds."
            )
        instrument = self._instrument()
        note = instrument.long_tone.written if instrument else "your middle note"
        return (
            f"One long tone: breathe in fully, play {note} at mezzo-forte, press space "
            "as it starts and again as it ends. Stop when you feel dizzy. You know how "
            "long it lasts? Type the seconds. Enter leaves it open."
        )

    def _cautions(self) -> list[Line]:
        """Give each caution in its shortest form."""
        try:
            cautions = self.studio.list_cautions()
        except CoachError as error:
            self.tell_error(error)
            return []
        lines = [Line("Take care (c on the shelf tells more)", "title")]
        return lines + [Line(caution.short or caution.title) for caution in cautions]

    def action_next(self) -> None:
        """Go to the next question, or to the shelf."""
        if self._tone_began is not None:
            self.action_long_tone()
        elif self._row == LONG_TONE:
            self.action_done()
        else:
            self._ask(self._row + 1)

    def action_do(self) -> None:
        """Do what comes next: time the tone, where it is asked."""
        has_tone = bool(self._facts.long_tone_s) and self._tone_began is None
        if self._row == LONG_TONE and not has_tone:
            self.action_long_tone()
        else:
            self.action_next()

    def action_again(self) -> None:
        """Time the tone once more, where one was timed."""
        if self._row == LONG_TONE and self._tone_began is None:
            self.action_long_tone()

    def action_move(self, steps: int) -> None:
        """Go to another question."""
        if self._tone_began is None:
            self._ask(max(0, min(LONG_TONE, self._row + steps)))

    def action_turn(self, steps: int) -> None:
        """Take the next instrument, where it is asked for."""
        if self._row == INSTRUMENT:
            super().action_turn(steps)

    def _ask(self, row: int) -> None:
        """Ask a question; lungs are typed."""
        self._put_away_questions()
        self.tell("")
        self._row = row
        if row == LUNGS:
            self.mount(AskLine("4.8, or 172 30 f"), before="#what")
        self._show()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take what was typed; what makes no sense stays there to be mended."""
        # Else the handler of the screen that this one builds on would take it too.
        event.prevent_default()
        is_tone = self._row == LONG_TONE
        try:
            if is_tone and event.value.strip():
                changed = self.read_tone(event.value)
            elif is_tone:
                changed = self._facts
            else:
                changed = read_lungs(event.value, self._facts)
            self.studio.capacity(changed)
        except CoachError as error:
            self._show_wrong(error)
            return
        self._facts = changed
        self._ask(LONG_TONE)

    def action_done(self) -> None:
        """Keep what was said, and that the cautions were shown."""
        seen = replace(self.studio.read_memory(), has_seen_cautions=True)
        if self.keep_or_tell(lambda: self.studio.save_memory(seen)):
            super().action_done()
