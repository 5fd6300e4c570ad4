"""What every screen of the coach has: heading, key row, notices, help."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Generic, Protocol, TypeVar, cast

from textual import on
from textual._styles_cache import StylesCache
from textual.binding import Binding
from textual.screen import Screen

from coach.errors import CoachError
from coach.screens.sparing_compositor import SparingCompositor
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar, keys_of_line, say_key, shown_keys
from coach.screens.widgets.key_table import hidden, reading
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.rehearsal.gear.gear import Fact
    from coach.screens.signs import Signs
    from coach.screens.widgets.text_lines import Line


PRACTICE_CSS = Path(__file__).with_name("practice.tcss")
"""Looks of the screens behind the shelf."""


READS_ON = "pagedown"
"""Reads on in words that are longer than their room, unless a screen turns pages."""


Needs = TypeVar("Needs", covariant=True)
"""What a screen needs from outside the screens: a protocol of its own."""


class Coach(Protocol[Needs]):
    """What a screen asks of the app that it stands in."""

    @property
    def studio(self) -> Needs:
        """What the screen needs from outside the screens."""
        ...

    @property
    def signs(self) -> Signs:
        """The signs that the terminal can show."""
        ...

    def show_help(
        self,
        about: str,
        keys: Sequence[Binding],
        signs: Sequence[Line] = (),
        told: Sequence[Line] = (),
    ) -> None:
        """Show what a screen is for and tells, what its keys do, and its signs."""
        ...

    def open_asked(self) -> bool:
        """Open what the coach was called with, once; tell whether it was anything."""
        ...

    def tell_at_exit(self, error: CoachError) -> None:
        """Tell what went wrong when no screen is left to show it."""
        ...


class CoachScreen(Screen[Any], Generic[Needs]):
    """A screen between a heading and a row of keys; it knows no more than it needs."""

    KEYS: ClassVar[Sequence[Binding]] = ()
    """Every key of the screen, the dearest first; `tooltip` tells more for help."""

    ABOUT: ClassVar[str] = ""
    """What the screen is for, in one sentence, for help."""

    HELP_KEYS: ClassVar[Sequence[Binding]] = (hidden("?", "show_keys", "keys"),)

    _goes_with_key = True

    def __init__(self) -> None:
        super().__init__()
        self._stands = False
        self._has_told = False
        self._early: list[str] = []
        self._compositor = SparingCompositor()
        for binding in (*self.KEYS, *self.HELP_KEYS, *self._reading_keys):
            self._bind(binding)

    @property
    def _reading_keys(self) -> Sequence[Binding]:
        """The keys that scroll its words, where it has no others for that."""
        return reading() if self._paging is None else ()

    @property
    def _paging(self) -> Binding | None:
        """What the screen itself does with the key that reads on elsewhere."""
        return next((b for b in self.KEYS if READS_ON in b.key.split(",")), None)

    @property
    def reads_on_with(self) -> str:
        """The key that brings the words for which a screen is too low; empty if none.

        It is named beside how many rows there are.
        """
        paging = self._paging
        is_scrolling = paging is None or paging.action.startswith("turn(")
        return say_key(READS_ON) if is_scrolling else ""

    def action_read(self, rows: int) -> None:
        """Scroll the words that are longer than their room."""
        for words in self.query(Words):
            words.scroll_rows(rows)

    def _bind(self, binding: Binding) -> None:
        """Bind each of a binding's keys to its action."""
        for key in binding.key.split(","):
            self._bindings.bind(key, binding.action, binding.description, show=False)

    @property
    def keeps_at_end(self) -> bool:
        """Tell whether something is kept only as the screen is left."""
        return False

    def keep_at_end(self, keep: Callable[[], None]) -> None:
        """Keep something as the screen goes: what goes wrong is told after it."""
        try:
            keep()
        except CoachError as error:
            self.coach.tell_at_exit(error)

    def keep_or_tell(self, keep: Callable[[], None]) -> bool:
        """Keep something before the screen goes; tell whether it may go.

        Nobody is held up by a disk: what went wrong is told, and the second time the
        screen goes all the same.
        """
        try:
            keep()
        except CoachError as error:
            if not self._has_told:
                self._has_told = True
                hint = f"{error.hint} Or go on, and it is not kept: once more."
                self.tell_error(CoachError(error.message, hint))
                return False
        return True

    @property
    def coach(self) -> Coach[Needs]:
        """The app, as far as a screen needs it."""
        return cast("Coach[Needs]", self.app)

    @property
    def studio(self) -> Needs:
        """What the screen needs from outside the screens."""
        return self.coach.studio

    @property
    def signs(self) -> Signs:
        """The signs that the terminal can show."""
        return self.coach.signs

    def compose(self) -> ComposeResult:
        """Put the screen's own body above notice and keys."""
        yield from self.compose_body()
        yield Notice(self.signs)
        yield KeyBar(self.signs)

    def compose_body(self) -> ComposeResult:
        """Give the screen's own widgets: a heading and lines, if it has no others."""
        yield Heading(self.signs)
        yield Words(self.signs)

    def on_mount(self) -> None:
        """Show the keys, and say which one reads on where words are cut."""
        self.show_keys()
        for words in self.query(Words):
            words.name_reader(self.reads_on_with)
        self.call_later(self._take_early_keys)

    async def _take_early_keys(self) -> None:
        """Do what the keys do that came before the screen stood."""
        self._stands = True
        early, self._early = self._early, []
        for action in early:
            await self.run_action(action)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let a key wait that comes before the screen stands: nothing is there yet."""
        if not self._stands:
            self._early.append(f"{action}({', '.join(map(repr, parameters))})")
        return self._stands

    def on_unmount(self) -> None:
        """Let the library forget the pictures of a screen that is gone.

        It remembers by what drew them which colours they had, and would keep some
        hundreds of them: tens of megabytes in an hour of runs.
        """
        StylesCache.get_inner_outer.cache_clear()

    @property
    def keys_now(self) -> Sequence[Binding]:
        """Those of the screen's keys that do something as it stands."""
        return self.KEYS

    def show_keys(self) -> None:
        """Show the most important keys in the bottom row: a typed line has its own."""
        is_plain = self.signs.is_plain
        if self.query("AskLine:focus"):
            keys = keys_of_line(is_plain=is_plain)
        else:
            keys = shown_keys(self.keys_now, is_plain=is_plain)
        self.query_one(KeyBar).show_keys(keys)

    def on_descendant_focus(self) -> None:
        """Show the keys of a line that is typed."""
        self.show_keys()

    def on_descendant_blur(self) -> None:
        """Show the screen's own keys when nothing is typed."""
        self.show_keys()

    @on(KeyBar.Clicked)
    async def do_what_was_clicked(self, message: KeyBar.Clicked) -> None:
        """Do what a key in the bottom row does."""
        await self.run_action(message.action)

    def tell(self, words: str, *, is_wrong: bool = False, stays: bool = False) -> None:
        """Show one line to the player; empty words take it away.

        It goes with the next key, which it is no longer true of, unless it stays.
        """
        self._goes_with_key = not stays
        told = self.signs.spell(words)
        self.query_one(Notice).show_words(told, is_wrong=is_wrong)

    def on_key(self) -> None:
        """Take away what was told of the key before; not while a line is mended."""
        if self._goes_with_key and not self.query("AskLine:focus"):
            self.tell("")

    def tell_error(self, error: CoachError) -> None:
        """Show what went wrong and what to do about it."""
        self.tell(str(error), is_wrong=True)

    def show_lost_gear(self, fact: Fact) -> None:
        """Tell of gear that goes or comes back, where nothing else is to be done."""
        from coach.rehearsal.gear.gear import GearLost

        if isinstance(fact, GearLost):
            self.tell(fact.message, is_wrong=not fact.is_back, stays=True)

    def action_show_keys(self) -> None:
        """Show what each key does on this screen."""
        is_cut = any(words.is_cut for words in self.query(Words))
        keys = (*self.keys_now, *(self._reading_keys if is_cut else ()))
        self.coach.show_help(self.ABOUT, keys, self.tell_signs(), self.tell_whole())

    def tell_whole(self) -> Sequence[Line]:
        """Give what may be cut on it, for help, where it stands first."""
        return ()

    def tell_signs(self) -> Sequence[Line]:
        """Give what its signs mean, for help; nothing where there are none."""
        return ()
