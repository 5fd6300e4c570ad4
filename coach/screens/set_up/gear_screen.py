"""Gear: MIDI ports, sound, microphone, pedal, and how late the click is heard."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, Protocol

from textual import on, work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.rehearsal.gear.gear import (
    Fact,
    LevelHeard,
    PedalAction,
    PedalLearned,
    PedalPressed,
)
from coach.screens.coach_screen import CoachScreen
from coach.screens.set_up.level_words import say_level
from coach.screens.signs import say_mic
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import shown, walking
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from coach.rehearsal.gear.gear_choice import GearNow, GearOptions

MS = 1000.0

ACTIONS: tuple[tuple[PedalAction, str], ...] = (
    ("start-stop", "start and stop"),
    ("again", "again"),
    ("mark", "mark: ran out"),
    ("breathed", "I breathed here"),
)

NO_PEDAL = "No MIDI port is listened to: plug the pedal in, then press r."


class GearNeeds(Protocol):
    """What is plugged in."""

    def read_gear(self) -> GearNow:
        """Look at all gear (slow)."""
        ...

    def choose_gear(self, kind: str, option: str) -> None:
        """Use something from now on; an empty option for none (slow)."""
        ...

    def test_click(self) -> None:
        """Play a bar of clicks (slow)."""
        ...

    def learn_pedal(self, action: PedalAction) -> None:
        """Take the next thing that the pedal sends for an action."""
        ...

    def listen_to_room(self, wanted: bool) -> None:
        """Hear the microphone, whose level is then told; or let it go."""
        ...


class GearScreen(CoachScreen[GearNeeds]):
    """What is plugged in and what is used."""

    ABOUT = "Gear: what sounds, what listens, and what your foot does."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("enter", "change", "change", "Choose another, or teach the pedal this"),
        shown("space", "test", "hear the click", "Play a bar of clicks"),
        shown("c", "calibrate", "calibrate", "How late the microphone hears the click"),
        shown("escape,q", "dismiss", "done", "Back to the shelf"),
        shown("r", "look", "look again", "Look for gear again"),
        *walking("line"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._gear: GearNow | None = None
        self._row = 0
        self._learning: PedalAction | None = None
        self._level: LevelHeard | None = None

    def on_mount(self) -> None:
        """Look for gear."""
        super().on_mount()
        self.query_one(Heading).show_heading("gear")
        self.query_one(Words).show_lines([Line("looking for gear …", "quiet")])
        self.studio.listen_to_room(True)
        self.action_look()

    def on_unmount(self) -> None:
        """Let the microphone go."""
        self.studio.listen_to_room(False)

    def take_fact(self, fact: Fact) -> None:
        """Show the microphone's level, and that the pedal was heard."""
        if isinstance(fact, LevelHeard):
            self._level = fact
            self.query_one(Heading).show_heading(say_mic("gear", self.signs))
            self._show()
        elif isinstance(fact, PedalLearned):
            self._learning = None
            self.action_look()
            words = dict(ACTIONS)[fact.action]
            self.tell(f"learned: {fact.message} means {words}")
        elif isinstance(fact, PedalPressed):
            self.tell(f"the pedal means: {dict(ACTIONS)[fact.action]}")
        else:
            self.show_lost_gear(fact)

    def action_look(self) -> None:
        """Look for gear again."""
        self._do(lambda: None)

    def action_test(self) -> None:
        """Hear the click."""
        self._do(self.studio.test_click)

    @work(thread=True, exclusive=True, group="gear")
    def _do(self, act: Callable[[], None]) -> None:
        """Do something with the gear, then look at it."""
        worker = get_current_worker()
        try:
            act()
            gear = self.studio.read_gear()
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_gear, gear)

    def show_gear(self, gear: GearNow) -> None:
        """Show what there is."""
        self._gear = gear
        self._show()

    def _show(self) -> None:
        gear = self._gear
        if gear is None:
            return
        lines = []
        for k, thing in enumerate(gear.options()):
            chosen = thing.chosen or ("none" if thing.options else "nothing found")
            more = len(thing.options) if thing.may_be_none else 0
            count = f"  ({more} to choose from)" if more > 1 else ""
            lines.append(
                Line(
                    f"{chosen}{count}",
                    "chosen" if k == self._row else "plain",
                    thing.says,
                )
            )
        learned = gear.pedals.messages()
        for k, (action, words) in enumerate(ACTIONS, start=len(lines)):
            text = str(learned.get(action, "not learned"))
            if self._learning == action:
                text = "press the pedal now …"
            lines.append(
                Line(text, "chosen" if k == self._row else "plain", f"pedal: {words}")
            )
        lines += [Line(""), Line(f"The click: {gear.click}", "strong")]
        if gear.found is not None and gear.found.sound:
            late_ms = gear.found.latency * MS
            lines.append(
                Line(
                    f"It is heard {late_ms:.0f} ms after it is sent; the "
                    "playhead follows what is heard.",
                    "quiet",
                )
            )
        if self._level is not None:
            lines.append(Line(say_level(self._level, is_plain=self.signs.is_plain)))
        if gear.takes is not None and gear.takes.kept:
            lines.append(Line(f"Recordings: {gear.takes.kept}.", "quiet"))
        lines += [Line(notice, "wrong") for notice in gear.notices]
        self.query_one(Words).show_lines(lines, lead_width=24)

    def action_calibrate(self) -> None:
        """Measure how late the microphone hears the click."""
        from coach.screens.set_up.calibration_screen import CalibrateScreen

        self.tell("")
        self.app.push_screen(CalibrateScreen(), lambda _: self.action_look())

    def action_move(self, steps: int) -> None:
        """Choose another line."""
        if self._gear is not None:
            count = len(self._gear.options()) + len(ACTIONS)
            self._row = (self._row + steps) % count
            self._show()

    @on(Words.Picked)
    def pick(self, message: Words.Picked) -> None:
        """Choose the line that was clicked; change it when it was chosen already."""
        if message.index == self._row:
            self.action_change()
        elif self._gear and message.index < len(self._gear.options()) + len(ACTIONS):
            self.action_move(message.index - self._row)

    def action_change(self) -> None:
        """Choose another, or teach the pedal."""
        if self._gear is None:
            return
        things = self._gear.options()
        if self._row >= len(things):
            self._learn(self._gear, ACTIONS[self._row - len(things)][0])
        else:
            self._choose(things[self._row])

    def _learn(self, gear: GearNow, action: PedalAction) -> None:
        """Wait for the pedal that is to mean an action, where one can come."""
        if gear.found is not None and not gear.found.listened:
            self.tell(NO_PEDAL, is_wrong=True)
            return
        try:
            self.studio.learn_pedal(action)
        except CoachError as error:
            self.tell_error(error)
            return
        self._learning = action
        self._show()

    def _choose(self, thing: GearOptions) -> None:
        from coach.screens.choose_screen import ChooseScreen

        options = [*thing.options, *([""] if thing.may_be_none else [])]

        def chosen(index: int | None) -> None:
            if index is not None:
                option = options[index]
                self._do(lambda: self.studio.choose_gear(thing.kind, option))

        at = options.index(thing.chosen) if thing.chosen in options else 0
        self.app.push_screen(
            ChooseScreen(thing.says, [option or "none" for option in options], at),
            chosen,
        )
