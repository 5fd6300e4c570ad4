"""What ``coach today`` takes."""

from __future__ import annotations

from coach.command_line import typed_numbers
from coach.command_line.shared_options import Commands, add_command


def add_today(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "today",
        "tell what to play today, in turn and with rests",
        "coach today --minutes 40",
    )
    parser.add_argument(
        "--minutes", metavar="N", type=typed_numbers.minutes, help="20 if left out"
    )
    parser.add_argument("--instrument", metavar="NAME", help="trombone, horn, flute …")
    parser.add_argument("--json", action="store_true", help="for scripts")
