"""An app that may be left at any moment, and that waits where it is told to."""

from __future__ import annotations

import asyncio
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from contextvars import copy_context
from typing import TYPE_CHECKING

from textual import on
from textual.app import App
from textual.css.query import NoMatches
from textual.driver import Driver

from coach.screens.leaving.daemon_threads import DaemonThreads

if TYPE_CHECKING:
    from types import FrameType

THREADS = 8
"""How many things are worked out side by side at most: our own choice."""

BUSY_S = 0.1
"""Screens that take no key for so long are left from outside, in seconds: a third of
what a player waits, our own choice."""

INTERRUPTED = 130
"""Exit code of a program that was told to leave."""


class LeavingApp(App[None]):
    """Leaves at once when told, gives the terminal back and comes back to it."""

    def __init__(self) -> None:
        super().__init__()
        self._lets_go = False
        self._is_leaving = threading.Event()

    def leave_soon(self) -> None:
        """Let what is beside the screens end by itself, from a signal too."""
        raise NotImplementedError

    def leave_now(self, code: int) -> None:
        """End from beside the screens, which are busy; the terminal is given back."""
        raise NotImplementedError

    def get_driver_class(self) -> type[Driver]:
        """Give a driver that lets the player leave at once."""
        kind = super().get_driver_class()
        if kind.__module__ != "textual.drivers.linux_driver":  # elsewhere it is absent
            return kind
        from coach.screens.leaving.quick_leaving import QuickLeaving

        return QuickLeaving

    def on_load(self) -> None:
        """Be ready to leave at any moment, whatever is still at work."""
        loop = asyncio.get_running_loop()
        if self.is_headless:
            return
        loop.set_default_executor(DaemonThreads(THREADS))

        def told(_number: int, _frame: object) -> None:
            # Not by the loop's own handlers: the loop may wait for the terminal.
            self.leave_soon()
            loop.call_soon_threadsafe(self._leave)
            give_back = getattr(self._driver, "give_back", _nothing)
            beside = threading.Thread(
                target=self.leave_if_busy, args=(give_back, INTERRUPTED), daemon=True
            )
            beside.start()

        for name in ("SIGTERM", "SIGHUP", "SIGINT"):
            with suppress(AttributeError, ValueError):
                signal.signal(getattr(signal, name), told)

    def _leave(self) -> None:
        """Leave as if told to quit: the terminal is wanted, or gone."""
        self.exit(return_code=INTERRUPTED)

    async def action_quit(self) -> None:
        """Leave."""
        self._quit()

    def action_help_quit(self) -> None:
        """Leave on Ctrl+C too where nothing is marked to be copied, as programs do."""
        self._quit()

    def _quit(self) -> None:
        """Leave, and be gone soon even if the terminal takes no last word."""
        self.leave_soon()
        self.exit()

    def on_exit_app(self) -> None:
        """Take note that the screens have come to it: to be told is not enough."""
        self._is_leaving.set()

    def leave_if_stuck(self, give_back: Callable[[], None]) -> None:
        """Leave on a key that may mean something else where screens take none at all.

        From the keys' thread.
        """
        looked = threading.Event()
        self.call_later(looked.set)
        if not looked.wait(BUSY_S):
            self._leave_from_beside(give_back, 0)

    def leave_if_busy(self, give_back: Callable[[], None], code: int = 0) -> None:
        """Leave in a moment even if no screen hears of it; from beside them.

        What a screen keeps on its way out is worth the wait.
        """
        if not self._is_leaving.wait(BUSY_S):
            self._leave_from_beside(give_back, code)

    def _leave_from_beside(self, give_back: Callable[[], None], code: int) -> None:
        """Leave without the screens, unless one of them keeps something at its end."""
        if not any(
            getattr(screen, "keeps_at_end", False) for screen in self.screen_stack
        ):
            self.leave_soon()
            give_back()
            self.leave_now(code)

    def _handle_exception(self, error: Exception) -> None:
        """Pass over what a screen lacks that is taken away before it is built."""
        if not (self._exit and isinstance(error, NoMatches)):
            super()._handle_exception(error)

    def action_suspend_process(self) -> None:
        """Let nothing play on, give the terminal back, and come back when called."""
        for screen in self.screen_stack:
            stop = getattr(screen, "stop_playing", None)
            if stop is not None:
                stop()
        self._lets_go = True
        super().action_suspend_process()

    @on(Driver.SignalResume)
    def draw_again(self) -> None:
        """Draw all of the screen: the terminal has cleared it, or shows another's."""
        self.refresh(layout=True)

    def stop_when_told(self) -> None:
        """Let nothing play on either where another program says that it is to wait."""
        loop = asyncio.get_running_loop()
        # A handler runs wherever the program is: screens that it opens need this.
        wait, ours = self.action_suspend_process, copy_context()
        number = getattr(signal, "SIGTSTP", None)  # not every system has it
        let_go = number and signal.getsignal(number)
        if number is None or not callable(let_go):
            return

        def told(number: int, frame: FrameType | None) -> None:
            if self._lets_go:
                self._lets_go = False
                let_go(number, frame)
            else:
                loop.call_soon_threadsafe(wait, context=ours)

        signal.signal(number, told)


def _nothing() -> None:
    """Give nothing back: no terminal is taken yet."""
