"""What ``coach rehearse`` takes."""

from __future__ import annotations

from coach.command_line import typed_numbers
from coach.command_line.shared_options import (
    Commands,
    add_command,
    add_engraved,
    add_etude,
    add_stretch,
    add_way_of_playing,
)


def add_rehearse(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "rehearse",
        "rehearse an etude at once",
        "coach rehearse long-river --bars 9-16 --tempo 72",
    )
    add_etude(parser)
    add_stretch(parser)
    parser.add_argument(
        "--runs",
        metavar="N",
        type=typed_numbers.count,
        default=1,
        help="so many runs in a row; 1 if left out",
    )
    add_way_of_playing(parser)
    parser.add_argument(
        "--from-end",
        action="store_true",
        help="join parts from the end of the page to its beginning, the last one first",
    )
    parser.add_argument(
        "--plain", action="store_true", help="cues as lines of text, no screen"
    )
    parser.add_argument("--silent", action="store_true", help="make no sound")
    parser.add_argument(
        "--listen",
        action="store_true",
        help="hear the run with the microphone, and propose marks after it",
    )
    parser.add_argument(
        "--start-by",
        choices=("note", "knock", "off"),
        help="with the microphone on: hold a note for a second, or knock twice",
    )
    add_engraved(parser)
    parser.add_argument(
        "--fast", action="store_true", help="with --plain: as fast as it can"
    )
