"""Put a score on the shelf: type where it is, or walk through the folders."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, Protocol

from textual import on, work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.planning.naming import say_count
from coach.screens.coach_screen import CoachScreen
from coach.screens.shelf.dropped_name import looks_like_a_file, plain_name
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import hidden, leaping, shown, walking
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.events import Paste
    from textual.widgets import Input

    from coach.screens.shelf.shelf_needs import Etude, Folder, Twin


class ImportNeeds(Protocol):
    """Files that may be put on the shelf."""

    def list_folder(self, path: str) -> Folder:
        """Look into a folder; an empty path is where the player is (slow)."""
        ...

    def find_twin(self, path: str) -> Twin | None:
        """Find the etude that a score would share its runs with (slow)."""
        ...

    def is_on_shelf(self, path: str) -> bool:
        """Tell whether the very same file is on the shelf already (slow)."""
        ...

    def import_file(self, path: str, *, replaces: str = "", title: str = "") -> Etude:
        """Put a file on the shelf (slow).

        It takes the place of one that is named, or a title of its own.
        """
        ...

    def check_page(self, path: str) -> Sequence[tuple[str, str]]:
        """Sum up what was read of a page: what is told, and what it says (slow)."""
        ...


class ImportScreen(CoachScreen[ImportNeeds]):
    """Folders and scores; gives the etude that was put on the shelf, or None.

    What was read of it is shown before, to be held beside the paper.
    """

    ABOUT = "Put a score file on the shelf."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("space,enter,right", "take", "open", "Open the folder or the file"),
        shown("left,backspace", "up", "folder above", "The folder above"),
        shown("/", "type", "type a path", "Type where the file is"),
        *walking("one"),
        *leaping(10),
        shown("escape", "leave", "back", "Back to the shelf"),
    )
    TAKEN_KEYS: ClassVar[Sequence[Binding]] = (
        shown("enter,space,right", "take", "to the shelf", "It stands there, chosen"),
        hidden("escape", "leave", "back", "Back to the shelf"),
    )
    """The keys once a score was put on the shelf and is shown."""

    def __init__(self, path: str = "") -> None:
        super().__init__()
        self._path = path
        self._folder: Folder | None = None
        self._chosen = 0
        self._is_busy = False
        self._taken: Etude | None = None

    @property
    def keys_now(self) -> Sequence[Binding]:
        """The keys of the folders, or of what was read."""
        return self.KEYS if self._taken is None else self.TAKEN_KEYS

    def on_mount(self) -> None:
        """Begin where the player is."""
        super().on_mount()
        self.query_one(Heading).show_heading("put a score on the shelf")
        self.look_into("")
        if self._path:
            self._import(self._path)

    @work(thread=True, exclusive=True, group="folder")
    def look_into(self, path: str) -> None:
        """Read a folder."""
        worker = get_current_worker()
        try:
            folder = self.studio.list_folder(path)
        except CoachError as error:
            self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_folder, folder)

    def show_folder(self, folder: Folder) -> None:
        """Show a folder."""
        self._folder, self._chosen = folder, 0
        if self._taken is not None:
            return
        self.query_one(Heading).show_heading("put a score on the shelf", folder.path)
        if not self._is_busy:
            self.tell("")
        self._show()

    def _show(self) -> None:
        folder = self._folder
        if folder is None:
            return
        lines = [
            Line(
                entry.name,
                "chosen" if k == self._chosen else "plain",
                "folder" if entry.is_folder else "",
            )
            for k, entry in enumerate(folder.entries)
        ]
        self.query_one(Words).show_lines(
            lines or [Line("no scores and no folders here", "quiet")], lead_width=8
        )

    def action_move(self, steps: int) -> None:
        """Choose another line."""
        if self._taken is None and self._folder is not None and self._folder.entries:
            last = len(self._folder.entries) - 1
            self._chosen = max(0, min(last, self._chosen + steps))
            self._show()

    @on(Words.Picked)
    def pick(self, message: Words.Picked) -> None:
        """Choose what was clicked; open it when it was chosen already."""
        if message.index == self._chosen:
            self.action_take()
        else:
            self.action_move(message.index - self._chosen)

    def action_up(self) -> None:
        """Go to the folder above."""
        if self._taken is None and self._folder is not None:
            self.look_into(self._folder.parent)

    def action_take(self) -> None:
        """Open what is chosen; go on where something was taken."""
        if self._taken is not None:
            self.dismiss(self._taken)
            return
        if self._folder is None or not self._folder.entries or self._is_busy:
            return
        entry = self._folder.entries[self._chosen]
        if entry.is_folder:
            self.look_into(entry.path)
        else:
            self._import(entry.path)

    def _import(self, path: str) -> None:
        """Read a file; one whose runs another etude has is asked about first."""
        self._is_busy = True
        self.tell(f"reading {path} …", stays=True)
        self.look_for_twin(path)

    @work(thread=True, exclusive=True, group="import")
    def look_for_twin(self, path: str) -> None:
        """Read the file and the shelf without holding up the screen."""
        worker = get_current_worker()
        try:
            twin = self.studio.find_twin(path)
        except CoachError as error:
            folder = self._folder_at(path)
            if worker.is_cancelled:
                return
            if folder is None:
                self.call_later(self._failed, error)
            else:
                self.call_later(self._enter, folder)
            return
        if not worker.is_cancelled:
            self.call_later(self._ask_about, path, twin)

    def _folder_at(self, path: str) -> Folder | None:
        """Look into what is no score; None where it is no folder either."""
        try:
            return self.studio.list_folder(path)
        except CoachError:
            return None

    def _enter(self, folder: Folder) -> None:
        """Show the folder that was typed."""
        self._is_busy = False
        self._put_away_question()
        self.show_folder(folder)

    def _ask_about(self, path: str, twin: Twin | None) -> None:
        """Ask whether a twin is to be kept apart or replaced, if there is one."""
        if twin is None:
            self.import_file(path)
            return
        from coach.screens.choose_screen import ChooseScreen

        runs = say_count(twin.runs, "run")
        answers = [f"keep both apart: this one as “{twin.other_title}”, with no runs"]
        if twin.may_go and twin.shares_runs:
            answers.append(f"replace “{twin.title}”: {runs} and your changes stay")
        elif twin.may_go:
            answers.append(
                f"replace “{twin.title}”: its bars are others, so runs begin anew"
            )
        answers.append("put nothing on the shelf")

        def chosen(index: int | None) -> None:
            if index == 0:
                self.import_file(path, title=twin.other_title)
            elif index == 1 and twin.may_go:
                self.import_file(path, replaces=twin.path)
            else:
                self._is_busy = False
                self.tell("Nothing was put on the shelf.")

        question = f"“{twin.title}” is on the shelf already, with {runs}"
        self.app.push_screen(ChooseScreen(question, answers), chosen)

    @work(thread=True, exclusive=True, group="import")
    def import_file(self, path: str, *, replaces: str = "", title: str = "") -> None:
        """Put the file on the shelf without holding up the screen."""
        worker = get_current_worker()
        try:
            was_there = not replaces and self.studio.is_on_shelf(path)
            etude = self.studio.import_file(path, replaces=replaces, title=title)
            words = self.studio.check_page(etude.path)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self._failed, error)
            return
        if not worker.is_cancelled:
            self.call_later(self._imported, etude, words, was_there)

    def _put_away_question(self) -> None:
        """Take away the line that a path was typed into."""
        for line in self.query(AskLine):
            line.remove()
        self.set_focus(None)

    def _failed(self, error: CoachError) -> None:
        self._is_busy = False
        self.tell_error(error)

    def _imported(
        self, etude: Etude, words: Sequence[tuple[str, str]], was_there: bool
    ) -> None:
        """Show what was read."""
        self._taken = etude
        self._put_away_question()
        self.show_keys()
        self.query_one(Heading).show_heading(etude.title, "is this what the page says?")
        lines = [Line(self.signs.spell(text), lead=label) for label, text in words]
        self.query_one(Words).show_lines(lines, lead_width=10)
        stands = "was on the shelf already" if was_there else "is on the shelf"
        told = f"It {stands}. Hold this beside the page, then press enter."
        self.tell(told, stays=True)

    def action_type(self) -> None:
        """Type where the file is."""
        if self._taken is not None or self.query(AskLine):
            return
        ask = AskLine("where is the file?", "/")
        ask.select_on_focus = False  # the key that was pressed begins the path
        self.mount(ask, before="Words")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Read what was typed; a path that leads nowhere stays there to be mended."""
        path = plain_name(event.value)
        if path.strip("/"):
            self._import(path)
        else:
            event.input.remove()

    def on_paste(self, event: Paste) -> None:
        """Read a file that is dropped on the window."""
        if self._taken is None and not self._is_busy and looks_like_a_file(event.text):
            self._import(plain_name(event.text))

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(self._taken)
