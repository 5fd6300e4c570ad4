"""What several commands take: who plays, which etude, which bars, and how."""

from __future__ import annotations

import argparse
from typing import Literal, TypeAlias

from coach.command_line import typed_numbers

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"  # noqa: SLF001

ETUDE_HELP = "a file, or the name or title of one on your shelf (see it with: coach)"


def add_command(
    commands: Commands, name: str, about: str, example: str
) -> argparse.ArgumentParser:
    """Add one command; its file is named after it."""
    parser = commands.add_parser(
        name,
        help=about,
        description=f"{about[0].upper()}{about[1:]}.",
        epilog=f"Example: {example}",
    )
    parser.set_defaults(command_file=f"{name}_command")
    add_player_name(parser)
    return parser


def add_player_name(parser: argparse.ArgumentParser) -> None:
    """Add who plays, where several share a laptop."""
    parser.add_argument(
        "--as",
        dest="player",
        metavar="NAME",
        default=argparse.SUPPRESS,
        help="who plays, where several share a laptop",
    )


def add_etude(
    parser: argparse.ArgumentParser, *, nargs: Literal["?"] | None = None
) -> None:
    """Add what every command with an etude takes."""
    parser.add_argument("etude", metavar="ETUDE", nargs=nargs, help=ETUDE_HELP)
    add_part(parser)
    parser.add_argument("--instrument", metavar="NAME", help="trombone, horn, flute …")
    parser.add_argument(
        "--transpose",
        metavar="SEMITONES",
        type=typed_numbers.semitones,
        help="-12: an octave lower; remembered with the etude, 0 takes it back",
    )


def add_every_note(parser: argparse.ArgumentParser) -> None:
    """Add that no note may be left out for a breath."""
    parser.add_argument(
        "--every-note",
        action="store_true",
        help="leave out no note, even where the air then runs out",
    )


def add_part(parser: argparse.ArgumentParser) -> None:
    """Add which of several parts is meant."""
    parser.add_argument(
        "--part",
        metavar="NAME-OR-NUMBER",
        help="of several parts, voices of a staff, or tunes of a book",
    )


def add_stretch(parser: argparse.ArgumentParser) -> None:
    """Add tempo and bars."""
    parser.add_argument(
        "--tempo", metavar="BPM", type=typed_numbers.tempo, help="beats a minute"
    )
    parser.add_argument(
        "--bars",
        metavar="A-B",
        type=typed_numbers.bars,
        help="only these bars: 9-16, 9 alone, or 9- up to the last",
    )


def add_way_of_playing(parser: argparse.ArgumentParser) -> None:
    """Add how a run is played."""
    parser.add_argument(
        "--count-in",
        metavar="BARS",
        type=typed_numbers.count_or_none,
        default=1,
        help="bars that are counted before the first note; 1 if left out",
    )
    parser.add_argument(
        "--room",
        choices=("half", "beat"),
        help="put a beat of rest at each breath, or half of one; the click goes on",
    )
    parser.add_argument(
        "--word",
        metavar="WORDS",
        default="",
        help="what is out of the ordinary, as 'straight mute': such runs are held "
        "against each other alone, and nothing is learned from them",
    )


def add_engraved(parser: argparse.ArgumentParser) -> None:
    """Add how the screens draw notes."""
    parser.add_argument(
        "--engraved",
        choices=("auto", "on", "off"),
        default=argparse.SUPPRESS,
        help="notes as engraved pictures; auto: in terminals known to show them",
    )
