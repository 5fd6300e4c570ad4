"""Who plays: instrument, air, one long tone timed on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from coach.errors import CoachError
from coach.planning.player_facts import PlayerFacts, hold_tones, take_up
from coach.screens.coach_screen import PRACTICE_CSS, CoachScreen
from coach.screens.set_up.big_figure import BigFigure
from coach.screens.set_up.lung_words import FACT_HINTS, read_fact
from coach.screens.set_up.set_up_needs import PlayerNeeds
from coach.screens.settings import long_tone_limits, run_look
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import hidden, shown
from coach.screens.widgets.text_lines import Line, Tone, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.timer import Timer
    from textual.widgets import Input

    from coach.planning.instrument.instrument_entry import InstrumentEntry
    from coach.score.tempo import Seconds


class PlayerScreen(CoachScreen[PlayerNeeds]):
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
        self._facts: PlayerFacts
        self._kept: PlayerFacts
        self._instruments: Sequence[InstrumentEntry] = ()
        self._row = 0
        self._wrong = ""
        self._tone_began: Seconds | None = None
        self._timer: Timer | None = None

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
        self._timer = self.set_interval(run_look().frame_s, self._count, pause=True)
        self._show()

    def _instrument(self) -> InstrumentEntry | None:
        for instrument in self._instruments:
            if instrument.name == self._facts.instrument:
                return instrument
        return None

    @property
    def _chosen_instrument(self) -> int:
        """Where the chosen instrument stands among all; the first if it does not."""
        names = [instrument.name for instrument in self._instruments]
        return names.index(self._facts.instrument) if self._instrument() else 0

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
        try:
            capacity = self.studio.capacity(self._facts)
        except CoachError as error:
            capacity = str(error)
        instrument = self._instrument()
        note = instrument.long_tone.written if instrument else "your middle note"
        self.query_one("#what", Words).show_lines(
            [
                *self._mistake(),
                Line(capacity, "strong"),
                Line(""),
                Line(
                    f"Long tone: breathe in fully, play {note} at mezzo-forte, press "
                    "space as it starts and again as it ends.  Stop when you feel "
                    "dizzy.",
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
        """Give what is wrong with the line that is typed, right under it."""
        return [Line(self._wrong, "wrong"), Line("")] if self._wrong else []

    def action_move(self, steps: int) -> None:
        """Choose another line."""
        self._row = (self._row + steps) % len(self.ROWS)
        self._show()

    @on(Words.Picked, "#setup")
    def pick(self, message: Words.Picked) -> None:
        """Choose the line that was clicked."""
        if message.index != self._row:
            self.action_move(message.index - self._row)

    def action_turn(self, steps: int) -> None:
        """Take the next answer of a line that has a few."""
        if self.ROWS[self._row] == "instrument" and self._instruments:
            names = [instrument.name for instrument in self._instruments]
            name = names[(self._chosen_instrument + steps) % len(names)]
            self._facts = take_up(self._facts, name)
        elif self.ROWS[self._row] == "sex":
            is_female = self._facts.sex == "female"
            self._facts = replace(self._facts, sex="male" if is_female else "female")
        self._show()

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
                self._facts = take_up(self._facts, name)
                self._show()

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
        try:
            changed = read_fact(self.ROWS[self._row], event.value, self._facts)
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
        changes = empty.get(self.ROWS[self._row], {})
        self._facts = replace(self._facts, **changes)  # type: ignore[arg-type]
        self._show()

    def action_long_tone(self) -> None:
        """Begin or end the long tone."""
        instrument = self._instrument()
        if self._timer is None:
            return
        if instrument is None:
            self.tell("Choose your instrument first: each has its tone.", is_wrong=True)
            return
        if self._tone_began is None:
            self._tone_began = self.studio.clock.now()
            self._row = self.ROWS.index("long tone")
            self._timer.resume()
            self.tell("playing … press space as the tone ends", stays=True)
            return
        seconds = self.studio.clock.now() - self._tone_began
        self._tone_began = None
        self._timer.pause()
        limits = long_tone_limits()
        if not limits.least_s <= seconds <= limits.most_s:
            self.tell(
                f"{seconds:.1f} seconds do not count: a long tone lasts "
                f"{limits.least_s:g} to {limits.most_s:g}.",
                is_wrong=True,
            )
            return
        self.tell("")
        self._facts = hold_tones(self._facts, instrument, long_s=round(seconds, 1))
        self.query_one(BigFigure).show_figure(f"{seconds:.1f}", "seconds")
        self._show()

    def _count(self) -> None:
        """Show the seconds as they run."""
        if self._tone_began is not None:
            seconds = self.studio.clock.now() - self._tone_began
            self.query_one(BigFigure).show_figure(f"{seconds:.1f}", "seconds")

    @property
    def keeps_at_end(self) -> bool:
        """Tell whether anything was answered; nothing is, before the lines stand."""
        return self._timer is not None and self._facts != self._kept

    def on_unmount(self) -> None:
        """Keep what was answered, however the screen was left."""
        if self.keeps_at_end:
            self.keep_at_end(lambda: self.studio.save_player(self._facts))

    def action_done(self) -> None:
        """Keep it and go on."""
        try:
            self.studio.save_player(self._facts)
        except CoachError as error:
            self.tell_error(error)
            return
        self._kept = self._facts
        self.dismiss(None)
