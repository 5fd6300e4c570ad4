"""The shelf of etudes, to choose what to rehearse.

Long, since every other screen is one key from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.screens.coach_screen import CoachScreen
from coach.screens.shelf.shelf_list import ShelfList
from coach.screens.shelf.shelf_needs import ShelfNeeds
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import hidden, shown

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.timer import Timer
    from textual.widgets import Input

    from coach.score.phrase import Part
    from coach.screens.shelf.shelf_needs import Etude


TALL = 34
"""Rows from which on there is room for the opening bars; as in `app.tcss`."""

PATIENCE_S = 0.2
"""While scores are being read, what is there is shown this often."""

WRITE_NAME = "write-name"
"""Names the line that asks for an etude to write."""

REST_S = 0.15
"""A cursor that rests on an etude this long has arrived."""


class ShelfScreen(CoachScreen[ShelfNeeds]):
    """Etudes, what was rehearsed last first."""

    ABOUT = "The shelf: choose what to rehearse."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("enter", "open", "open", "Open the etude that is chosen"),
        shown("/", "search", "search", "Find an etude by its title"),
        shown("i", "import_file", "import", "Put a score file on the shelf"),
        shown("w", "write", "write", "Type an etude, or go on with one of your own"),
        shown("l", "log", "log", "Show the runs of all etudes"),
        shown("p", "player", "player", "Set instrument, air and a timed long tone"),
        shown("g", "gear", "gear", "Choose MIDI ports, sound, microphone and pedal"),
        shown("c", "cautions", "cautions", "What to take care of as you practise"),
        shown("q", "quit", "quit", "Leave the coach"),
        hidden("down,j", "move(1)", "down", "The next etude"),
        hidden("up,k", "move(-1)", "up", "The etude before"),
        hidden("pagedown", "move(8)", "further down"),
        hidden("pageup", "move(-8)", "further up"),
        hidden("home", "move(-9999)", "first"),
        hidden("end", "move(9999)", "last"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._all: Sequence[Etude] = ()
        self._shown: Sequence[Etude] = ()
        self._chosen = 0
        self._query = ""
        self._who = ""
        self._is_read = False
        self._rest: Timer | None = None

    def compose_body(self) -> ComposeResult:
        """Give heading and list; the opening bars come when there is room for them."""
        yield Heading(self.signs)
        yield ShelfList(self.signs)

    def on_mount(self) -> None:
        """Read the shelf; on the first start ask who plays."""
        super().on_mount()
        self._show()
        # A reader beside the first picture would only hold it up.
        self.call_after_refresh(self.read_shelf)
        self.call_after_refresh(self._begin)

    def on_screen_resume(self) -> None:
        """Read the shelf again: runs were added since."""
        if self._is_read:
            self.read_shelf()

    def _begin(self) -> None:
        """Ask a new player three questions; then open what is asked."""
        memory = self.studio.read_memory()
        if not (memory.has_seen_cautions or memory.is_set_up):
            from coach.screens.set_up.first_start_screen import FirstStartScreen

            self.app.push_screen(FirstStartScreen(), self._go_on)
        elif not memory.has_seen_cautions:
            from coach.screens.set_up.cautions_screen import CautionsScreen

            self.app.push_screen(CautionsScreen(), self._go_on)
        elif not memory.is_set_up:
            from coach.screens.set_up.player_screen import PlayerScreen

            self.app.push_screen(PlayerScreen(), self._go_on)
        else:
            self.coach.open_asked()

    def _go_on(self, _: object) -> None:
        """Take the next step of a first start."""
        self._begin()

    @work(thread=True, exclusive=True, group="shelf")
    def read_shelf(self) -> None:
        """Read the shelf without holding up the screen."""
        worker = get_current_worker()
        found: list[Etude] = []
        shown_at = monotonic()
        try:
            for etude in self.studio.list_etudes():
                if worker.is_cancelled:
                    return
                found.append(etude)
                if not self._is_read and monotonic() - shown_at > PATIENCE_S:
                    shown_at = monotonic()
                    self.call_later(self.show_shelf, tuple(found))
            who = self.studio.says()
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_whole_shelf, tuple(found), who)

    def show_whole_shelf(self, etudes: Sequence[Etude], who: str) -> None:
        """Show everything that is there."""
        self._is_read, self._who = True, who
        self.show_shelf(etudes)

    def show_shelf(self, etudes: Sequence[Etude]) -> None:
        """Show what was read so far; keep the one that was chosen."""
        before = self._shown[self._chosen].path if self._shown else ""
        self._all = etudes
        self._filter(before)

    def _filter(self, keep: str) -> None:
        words = self._query.casefold().split()
        self._shown = [
            etude
            for etude in self._all
            if all(word in f"{etude.title} {etude.key}".casefold() for word in words)
        ]
        paths = [etude.path for etude in self._shown]
        self._chosen = paths.index(keep) if keep in paths else 0
        self._show()

    def _show(self) -> None:
        """Show the list as it is now."""
        bullet = self.signs.bullet
        words = f"{len(self._all)} etudes"
        if not self._is_read:
            words = f"reading … {len(self._all)}" if self._all else "reading …"
        if self._who:
            words = f"{words} {bullet} {self._who}"
        self.query_one(Heading).show_heading("coach", words)
        empty = "reading the shelf …"
        if self._is_read:
            empty = "nothing by that name" if self._query else "press i to import one"
        self.query_one(ShelfList).show_etudes(
            self._shown, self._chosen, datetime.now(UTC).astimezone(), empty
        )
        self._show_opening_soon()

    def _show_opening_soon(self) -> None:
        """Show the opening bars once the cursor rests, where there is room."""
        if self._rest is not None:
            self._rest.stop()
        if self._shown and self.size.height >= TALL:
            self._rest = self.set_timer(REST_S, self._show_opening)

    def _show_opening(self) -> None:
        etude = self._shown[self._chosen]
        if not etude.problem:
            self.read_opening(etude)

    def _draw_opening(self, part: Part) -> None:
        """Draw the opening bars under the list."""
        from coach.screens.shelf.opening import Opening

        openings = self.query(Opening)
        if openings:
            openings.first().show_part(part)
        else:
            opening = Opening(self.signs)
            opening.show_part(part)
            self.mount(opening, after="ShelfList")

    @work(thread=True, exclusive=True, group="opening")
    def read_opening(self, etude: Etude) -> None:
        """Read the opening bars; where that fails, opening the etude will tell why."""
        worker = get_current_worker()
        try:
            part = self.studio.open_part(etude.path)
        except CoachError:
            return
        if not worker.is_cancelled:
            self.call_later(self._draw_opening, part)

    def action_move(self, steps: int) -> None:
        """Choose another etude."""
        if self._shown:
            last = len(self._shown) - 1
            self._chosen = max(0, min(last, self._chosen + steps))
            self._show()

    def action_open(self) -> None:
        """Open the etude that is chosen."""
        if not self._shown:
            return
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
            self._chosen = message.index
            self._show()

    def action_search(self) -> None:
        """Ask for words to find."""
        from coach.screens.widgets.ask_line import AskLine

        ask = AskLine("find", self._query)
        self.mount(ask, before="ShelfList")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Find while typing."""
        if event.input.id == WRITE_NAME:
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
        from coach.screens.shelf.import_screen import ImportScreen

        self.app.push_screen(ImportScreen(), self._imported)

    def _imported(self, etude: Etude | None) -> None:
        if etude is not None:
            self._query = ""
            self.tell(f"“{etude.title}” is on the shelf.")
            self._chosen = 0
            self._shown = [etude]
            self.read_shelf()

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
