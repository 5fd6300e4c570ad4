"""The front door: which commands there are, and what they exit with.

A command's own file is imported only when it is asked for, so that ``--help``
and the screens start at once.  Long, since all commands and options are seen here
beside each other.
"""

from __future__ import annotations

import argparse
import sys
import traceback
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Literal

from coach import __version__
from coach.commands import typed_numbers
from coach.edges.ending import EXIT_INTERRUPTED, fall_silent, interrupt_when_told
from coach.errors import CoachError
from coach.wiring.players import playing_as
from coach.wiring.terminal.terminal_signs import write_what_can_be_written

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]  # noqa: SLF001

ETUDE_HELP = "a file, or the name of a shipped etude (see them all with: coach)"


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    write_what_can_be_written(sys.stdout, sys.stderr)
    arguments = build_parser().parse_args(argv)
    try:
        command = import_module(f"coach.commands.{arguments.command_file}")
        with (
            playing_as(arguments.player, may_be_new=arguments.may_be_new),
            interrupt_when_told(),
        ):
            return int(command.run(arguments))
    except CoachError as error:
        print(f"coach: {error}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return EXIT_INTERRUPTED
    except OSError as error:
        code = fall_silent(error)
        return _say_crash(error) if code is None else code
    except Exception as error:  # noqa: BLE001 — the last line: a player sees a sentence
        return _say_crash(error)


def _say_crash(error: BaseException) -> int:
    """Say in one sentence that the coach is at fault, and keep the details."""
    from coach.config import home

    details = "".join(traceback.format_exception(error))
    path = home() / "crash.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"coach {__version__}\n{details}", encoding="utf-8")
        where = f"The details are in {path}; please report them."
    except OSError:
        where = f"It happened here: {details.splitlines()[-1]}"
    print(f"coach: This is a fault of the coach, not yours. {where}", file=sys.stderr)
    return CoachError.exit_code


def build_parser() -> argparse.ArgumentParser:
    """Describe every command, with an example each."""
    parser = argparse.ArgumentParser(
        prog="coach",
        description="A rehearsal coach for wind players: plan breaths, positions "
        "and articulation, rehearse with a click, keep a log.",
        epilog="Example: coach            opens the shelf of etudes",
    )
    parser.add_argument("--version", action="version", version=f"coach {__version__}")
    parser.set_defaults(
        command_file="screens_command", engraved=None, player=None, may_be_new=False
    )
    _add_player_name(parser)
    _add_engraved(parser)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    _add_rehearse(commands)
    _add_plan(commands)
    _add_listen(commands)
    _add_write(commands)
    _add_import(commands)
    _add_log(commands)
    _add_review(commands)
    _add_today(commands)
    _add_player(commands)
    _add_gear(commands)
    return parser


def _add(
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
    _add_player_name(parser)
    return parser


def _add_player_name(parser: argparse.ArgumentParser) -> None:
    """Add who plays, where several share a laptop."""
    parser.add_argument(
        "--as",
        dest="player",
        metavar="NAME",
        default=argparse.SUPPRESS,
        help="who plays, where several share a laptop",
    )


def _add_etude(
    parser: argparse.ArgumentParser, *, nargs: Literal["?"] | None = None
) -> None:
    """Add what every command with an etude takes."""
    parser.add_argument("etude", metavar="ETUDE", nargs=nargs, help=ETUDE_HELP)
    parser.add_argument("--part", metavar="NAME-OR-NUMBER", help="of several parts")
    parser.add_argument("--instrument", metavar="NAME", help="trombone, horn, flute …")
    parser.add_argument(
        "--transpose",
        metavar="SEMITONES",
        type=typed_numbers.semitones,
        help="-12: an octave lower; remembered with the etude, 0 takes it back",
    )


def _add_stretch(parser: argparse.ArgumentParser) -> None:
    """Add tempo and bars."""
    parser.add_argument(
        "--tempo", metavar="BPM", type=typed_numbers.tempo, help="beats a minute"
    )
    parser.add_argument(
        "--bars", metavar="A-B", type=typed_numbers.bars, help="only these bars"
    )


def _add_way_of_playing(parser: argparse.ArgumentParser) -> None:
    """Add how a run is played."""
    parser.add_argument(
        "--count-in", metavar="BARS", type=typed_numbers.count_or_none, default=1
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


def _add_engraved(parser: argparse.ArgumentParser) -> None:
    """Add how the screens draw notes."""
    parser.add_argument(
        "--engraved",
        choices=("auto", "on", "off"),
        default=argparse.SUPPRESS,
        help="notes as engraved pictures; auto: in terminals known to show them",
    )


def _add_rehearse(commands: Commands) -> None:
    parser = _add(
        commands,
        "rehearse",
        "rehearse an etude at once",
        "coach rehearse long-river --bars 9-16 --tempo 72",
    )
    _add_etude(parser)
    _add_stretch(parser)
    parser.add_argument("--runs", metavar="N", type=typed_numbers.count, default=1)
    _add_way_of_playing(parser)
    parser.add_argument(
        "--plain", action="store_true", help="cues as lines of text, no screen"
    )
    parser.add_argument("--silent", action="store_true", help="make no sound")
    parser.add_argument(
        "--listen",
        action="store_true",
        help="hear the run with the microphone, and propose marks after it",
    )
    _add_engraved(parser)
    parser.add_argument(
        "--fast", action="store_true", help="with --plain: as fast as it can"
    )


def _add_plan(commands: Commands) -> None:
    parser = _add(
        commands,
        "plan",
        "print where to breathe and which positions to take",
        "coach plan long-river --tempo 80 --compare",
    )
    _add_etude(parser)
    _add_stretch(parser)
    parser.add_argument("--json", action="store_true", help="for scripts")
    parser.add_argument(
        "--compare",
        action="store_true",
        help="beside the same phrase tongued throughout in usual positions",
    )
    parser.add_argument(
        "--every-note",
        action="store_true",
        help="leave out no note, even where the air then runs out",
    )
    parser.add_argument(
        "--check",
        action="store_true",
        help="what was read: bars, notes, order, tempo, to compare with the paper; "
        "with --json for scripts",
    )
    parser.add_argument(
        "--reach", action="store_true", help="at which tempo it goes in one breath"
    )


def _add_import(commands: Commands) -> None:
    parser = _add(
        commands,
        "import",
        "put a score file on your shelf of etudes",
        "coach import my-study.musicxml",
    )
    parser.add_argument("file", metavar="FILE", help="MusicXML, MIDI, ABC, kern or MEI")
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


def _add_listen(commands: Commands) -> None:
    parser = _add(
        commands,
        "listen",
        "tell what is heard in a recording of a run",
        "coach listen take.wav long-river --bars 9-16 --tempo 72",
    )
    parser.add_argument(
        "recording", metavar="RECORDING", help="a WAV or FLAC file of one run"
    )
    _add_etude(parser)
    _add_stretch(parser)
    _add_way_of_playing(parser)
    parser.add_argument("--json", action="store_true", help="for scripts")
    parser.add_argument(
        "--log",
        action="store_true",
        help="keep the run in the log, with marks by the microphone",
    )


def _add_write(commands: Commands) -> None:
    parser = _add(
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


def _add_log(commands: Commands) -> None:
    parser = _add(
        commands, "log", "list the runs", "coach log long-river --since 2026-01-31"
    )
    _add_etude(parser, nargs="?")
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
        "as NAME's, which never count for you",
    )
    does.add_argument(
        "--not-me", metavar="RUN", type=int, help="somebody else played this run"
    )
    does.add_argument(
        "--strike", metavar="RUN", type=int, help="let a run count for nothing"
    )
    does.add_argument(
        "--count-again", metavar="RUN", type=int, help="let it count after all"
    )


def _add_review(commands: Commands) -> None:
    parser = _add(
        commands, "review", "tell what the runs say", "coach review long-river"
    )
    _add_etude(parser, nargs="?")
    parser.add_argument(
        "--word",
        metavar="WORDS",
        default="",
        help="of the runs with these words, as rehearse --word has them",
    )
    parser.add_argument("--json", action="store_true", help="for scripts")


def _add_today(commands: Commands) -> None:
    parser = _add(
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


def _add_player(commands: Commands) -> None:
    parser = _add(
        commands,
        "player",
        "show and set the player",
        "coach player --height-cm 172 --age 30 --sex female",
    )
    parser.add_argument("--height-cm", metavar="CM", type=float)
    parser.add_argument("--age", metavar="YEARS", type=float)
    parser.add_argument("--sex", choices=("female", "male"))
    parser.add_argument("--capacity-l", metavar="LITRES", type=float, help="measured")
    parser.add_argument(
        "--long-tone",
        metavar="SECONDS",
        type=float,
        help="how long one tone lasts, mezzo-forte, from one full breath: F3 on a "
        "trombone; 'coach player' names the tone of yours",
    )
    parser.add_argument(
        "--loud-tone",
        metavar="SECONDS",
        type=float,
        help="besides that: how long another lasts, fortissimo: Bb3 on a trombone",
    )
    parser.add_argument(
        "--tongued",
        metavar="SECONDS",
        type=float,
        help="how long sixteenths at 100 last on one full breath, mezzo-forte, each "
        "tongued: D4 and F4 in turn, both in fourth position on a trombone",
    )
    parser.add_argument(
        "--in-twos",
        metavar="SECONDS",
        type=float,
        help="the same with only every second one tongued: what your tongue takes",
    )
    parser.add_argument("--instrument", metavar="NAME", help="trombone, horn, flute …")
    parser.set_defaults(may_be_new=True)
    air = parser.add_mutually_exclusive_group()
    air.add_argument(
        "--pin", metavar="FACTOR", type=float, help="plan for this much of the flow"
    )
    air.add_argument(
        "--learned", action="store_true", help="plan for what the runs have taught"
    )
    air.add_argument(
        "--table", action="store_true", help="plan by table and long tones alone"
    )
    parser.add_argument(
        "--list", action="store_true", help="name all who play at this laptop"
    )
    parser.add_argument(
        "--reset-learning",
        action="store_true",
        help="learn from the runs of now on only; the log keeps all",
    )
    parser.add_argument("--json", action="store_true", help="for scripts")


def _add_gear(commands: Commands) -> None:
    parser = _add(
        commands, "gear", "show ports, sound and microphones", "coach gear --test"
    )
    parser.add_argument("--json", action="store_true", help="for scripts")
    parser.add_argument(
        "--test", action="store_true", help="play ten seconds and tell how late it was"
    )
    parser.add_argument(
        "--calibrate",
        action="store_true",
        help="play clicks, hear them, and keep how late the microphone hears",
    )
    parser.add_argument(
        "--midi-out", metavar="NAME", help="where the click goes; or none"
    )
    parser.add_argument(
        "--midi-in", metavar="NAME", help="the pedal's port; any or none"
    )
    parser.add_argument(
        "--sound",
        choices=("auto", "on", "off"),
        help="the built-in sound; auto: when no MIDI port is open",
    )
    parser.add_argument(
        "--sound-out", metavar="NAME", help="sound device; none for usual"
    )
    parser.add_argument("--microphone", metavar="NAME", help="none for the usual one")
    parser.add_argument(
        "--listen", choices=("on", "off"), help="hear runs from the start"
    )
    parser.add_argument(
        "--keep-takes", choices=("on", "off"), help="keep what was heard as files"
    )
