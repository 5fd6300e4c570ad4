"""A terminal that is given back at once when the player leaves."""

from __future__ import annotations

from textual.drivers.linux_driver import LinuxDriver


class QuickLeaving(LinuxDriver):
    """Does not wait for its own reader of keys, unless the player will come back.

    The reader looks up every tenth of a second and once more at its end: longer than
    all else takes that leaving does.  The program ends with it.
    """

    _comes_back = False

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
