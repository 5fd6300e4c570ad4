"""What ``coach print`` takes."""

from __future__ import annotations

from coach.command_line.shared_options import (
    Commands,
    add_command,
    add_etude,
    add_every_note,
    add_stretch,
)


def add_print(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "print",
        "mark the part with its breaths, positions and slurs, to take to the stand",
        "coach print long-river -o river.html",
    )
    add_etude(parser)
    add_stretch(parser)
    add_every_note(parser)
    parser.add_argument(
        "-o",
        dest="file",
        metavar="FILE.html",
        required=True,
        help="where to: a page that any browser shows, prints and saves as PDF",
    )
