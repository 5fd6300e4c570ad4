"""A terminal that is given back at once when the player leaves."""

from __future__ import annotations

import termios
import threading
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from textual.drivers.linux_driver import LinuxDriver
from textual.events import Key

if TYPE_CHECKING:
    from textual.message import Message


class QuickLeaving(LinuxDriver):
    """Does not wait for its own reader of keys, unless the player will come back.

    The reader looks up every tenth of a second and once more at its end: longer than
    all else takes that leaving does.  The program ends with it.
    """

    _comes_back = False
    _writes_alone: int | None = None
    """The thread that has the last word; None as long as nobody gives it back."""

    def process_message(self, message: Message) -> None:
        """Hand a key on, and see to it that the one to quit is answered in time."""
        super().process_message(message)
        app: Any = self._app  # a `LeavingApp`, which knows this file
        if isinstance(message, Key) and message.key == "ctrl+q":
            app.leave_if_busy(self.give_back)
        elif isinstance(message, Key) and message.key == "ctrl+c":
            app.leave_if_stuck(self.give_back)

    def give_back(self) -> None:
        """Give the terminal back beside screens that may still draw."""
        self._writes_alone = threading.get_ident()
        with suppress(termios.error, OSError):  # the terminal may be gone
            self._disable_mouse_support()
            self.stop_application_mode()
            self.close()

    def write(self, data: str) -> None:
        """Write, unless the terminal is being given back from elsewhere."""
        if self._writes_alone in (None, threading.get_ident()):
            super().write(data)

    def suspend_application_mode(self) -> None:
        """Give the terminal to others for a while: no key of theirs is read."""
        self._comes_back = True
        super().suspend_application_mode()
        self._comes_back = False

    def disable_input(self) -> None:
        """Read no more keys."""
        if self._comes_back:
            super().disable_input()
            return
        reader, self._key_thread = self._key_thread, None
        super().disable_input()
        if reader is not None:
            self.exit_event.set()  # it ends when it looks up
