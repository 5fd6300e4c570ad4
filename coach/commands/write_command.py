"""``coach write``: type an etude in ABC, in the player's editor or on screen."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from coach.edges.editor import edit, find_editor
from coach.edges.scores.own_etudes import own_path, rename_own
from coach.edges.scores.typed_etude import TypedReader
from coach.errors import CoachError
from coach.plain.check_table import check_lines
from coach.planning.page_words import page_words
from coach.wiring.own_writing import open_text
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.terminal.terminal_signs import tell


def run(arguments: argparse.Namespace) -> int:
    """Open an own etude, or give it another name."""
    path = own_path(arguments.name)
    if arguments.rename is not None:
        new = own_path(arguments.rename)
        rename_own(path, new)
        tell([f"“{path.stem}” is now “{new.stem}”. Its title is the line T: in it."])
        return 0
    editor = [] if arguments.on_screen else find_editor()
    if not editor:
        from coach.commands.screens_command import show_screens

        return show_screens(arguments)
    return _write_with(editor, arguments)


def _write_with(editor: list[str], arguments: argparse.Namespace) -> int:
    """Let the player edit, and tell what was read, until it is well or left so."""
    instrument = PlayerPlanner(arguments.instrument).instrument
    path = Path(open_text(arguments.name, instrument).path)
    while True:
        edit(path, editor)
        own = open_text(arguments.name, instrument)
        with TypedReader() as reader:
            tune = reader.read(path, own.text)
        if tune.part is not None:
            tell(check_lines(tune.part, page_words(tune.part, instrument)))
            return 0
        says = tune.says or "There are no notes yet. Type them under the line K:."
        if not (sys.stdin.isatty() and sys.stdout.isatty()):
            raise CoachError(f"“{path}” is saved. {says}", "Open it again.")
        tell([says])
        if input("Open it again? [Y/n] ").strip().casefold().startswith("n"):
            return CoachError.exit_code
