"""The shelf of etudes, to choose what to rehearse: what each key does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from coach.screens.shelf.shelf_list import ShelfList
from coach.screens.shelf.shelf_order import CHOICES, ORDERS
from coach.screens.shelf.shelf_own import NEW_NAME, OwnShelf
from coach.screens.widgets.key_table import hidden, leaping, shown, to, walking

if TYPE_CHECKING:
    from textual.events import Paste
    from textual.widgets import Input

    from coach.screens.shelf.shelf_needs import Etude


WRITE_NAME = "write-name"
"""Names the line that asks for an etude to write."""


class ShelfScreen(OwnShelf):
    """Etudes, what was rehearsed last first."""

    ABOUT = "The shelf: choose what to rehearse."
    KEYS: ClassVar[Sequence[Binding]] = (
        *to(
            "rehearse",
            shown("space,enter", "open", "open", "Open the etude that is chosen"),
            shown("t", "today", "today", "What to play now: in turn, with rests"),
        ),
        *to("find", shown("/", "search", "search", "Find an etude by its title")),
        *to(
            "etudes of your own",
            shown("i", "import_file", "import", "Put a score file on the shelf"),
            shown("w", "write", "write", "Type an etude, or go on with your own"),
            hidden("r", "rename", "rename", "Give an etude of your own another name"),
            hidden("d,delete", "throw_away", "throw away", "Take yours off the shelf"),
            hidden("u", "put_back", "put back", "Put back what was thrown away last"),
        ),
        *to(
            "look and set up",
            shown("l", "log", "log", "Show the runs of all etudes"),
            shown("p", "player", "player", "Set instrument, air and a timed long tone"),
            shown("g", "gear", "gear", "Choose MIDI ports, sound, microphone, pedal"),
        ),
        *to(
            "find",
            shown("o", "order", "order", "Hardest first, longest ago first, and so on"),
            shown("f", "choice", "filter", "Your own, never rehearsed, not at tempo"),
            hidden("escape", "show_all", "show all", "Show all that was not found"),
            *walking("etude"),
            *leaping(8),
            hidden("home", "move(-9999)", "first"),
            hidden("end", "move(9999)", "last"),
        ),
        *to(
            "look and set up",
            shown("c", "cautions", "cautions", "What to take care of as you practise"),
            shown("q", "quit", "quit", "Leave the coach"),
        ),
    )

    def on_mount(self) -> None:
        """Read the shelf; on the first start ask who plays."""
        super().on_mount()
        self._show()
        # A reader beside the first picture would only hold it up.
        self.call_after_refresh(self._begin)

    def on_screen_resume(self) -> None:
        """Read the shelf again, since runs were added; or now that it is wanted."""
        if self._is_read or self._is_put_off:
            self._is_put_off = False
            self.read_shelf()

    def on_screen_suspend(self) -> None:
        """Open nothing by itself once another screen stands here."""
        self._opens_when_read = False

    def _begin(self) -> None:
        """Ask a new player three questions, while the shelf is read; then go on."""
        memory = self.studio.read_memory()
        is_new = not (memory.has_seen_cautions and memory.is_set_up)
        # An etude that is asked for is read first, and alone.
        self._is_put_off = not is_new and self.coach.open_asked()
        if not (self._is_put_off or self._is_begun):
            self._is_begun = True
            self.read_shelf()
        if not (memory.has_seen_cautions or memory.is_set_up):
            from coach.screens.set_up.first_start_screen import FirstStartScreen

            self.app.push_screen(FirstStartScreen(), self._go_on)
        elif not memory.has_seen_cautions:
            from coach.screens.set_up.cautions_screen import CautionsScreen

            self.app.push_screen(CautionsScreen(), self._go_on)
        elif not memory.is_set_up:
            from coach.screens.set_up.player_screen import PlayerScreen

            self.app.push_screen(PlayerScreen(), self._go_on)

    def _go_on(self, _: object) -> None:
        """Take the next step of a first start."""
        self._begin()

    def action_move(self, steps: int) -> None:
        """Choose another etude."""
        if not self._shown:
            self.tell_empty()
            return
        last = len(self._shown) - 1
        self.choose(max(0, min(last, self._chosen + steps)))
        self._show()

    def action_open(self) -> None:
        """Open the etude that is chosen; the first one, as soon as it is read."""
        if not self._shown:
            self._opens_when_read = not self._is_read
            self.tell_empty()
            return
        self.choose(self._chosen)
        etude = self._shown[self._chosen]
        if etude.problem:
            self.tell(etude.problem, is_wrong=True)
            return
        self.tell("")
        from coach.screens.phrase.phrase_screen import PhraseScreen

        self.app.push_screen(PhraseScreen(etude.path, title=etude.title))

    @on(ShelfList.Picked)
    def pick(self, message: ShelfList.Picked) -> None:
        """Choose what was clicked; open it when it was chosen already."""
        if message.index == self._chosen:
            self.action_open()
        else:
            self.choose(message.index)
            self._show()

    @on(ShelfList.Turned)
    def turn(self, message: ShelfList.Turned) -> None:
        """Go on as the wheel was turned."""
        self.action_move(message.steps)

    def action_order(self) -> None:
        """Put the etudes in another order, the first of it in view."""
        self._order = (self._order + 1) % len(ORDERS)
        self._filter("")

    def action_choice(self) -> None:
        """Show others of the etudes."""
        self._choice = (self._choice + 1) % len(CHOICES)
        self._filter("")

    def action_show_all(self) -> None:
        """Show all etudes, whatever was looked for."""
        self._query, self._choice = "", 0
        self._filter(self._shown[self._chosen].path if self._shown else "")

    def action_search(self) -> None:
        """Ask for words to find."""
        from coach.screens.widgets.ask_line import AskLine

        if self.query(AskLine):
            return
        ask = AskLine("find", self._query)
        self.mount(ask, before="ShelfList")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Find while typing."""
        if event.input.id in (WRITE_NAME, NEW_NAME):
            return
        self._query = event.value
        self._filter(self._shown[self._chosen].path if self._shown else "")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Open the first that was found, or write the one that is named."""
        event.input.remove()
        self.set_focus(None)
        if event.input.id == WRITE_NAME:
            self._write(event.value.strip())
            return
        if event.input.id == NEW_NAME:
            self._rename(event.value.strip())
            return
        if self._shown:
            self._query = ""  # it has been found: the others come back beside it
            self._filter(self._shown[self._chosen].path)
        self.action_open()

    def action_write(self) -> None:
        """Ask for a name: that of the own ABC etude that is chosen, or a new one."""
        from coach.screens.widgets.ask_line import AskLine

        if self.query(AskLine):
            return
        path = self._shown[self._chosen].path if self._shown else ""
        is_own = path.endswith(".abc") and not self._shown[self._chosen].is_shipped
        name = path.replace("\\", "/").split("/")[-1] if is_own else ""
        ask = AskLine("a name for the etude", name.removesuffix(".abc"))
        ask.id = WRITE_NAME
        self.mount(ask, before="ShelfList")

    def _write(self, name: str) -> None:
        """Type an etude."""
        from coach.screens.write.write_screen import WriteScreen

        if name:
            self.app.push_screen(WriteScreen(name))

    def action_quit(self) -> None:
        """Leave."""
        self.app.exit()

    def action_import_file(self) -> None:
        """Ask for a file and put it on the shelf."""
        self._import("")

    def on_paste(self, event: Paste) -> None:
        """Put a file on the shelf that is dropped on the window."""
        from coach.screens.shelf.dropped_name import looks_like_a_file, plain_name

        if looks_like_a_file(event.text):
            self._import(plain_name(event.text))

    def _import(self, path: str) -> None:
        """Put a file on the shelf, asking which if it has no path."""
        from coach.screens.shelf.import_screen import ImportScreen

        self.app.push_screen(ImportScreen(path), self._imported)

    def _imported(self, etude: Etude | None) -> None:
        if etude is not None:
            self._query = ""
            self.tell(f"“{etude.title}” is on the shelf.")
            self.choose(0)
            self._shown = [etude]
            self.read_shelf()

    def action_today(self) -> None:
        """Show what to play today."""
        from coach.screens.shelf.today_screen import TodayScreen

        self.app.push_screen(TodayScreen())

    def action_log(self) -> None:
        """Show all runs."""
        from coach.screens.shelf.log_screen import LogScreen

        self.app.push_screen(LogScreen(None))

    def action_player(self) -> None:
        """Set the player."""
        from coach.screens.set_up.player_screen import PlayerScreen

        self.app.push_screen(PlayerScreen())

    def action_gear(self) -> None:
        """Choose gear."""
        from coach.screens.set_up.gear_screen import GearScreen

        self.app.push_screen(GearScreen())

    def action_cautions(self) -> None:
        """Show the cautions."""
        from coach.screens.set_up.cautions_screen import CautionsScreen

        self.app.push_screen(CautionsScreen())
