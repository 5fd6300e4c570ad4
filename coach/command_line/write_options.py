"""What ``coach write`` takes."""

from __future__ import annotations

from coach.command_line.shared_options import Commands, add_command


def add_write(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "write",
        "type an etude in ABC, in your editor or on screen",
        "coach write low-study",
    )
    parser.add_argument("name", metavar="NAME", help="of a new etude, or of your own")
    parser.add_argument("--instrument", metavar="NAME", help="trombone, horn, flute …")
    parser.add_argument(
        "--on-screen",
        action="store_true",
        help="with the staff below, also where VISUAL or EDITOR names an editor",
    )
    parser.add_argument("--rename", metavar="NEW", help="give it another name")
