"""``coach`` and ``coach rehearse`` on screen."""

from __future__ import annotations

import argparse
import os
import sys

from coach.errors import CoachError


def run(arguments: argparse.Namespace) -> int:
    """Open the shelf."""
    return show_screens(arguments)


def show_screens(arguments: argparse.Namespace) -> int:
    """Open the screens; at an etude, if one is named."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise CoachError(
            "The screens need a terminal.", "Try: coach rehearse ETUDE --plain"
        )
    from coach.edges.early_keys import keep_early_keys
    from coach.edges.ending import EXIT_INTERRUPTED, leave_at_once

    try:
        with keep_early_keys():
            code = _show(arguments)
    except KeyboardInterrupt:
        code = EXIT_INTERRUPTED
    leave_at_once(code)


def _show(arguments: argparse.Namespace) -> int:
    """Open the screens on a terminal that keeps early keys."""
    from coach.wiring.terminal.collecting import collect_later
    from coach.wiring.terminal.thread_turns import take_turns

    collect_later()
    take_turns()
    from coach.wiring.studio.real_studio import RealStudio

    path = ""
    if getattr(arguments, "etude", None):
        from coach.edges.scores.etude_shelf import find_etude

        path = str(find_etude(arguments.etude))
    room = RealStudio(arguments)
    if path and arguments.transpose is not None:
        room.move_first(path, arguments.transpose)
    try:
        from coach.screens.app import CoachApp
        from coach.wiring.terminal.engraving_choice import choose_engraving
        from coach.wiring.terminal.terminal_signs import are_plain

        environment = dict(os.environ)
        is_plain = are_plain(environment, sys.stdout.encoding or "")
        choice = choose_engraving(arguments, environment, is_plain=is_plain)
        if choice.engraver is not None:
            room.engrave_with(choice.engraver)
        app = CoachApp(
            room,
            open_path=path,
            part_name=getattr(arguments, "part", None),
            is_plain=is_plain,
            typed=choice.typed,
            words=choice.words,
        )
        app.write_first(getattr(arguments, "name", ""))
        app.run()
        app.raise_what_went_wrong()
        return app.return_code or 0
    finally:
        room.close()
