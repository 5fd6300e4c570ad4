"""What ``coach plan`` takes."""

from __future__ import annotations

from coach.command_line.shared_options import (
    Commands,
    add_command,
    add_etude,
    add_every_note,
    add_stretch,
)


def add_plan(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "plan",
        "print where to breathe, how the air goes, and what arm and tongue do",
        "coach plan long-river --tempo 80 --compare",
    )
    add_etude(parser)
    add_stretch(parser)
    parser.add_argument(
        "--json", action="store_true", help="for scripts, with each note's position"
    )
    parser.add_argument(
        "--compare",
        action="store_true",
        help="beside the same phrase tongued throughout in usual positions",
    )
    add_every_note(parser)
    parser.add_argument(
        "--check",
        action="store_true",
        help="what was read: bars, notes, order, tempo, to compare with the paper; "
        "with --json for scripts",
    )
    parser.add_argument(
        "--reach", action="store_true", help="at which tempo it goes in one breath"
    )
