"""Who plays: instrument, air, one long tone timed on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.events import Key

from coach.errors import CoachError
from coach.planning.air.lung_words import FACT_HINTS, read_fact
from coach.planning.player_facts import PlayerFacts, take_up
from coach.screens.coach_screen import PRACTICE_CSS
from coach.screens.set_up.big_figure import BigFigure
from coach.screens.set_up.tone_timing import TONE_HINT, ToneTiming
from coach.screens.settings import run_look
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import hidden, shown
from coach.screens.widgets.text_lines import Line, Tone, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.widgets import Input


class PlayerScreen(ToneTiming):
    """Everything the coach asks of a player; all but the instrument may stay open."""

    CSS_PATH = PRACTICE_CSS
    ABOUT = "Who plays: the coach plans for your air."
    ROWS: ClassVar[Sequence[str]] = (
        "instrument",
        "height",
        "age",
        "sex",
        "capacity",
        "long tone",
    )
    """What is asked, a line each."""

    KEYS: ClassVar[Sequence[Binding]] = (
        shown("enter", "change", "change", "Change the line that is chosen"),
        shown("space", "long_tone", "long tone", "Time a long tone: start, and end"),
        shown("escape", "done", "done", "Keep all this and go on"),
        hidden("down,j,tab", "move(1)", "down", "The next line"),
        hidden("up,k,shift+tab", "move(-1)", "up", "The line before"),
        hidden("left", "turn(-1)", "before", "The instrument or answer before"),
        hidden("right", "turn(1)", "after", "The next instrument or answer"),
        hidden("x", "clear", "clear", "Leave this line open"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._kept: PlayerFacts
        self._row = 0
        self._wrong = ""

    def compose_body(self) -> ComposeResult:
        """Heading, lines, and the seconds of the long tone."""
        yield Heading(self.signs)
        yield Words(self.signs, id="setup")
        yield BigFigure(self.signs)
        yield Words(self.signs, id="what")

    def on_mount(self) -> None:
        """Show what is known."""
        super().on_mount()
        self._facts = self._kept = self.studio.read_player()
        self._instruments = self.studio.list_instruments()
        self._broken = self.studio.broken_instruments()
        self._timer = self.set_interval(run_look().frame_s, self._count, pause=True)
        self._show()

    def _values(self) -> list[str]:
        facts = self._facts
        instrument = self._instrument()

        def number(value: float, unit: str) -> str:
            return f"{value:g} {unit}" if value else "open"

        return [
            instrument.title if instrument else facts.instrument,
            number(facts.height_cm, "cm"),
            number(facts.age, "years"),
            facts.sex or "open",
            number(facts.capacity_l, "litres, measured"),
            number(facts.long_tone_s, "seconds"),
        ]

    def _show(self) -> None:
        self.query_one(Heading).show_heading("who plays")
        lines = []
        for k, (name, value) in enumerate(zip(self.ROWS, self._values(), strict=True)):
            tone: Tone = "chosen" if k == self._row else "plain"
            lines.append(Line(value, tone, name))
        self.query_one("#setup", Words).show_lines(lines, lead_width=14)
        instrument = self._instrument()
        note = instrument.long_tone.written if instrument else "your middle note"
        self.query_one("#what", Words).show_lines(
            [
                *self._mistake(),
                Line(self._say_capacity(), "strong"),
                Line(""),
                Line(
                    f"Long tone: breathe in fully, play {note} at mezzo-forte, press "
                    "space as it starts and again as it ends; or type its seconds. "
                    "Stop when you feel dizzy.",
                    "quiet",
                ),
                Line(
                    "Height, age and sex give a published prediction; a measured "
                    "capacity goes before it; a long tone makes either one yours.",
                    "quiet",
                ),
            ]
        )

    def _mistake(self) -> list[Line]:
        """Give what is wrong with the line that is typed or chosen, right under it."""
        is_instrument = self.ROWS[self._row] == "instrument"
        wrong = self._broken if is_instrument else filter(None, [self._wrong])
        return [line for words in wrong for line in (Line(words, "wrong"), Line(""))]

    def action_move(self, steps: int) -> None:
        """Choose another line; a tone that is timed is ended first."""
        if self._tone_began is None:
            self._row = (self._row + steps) % len(self.ROWS)
            self._show()

    @on(Words.Picked, "#setup")
    def pick(self, message: Words.Picked) -> None:
        """Choose the line that was clicked."""
        if message.index != self._row:
            self.action_move(message.index - self._row)

    @on(Key)
    def type_tone(self, event: Key) -> None:
        """Let a long tone that is known be typed: its first figure opens the line.

        The app gives the line that figure, as all that comes before it has the keys.
        """
        is_asked = self.ROWS[self._row] == "long tone" and self._tone_began is None
        if is_asked and event.key.isdecimal() and not self.query(AskLine):
            line = AskLine(TONE_HINT)
            line.select_on_focus = False  # the next figure stands behind the first
            self.mount(line, before="#what")

    def action_turn(self, steps: int) -> None:
        """Take the next answer of a line that has a few."""
        if self.ROWS[self._row] == "instrument" and self._instruments:
            names = [instrument.name for instrument in self._instruments]
            name = names[(self._chosen_instrument + steps) % len(names)]
            self._take(take_up(self._facts, name))
        elif self.ROWS[self._row] == "sex":
            is_female = self._facts.sex == "female"
            self._take(replace(self._facts, sex="male" if is_female else "female"))

    def action_change(self) -> None:
        """Change a line: choose, type, or play."""
        name = self.ROWS[self._row]
        if name == "instrument":
            self._choose_instrument()
        elif name == "sex":
            self.action_turn(1)
        elif name == "long tone":
            self.action_long_tone()
        else:
            self._put_away_questions()
            self.mount(AskLine(FACT_HINTS[name]), before="#what")

    def _choose_instrument(self) -> None:
        from coach.screens.choose_screen import ChooseScreen

        def chosen(index: int | None) -> None:
            if index is not None:
                name = self._instruments[index].name
                self._take(take_up(self._facts, name))

        self.app.push_screen(
            ChooseScreen(
                "which instrument?",
                [instrument.title for instrument in self._instruments],
                self._chosen_instrument,
            ),
            chosen,
        )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take a number; what makes no sense stays there to be mended."""
        name = self.ROWS[self._row]
        try:
            if name == "long tone":
                changed = self.read_tone(event.value)
            else:
                changed = read_fact(name, event.value, self._facts)
            self.studio.capacity(changed)
        except CoachError as error:
            self._show_wrong(error)
            return
        self._facts = changed
        self._put_away_questions()
        self._row = (self._row + 1) % len(self.ROWS)
        self._show()

    def _show_wrong(self, error: CoachError) -> None:
        """Show what is wrong with the line that is typed, until it is mended."""
        self._wrong = str(error)
        self._show()

    def _put_away_questions(self) -> None:
        """Take away the line that is typed, and what was wrong with it."""
        for line in self.query(AskLine):
            line.remove()
        self._wrong = ""

    def on_descendant_blur(self) -> None:
        """Forget what was wrong with a line that was put away."""
        if self._wrong and not self.query(AskLine):
            self._wrong = ""
            self._show()

    def action_clear(self) -> None:
        """Leave a line open."""
        empty: dict[str, dict[str, object]] = {
            "height": {"height_cm": 0.0},
            "age": {"age": 0.0},
            "sex": {"sex": ""},
            "capacity": {"capacity_l": 0.0},
            "long tone": {"long_tone_s": 0.0, "loud_tone_s": 0.0},
        }
        self._end_tone()
        changes = empty.get(self.ROWS[self._row], {})
        self._facts = replace(self._facts, **changes)  # type: ignore[arg-type]
        self._show()

    def show_tone(self) -> None:
        """Show the line of the long tone, and how long it was held."""
        self._row = self.ROWS.index("long tone")
        self._show()

    @property
    def keeps_at_end(self) -> bool:
        """Tell whether anything was answered; nothing is, before the lines stand."""
        return self._timer is not None and self._facts != self._kept

    def on_unmount(self) -> None:
        """Keep what was answered, however the screen was left."""
        if self.keeps_at_end:
            self.keep_at_end(lambda: self.studio.save_player(self._facts))

    def action_done(self) -> None:
        """Keep it and go on; a tone that is timed still does not count."""
        self._end_tone()
        if not self.keep_or_tell(lambda: self.studio.save_player(self._facts)):
            return
        self._kept = self._facts
        memory = self.studio.read_memory()
        if not memory.is_set_up:  # it could not be kept, and is not asked again
            with suppress(CoachError):
                self.studio.save_memory(replace(memory, is_set_up=True))
        self.dismiss(None)
