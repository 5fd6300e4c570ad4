"""Which commands there are.  Each has its options here and its work in `commands`."""

from __future__ import annotations

import argparse

from coach import __version__
from coach.command_line.gear_options import add_gear
from coach.command_line.import_options import add_import
from coach.command_line.listen_options import add_listen
from coach.command_line.log_options import add_log
from coach.command_line.plan_options import add_plan
from coach.command_line.player_options import add_player
from coach.command_line.print_options import add_print
from coach.command_line.rehearse_options import add_rehearse
from coach.command_line.review_options import add_review
from coach.command_line.shared_options import add_engraved, add_player_name
from coach.command_line.today_options import add_today
from coach.command_line.write_options import add_write

COMMANDS = (
    add_rehearse,
    add_plan,
    add_print,
    add_listen,
    add_write,
    add_import,
    add_log,
    add_review,
    add_today,
    add_player,
    add_gear,
)
"""In the order of ``coach --help``."""


def build_parser(*, has_commands: bool = True) -> argparse.ArgumentParser:
    """Describe every command, with an example each.

    Parameters
    ----------
    has_commands : bool
        False leaves the commands out: for ``coach`` alone, so that it starts sooner.
    """
    parser = argparse.ArgumentParser(
        prog="coach",
        description="A rehearsal coach for wind players: plan breaths, positions "
        "and articulation, rehearse with a click, keep a log.",
        epilog="Example: coach            opens the shelf of etudes",
    )
    parser.add_argument("--version", action="version", version=f"coach {__version__}")
    parser.set_defaults(
        command_file="screens_command", engraved=None, player=None, may_be_new=False
    )
    add_player_name(parser)
    add_engraved(parser)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    for add in COMMANDS if has_commands else ():
        add(commands)
    return parser
