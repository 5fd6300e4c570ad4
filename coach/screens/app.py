"""The app: which screen stands where, colours, and what comes from the gear."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.events import Key

from coach.screens.leaving.leaving_app import LeavingApp
from coach.screens.messages import FactCame
from coach.screens.signs import FULL, PLAIN
from coach.screens.terminal_sizes import HEIGHTS, WIDTHS
from coach.screens.themes import LAMPLIGHT, OWN, THEMES

if TYPE_CHECKING:
    from textual.filter import LineFilter
    from textual.screen import Screen

    from coach.errors import CoachError
    from coach.rehearsal.gear.gear import Fact
    from coach.screens.studio import Studio
    from coach.screens.widgets.ask_line import AskLine
    from coach.screens.widgets.text_lines import Line


class CoachApp(LeavingApp):
    """The practice room.

    Parameters
    ----------
    open_path : str
        File to rehearse at once; empty to begin at the shelf.
    part_name : str or None
        Which part of that file.
    is_plain : bool
        Use letters and dashes only.
    typed : str
        What was typed before the screens stood, as the terminal sends it.
    words : str
        What to tell the player at the start; empty for nothing.

    After `run`, `raise_what_went_wrong` raises what no screen could tell any more.
    """

    CSS_PATH = Path(__file__).with_name("app.tcss")
    TITLE = "coach"
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "quit", show=False, priority=True),
        Binding("ctrl+z", "suspend_process", "to the shell and back", show=False),
        Binding("ctrl+t", "next_theme", "other colours", show=False),
    ]

    def __init__(
        self,
        studio: Studio,
        *,
        open_path: str = "",
        part_name: str | None = None,
        is_plain: bool = False,
        typed: str = "",
        words: str = "",
    ) -> None:
        super().__init__()
        self.studio = studio
        self._typed = typed
        self._words = words
        self.signs = PLAIN if is_plain else FULL
        self._open_path = open_path
        self._part_name = part_name
        self._write_name = ""
        self._exit_error: CoachError | None = None
        self._plain_filter: Sequence[LineFilter] = ()
        for name in list(self.available_themes):
            self.unregister_theme(name)
        for theme in THEMES:
            self.register_theme(theme)
        wanted = studio.read_memory().theme
        self._begin_with(wanted if wanted in self.available_themes else OWN)

    def _begin_with(self, name: str) -> None:
        """Have a theme from the start: setting it would read all styles a second time.

        What follows is what the library does when a theme is set.
        """
        self.set_reactive(CoachApp.theme, name)
        is_dark = self.current_theme.dark
        looks = {f"-theme-{name}": True, "-dark-mode": is_dark}
        self.update_classes({**looks, "-light-mode": not is_dark}, update=False)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Give our own colours to a theme that lacks them."""
        return dict(LAMPLIGHT.variables)

    def leave_soon(self) -> None:
        """Let what is beside the screens end by itself, from a signal too."""
        self.studio.leave_soon()

    def leave_now(self, code: int) -> None:
        """End from beside the screens, which are busy; the terminal is given back."""
        self.studio.leave_now(code)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Turn every sign into ASCII on its way out, where that is asked for."""
        filters = super().get_line_filters()
        if not self.signs.is_plain:
            return filters
        if not self._plain_filter:
            from coach.screens.plain_filter import PlainFilter

            self._plain_filter = (PlainFilter(),)
        return [*filters, *self._plain_filter]

    def get_default_screen(self) -> Screen[object]:
        """Begin at the shelf."""
        from coach.screens.shelf.shelf_screen import ShelfScreen

        shelf = ShelfScreen()
        # Else it is styled once more as soon as it has its size.
        shelf.set_classes(self._size_classes())
        return shelf

    def _size_classes(self) -> list[str]:
        """Name the sizes of the terminal, as the styles call them."""
        pairs = (
            (self.size.width, self.HORIZONTAL_BREAKPOINTS),
            (self.size.height, self.VERTICAL_BREAKPOINTS),
        )
        return [max(b for b in of if b[0] <= cells)[1] for cells, of in pairs]

    def on_ready(self) -> None:
        """Take the keys that came before the screens, and say what is to be said."""
        if not self.is_headless:
            self.stop_when_told()
        # The engine starts then, so that the first picture need not wait for it.
        self.call_after_refresh(self.studio.listen, self.tell_fact)
        if self._words:
            self.notify(self._words, markup=False)
        if self._typed:
            # The parser of Textual's own driver, which has not seen these keys.
            from textual._xterm_parser import XTermParser

            for event in XTermParser().feed(self._typed):
                self.post_message(event)

    def on_key(self, event: Key) -> None:
        """Give a line that is asked for the keys that were pressed before it opened.

        The driver reads what is typed or pasted quickly in one go: all of it is on its
        way to the screen, whose keys have other meanings, before the line takes keys.
        """
        for line in cast("Iterable[AskLine]", self.screen.query("AskLine")):
            if line.last_key is not event:
                event.prevent_default()
                line.post_message(Key(event.key, event.character))

    def tell_fact(self, fact: Fact) -> None:
        """Take a fact from any thread."""
        self.post_message(FactCame(fact))

    def tell_at_exit(self, error: CoachError) -> None:
        """Tell what went wrong when no screen is left to show it: after the screens."""
        self._exit_error = error

    def raise_what_went_wrong(self) -> None:
        """Raise the fault that ended the app, or what it could not tell any more."""
        fault = self._exception or self._exit_error
        if fault is not None:
            raise fault

    def _fatal_error(self) -> None:
        """Leave at once, without a traceback; `raise_what_went_wrong` follows."""
        self._close_messages_no_wait()

    def on_fact_came(self, message: FactCame) -> None:
        """Hand a fact to the screen that rehearses, if one does, else to the top one.

        The last facts may come when all screens have gone.
        """
        for screen in reversed(self.screen_stack):
            take = getattr(screen, "take_fact", None)
            if take is not None:
                take(message.fact)
                return
        for screen in self.screen_stack[-1:]:
            show = getattr(screen, "show_lost_gear", None)
            if show is not None:
                show(message.fact)

    def write_first(self, name: str) -> None:
        """Begin with typing an own etude."""
        self._write_name = name

    def open_asked(self) -> bool:
        """Open what the coach was called with, to write or rehearse it; only once."""
        name, self._write_name = self._write_name, ""
        if name:
            from coach.screens.write.write_screen import WriteScreen

            self.push_screen(WriteScreen(name))
        path, self._open_path = self._open_path, ""
        if path:
            from coach.screens.phrase.phrase_screen import PhraseScreen

            screen = PhraseScreen(path, part_name=self._part_name, plays_at_once=True)
            self.push_screen(screen)
        return bool(name or path)

    def show_help(
        self,
        about: str,
        keys: Sequence[Binding],
        signs: Sequence[Line] = (),
        told: Sequence[Line] = (),
    ) -> None:
        """Show what a screen is for and tells, what its keys do, and its signs."""
        from coach.screens.keys_screen import KeysScreen

        self.push_screen(KeysScreen(about, keys, signs, told))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Offer every key of the screen, and what holds everywhere."""
        for binding in getattr(screen, "KEYS", ()):
            name = binding.description[:1].upper() + binding.description[1:]
            yield SystemCommand(
                name,
                binding.tooltip or binding.description,
                lambda action=binding.action: self.call_later(
                    screen.run_action, action
                ),
            )
        for theme in self.available_themes:
            yield SystemCommand(
                f"Colours: {theme}",
                "Change the colours",
                lambda theme=theme: self.use_theme(theme),
            )
        yield SystemCommand("Quit", "Leave the coach", self.action_quit)

    def use_theme(self, name: str) -> None:
        """Change the colours and keep them for next time."""
        from dataclasses import replace

        from coach.errors import CoachError

        self.theme = name
        try:
            self.studio.save_memory(replace(self.studio.read_memory(), theme=name))
        except CoachError as error:
            self.notify(str(error), markup=False, severity="error")

    def action_next_theme(self) -> None:
        """Take the next set of colours."""
        names = list(self.available_themes)
        self.use_theme(names[(names.index(self.theme) + 1) % len(names)])
