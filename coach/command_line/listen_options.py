"""What ``coach listen`` takes."""

from __future__ import annotations

from coach.command_line.shared_options import (
    Commands,
    add_command,
    add_etude,
    add_stretch,
    add_way_of_playing,
)


def add_listen(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "listen",
        "tell what is heard in a recording of a run",
        "coach listen take.wav long-river --bars 9-16 --tempo 72",
    )
    parser.add_argument(
        "recording", metavar="RECORDING", help="a WAV or FLAC file of one run"
    )
    add_etude(parser)
    add_stretch(parser)
    add_way_of_playing(parser)
    parser.add_argument("--json", action="store_true", help="for scripts")
    parser.add_argument(
        "--log",
        action="store_true",
        help="keep the run in the log, with marks by the microphone",
    )
