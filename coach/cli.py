"""The front door: one command is run, and what it exits with.

A command's own file is imported only when it is asked for, so that ``--help``
and the screens start at once.
"""

from __future__ import annotations

import sys
import traceback
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module

from coach import __version__
from coach.command_line.command_parser import build_parser
from coach.edges.ending import (
    EXIT_FULL,
    EXIT_INTERRUPTED,
    fall_silent,
    interrupt_when_told,
)
from coach.errors import CoachError
from coach.wiring.terminal.terminal_signs import tell, write_what_can_be_written
from coach.wiring.who_plays.players import playing_as

WRITTEN_BY_COACH = {"player", "screens", "learning", "sound", "recordings", "click"}
"""Tables of the player's file that the coach writes itself."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    try:
        write_what_can_be_written(sys.stdout, sys.stderr)
        words = sys.argv[1:] if argv is None else argv
        arguments = build_parser(has_commands=bool(words)).parse_args(words)
        command = import_module(f"coach.commands.{arguments.command_file}")
        with (
            playing_as(arguments.player, may_be_new=arguments.may_be_new),
            interrupt_when_told(),
        ):
            return int(command.run(arguments))
    except CoachError as error:
        tell([f"coach: {error}"], sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return EXIT_INTERRUPTED
    except OSError as error:
        code = fall_silent(error)
        if code == EXIT_FULL:
            tell([f"coach: {_say_full(error)}"], sys.stderr)
        return _say_crash(error) if code is None else code
    except Exception as error:  # noqa: BLE001 — the last line: a player sees a sentence
        return _say_crash(error)


def _say_full(error: OSError) -> str:
    """Say where there is no room."""
    what = error.filename or "what was asked for"
    return f"The disk is full: {what} cannot be written. Make room."


def _say_crash(error: BaseException) -> int:
    """Say in one sentence that the coach is at fault, and keep the details."""
    from coach.config import home

    details = "".join(traceback.format_exception(error))
    path = home() / "crash.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"coach {__version__}\n{details}", encoding="utf-8")
        where = f"The details are in {path}; please report them."
    except OSError:
        where = f"It happened here: {details.splitlines()[-1]}"
    tell([f"coach: {_say_whose_fault()} {where}"], sys.stderr)
    return CoachError.exit_code


def _say_whose_fault() -> str:
    """Say that the coach is at fault, or the numbers that the player has set anew."""
    from coach.config import player_path, read_player_file

    own: set[str] = set()
    with suppress(CoachError):
        own = read_player_file().keys() - WRITTEN_BY_COACH
    if not own:
        return "This is a fault of the coach, not yours."
    return (
        f"Either your own settings in {player_path()} ({', '.join(sorted(own))}) do "
        "not work, so try without them, or this is a fault of the coach."
    )
