"""What ``coach import`` takes."""

from __future__ import annotations

from coach.command_line.shared_options import Commands, add_command, add_part


def add_import(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "import",
        "put a score file on your shelf of etudes",
        "coach import my-study.musicxml",
    )
    parser.add_argument("file", metavar="FILE", help="MusicXML, MIDI, ABC, kern or MEI")
    add_part(parser)
    twins = parser.add_mutually_exclusive_group()
    twins.add_argument(
        "--apart",
        action="store_true",
        help="with runs of its own, where the shelf has the same etude already",
    )
    twins.add_argument(
        "--replace",
        action="store_true",
        help="in the place of the same etude, whose runs it takes over",
    )
