"""What ``coach review`` takes."""

from __future__ import annotations

from coach.command_line.shared_options import Commands, add_command, add_etude


def add_review(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands, "review", "tell what the runs say", "coach review long-river"
    )
    add_etude(parser, nargs="?")
    parser.add_argument(
        "--word",
        metavar="WORDS",
        default="",
        help="of the runs with these words, as rehearse --word has them",
    )
    parser.add_argument("--json", action="store_true", help="for scripts")
