"""``coach log``: list the runs, take them elsewhere and back, set them aside."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from coach.config import open_whole_or_not, player_name
from coach.errors import CoachError, ScoreError
from coach.plain.run_json import run_as_dict
from coach.plain.run_table import write_table
from coach.plain.safe_json import write_json
from coach.rehearsal.run.run import Run, SetAside
from coach.rehearsal.run.run_words import say_run
from coach.score.plain_text import bare_words
from coach.wiring.log_travel import say_taken_in, take_in_file, tell_log
from coach.wiring.open_rehearsal import open_log, wall_time
from coach.wiring.terminal.terminal_signs import tell

if TYPE_CHECKING:
    from coach.edges.log.edit_rows import SavedEdits
    from coach.edges.log.run_log import RunLogFile
    from coach.score.etude_key import EtudeKey

STANDARD_STREAM = "-"

NUMBERS = "Numbers stand in: coach log"
"""Where to look for a run."""

ASIDES: Mapping[str, tuple[SetAside | None, str]] = {
    "not_me": ("not-me", "was not you: it counts for nothing of yours"),
    "strike": ("struck-out", "is struck out: it counts for nothing"),
    "count_again": (None, "counts again"),
}
"""How a run is set aside by an option, and what is said then."""

WORDS: Mapping[str, tuple[bool, str]] = {
    "clean": (True, "was clean, by your word"),
    "not_clean": (False, "was not clean, by your word"),
}
"""What an option says of a run, and what is said then."""

RUNS_LISTED = 100
"""The newest runs that a player would scroll through; older ones are counted."""


def run(arguments: argparse.Namespace) -> int:
    """List runs as lines, as JSON or in a file; or change what counts."""
    with open_log() as log:
        if arguments.take_in is not None:
            name = arguments.take_in
            path = None if name == STANDARD_STREAM else Path(name)
            counted = take_in_file(log, path, player_name())
            print(say_taken_in(counted, player_name()))
            return 0
        if _change(log, arguments):
            return 0
        runs, older = _chosen(log, arguments)
        if arguments.export is not None:
            _write(
                arguments.export,
                lambda file: file.writelines(
                    f"{one}\n" for one in tell_log(log, runs, _asks_for(log, arguments))
                ),
            )
    if arguments.csv is not None:
        _write(arguments.csv, lambda file: write_table(file, runs))
    if arguments.json:
        print(write_json([run_as_dict(run) for run in runs]))
    elif arguments.csv is None and arguments.export is None:
        lines = [f"{older} older: coach log --all"] if older else []
        lines += [*map(_line, runs), *_say_how_to_say(runs)]
        tell(lines or [_say_none(arguments)])
    return 0


def _chosen(
    log: RunLogFile, arguments: argparse.Namespace
) -> tuple[tuple[Run, ...], int]:
    """List the runs that are asked for, and count the older ones that are not."""
    is_for_file = arguments.csv is not None or arguments.export is not None
    takes_all = arguments.json or is_for_file or arguments.all
    most = None if takes_all or arguments.since else RUNS_LISTED
    return _of_etude(log, arguments, most)


def _of_etude(
    log: RunLogFile, arguments: argparse.Namespace, most: int | None
) -> tuple[tuple[Run, ...], int]:
    """List the newest runs of the etude and player that are named, if any.

    An etude whose file is gone still has runs under its title.
    """
    from coach.edges.log.which_runs import Which

    player = None if arguments.player is None else player_name()
    since = _moment(arguments.since) if arguments.since else None
    try:
        key = _key(log, arguments) if arguments.etude else None
    except ScoreError:
        runs, _ = log.list_of_player(player, Which(None, since), None)
        titled = _titled(runs, arguments.etude)
        if not titled:
            raise
        return titled, 0
    return log.list_of_player(player, Which(key, since), most)


def _asks_for(
    log: RunLogFile, arguments: argparse.Namespace
) -> Callable[[SavedEdits], bool]:
    """Tell which changes of a plan are asked for, of etudes not yet rehearsed too."""
    player = None if arguments.player is None else player_name()
    since = _moment(arguments.since) if arguments.since else None
    try:
        key = _key(log, arguments) if arguments.etude else None
    except ScoreError:
        return lambda _: False

    def is_asked_for(one: SavedEdits) -> bool:
        return (
            player in (None, one.player)
            and key in (None, one.etude)
            and (since is None or datetime.fromisoformat(one.saved) >= since)
        )

    return is_asked_for


def _say_how_to_say(runs: Sequence[Run]) -> Iterator[str]:
    """Say how the newest run gets its word, where it has none."""
    for run in runs[-1:]:
        if run.was_played and run.is_clean is None and not run.set_aside:
            commands = f"coach log --clean {run.id}, or --not-clean {run.id}"
            yield f"To say how it was: {commands}"


def _say_none(arguments: argparse.Namespace) -> str:
    """Say that there are no runs, and why if that can be told."""
    if arguments.since and _moment(arguments.since) > wall_time():
        return f"{arguments.since} is still to come: no runs since then."
    of = "" if arguments.player is None else f" of {player_name()}"
    return f"No runs{of} yet. Rehearse one: coach"


def _change(log: RunLogFile, arguments: argparse.Namespace) -> bool:
    """Set a run aside, let it count again or give it a word, if that is asked for."""
    asked = (
        *((vars(arguments)[name], *how) for name, how in ASIDES.items()),
        *((vars(arguments)[name], *how) for name, how in WORDS.items()),
    )
    for number, what, words in asked:
        if number is None:
            continue
        if not log.has_run(number):
            raise CoachError(f"There is no run {number}.", NUMBERS)
        if not _is_asked_for(log, number, arguments):
            raise CoachError(
                f"Run {number} is another's, or of another etude.", NUMBERS
            )
        if isinstance(what, bool):
            log.say_later(number, is_clean=what)
        else:
            log.set_aside(number, what)
        print(f"Run {number} {words}.")
        return True
    return False


def _is_asked_for(log: RunLogFile, number: int, arguments: argparse.Namespace) -> bool:
    """Tell whether a run is of the etude and the player that were named, if any."""
    if arguments.etude is None and arguments.player is None:
        return True
    runs, _ = _of_etude(log, arguments, None)
    return any(run.id == number for run in runs)


def _titled(runs: Sequence[Run], name: str) -> tuple[Run, ...]:
    """Give the runs of the title that a name is."""
    title = bare_words(name)
    return tuple(run for run in runs if title == bare_words(run.etude) != "")


def _key(log: RunLogFile, arguments: argparse.Namespace) -> EtudeKey:
    """Find the key that runs of an etude are kept under.

    A title of runs whose file is gone is no short name of another etude.
    """
    from coach.edges.log.which_runs import Which
    from coach.score.etude_key import key_of
    from coach.wiring.moved_etudes import open_whole

    try:
        return key_of(open_whole(arguments, is_in_full=True))
    except ScoreError:
        runs, _ = log.list_of_player(None, Which(None, None), None)
        if _titled(runs, arguments.etude):
            raise
    return key_of(open_whole(arguments))


def _moment(date: str) -> datetime:
    """Read a date as its first moment here."""
    try:
        return datetime.fromisoformat(date).astimezone()
    except (ValueError, OverflowError):
        raise CoachError(f"“{date}” is no date.", "Write it as 2026-01-31.") from None


def _line(run: Run) -> str:
    """Write a run as a line: its number, when, and who played if that was another."""
    whose = f"{run.how.player}: " if run.how.player else ""
    aside = f" ({run.set_aside})" if run.set_aside else ""
    when = f"{run.started.astimezone():%Y-%m-%d %H:%M}"
    return f"run {run.id:<4} {when}  {whose}{say_run(run)}{aside}"


def _write(name: str, write: Callable[[TextIO], None]) -> None:
    """Write a file whole or not at all; ``-`` is standard output."""
    if name == STANDARD_STREAM:
        write(sys.stdout)
        return
    path = Path(name)
    if not path.name:
        raise CoachError(f"“{name}” is no name of a file.", "Name another file.")
    try:
        with open_whole_or_not(path) as file:
            write(file)
    except OSError as error:
        raise CoachError(
            f"{path} cannot be written: {error.strerror}.", "Name another file."
        ) from error
