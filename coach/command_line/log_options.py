"""What ``coach log`` takes."""

from __future__ import annotations

from coach.command_line import typed_numbers
from coach.command_line.shared_options import Commands, add_command, add_etude

OF_A_RUN = {
    "--not-me": "somebody else played this run",
    "--clean": "this run was clean, whatever was said of it before",
    "--not-clean": "this run was not clean",
    "--strike": "let a run count for nothing",
    "--count-again": "let it count after all",
}
"""What can be said of a run that is over, by its number."""


def add_log(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands, "log", "list the runs", "coach log long-river --since 2026-01-31"
    )
    add_etude(parser, nargs="?")
    parser.add_argument("--json", action="store_true", help="for scripts")
    parser.add_argument("--csv", metavar="FILE", help="write a table; - to the screen")
    parser.add_argument("--since", metavar="DATE", help="as 2026-01-31")
    parser.add_argument(
        "--all", action="store_true", help="in lines too, not only the newest 100"
    )
    parser.set_defaults(may_be_new=True)
    does = parser.add_mutually_exclusive_group()
    does.add_argument(
        "--export", metavar="FILE", help="write runs to take elsewhere, as JSON lines"
    )
    does.add_argument(
        "--import",
        dest="take_in",
        metavar="FILE",
        help="take in runs of another laptop as yours, none twice; with --as NAME "
        "as NAME's, which never count for you; - is standard input",
    )
    for option, what in OF_A_RUN.items():
        does.add_argument(option, metavar="RUN", type=typed_numbers.run, help=what)
