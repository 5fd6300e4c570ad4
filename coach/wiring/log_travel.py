"""A log that travels, as JSON lines: a line a run, its evidence with it, then edits."""

from __future__ import annotations

import json
import os
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from coach.errors import CoachError
from coach.plain.run_json import run_as_dict
from coach.plain.run_reading import run_from_dict
from coach.planning.naming import say_count
from coach.wiring.who_plays.players import is_players_name

if TYPE_CHECKING:
    from coach.edges.log.edit_rows import SavedEdits
    from coach.edges.log.log_writing import TakenIn
    from coach.edges.log.run_log import RunLogFile, Travelled
    from coach.rehearsal.run.evidence import Evidence
    from coach.rehearsal.run.run import Run

KIND = "coach-log"
RUN = "run"
EDITS = "edits"
SCHEMA = 1

LONGEST_LINE = 1 << 24
"""In characters: a run of thousands of notes takes a hundredth of it.  What has longer
lines is no log, and might not fit into memory."""


def tell_log(
    log: RunLogFile, runs: Sequence[Run], is_asked_for: Callable[[SavedEdits], bool]
) -> Iterator[str]:
    """Write runs as lines, and what their players insist on in those etudes.

    The first line says what this is; each other is a run, or the edits of an etude.

    Parameters
    ----------
    is_asked_for : callable
        Tells which edits go along though no run of their etude does.
    """
    from coach.edges.log.edit_rows import edits_as_dict
    from coach.edges.log.evidence_rows import evidence_as_dict

    yield json.dumps({"kind": KIND, "schema": SCHEMA})
    told = set()
    for run in runs:
        assert run.id is not None
        evidence = log.read_evidence(run.id)
        asked = None if evidence is None else evidence_as_dict(evidence)
        line = {**run_as_dict(run), "kind": RUN, "evidence": asked}
        del line["id"]  # a number of this log alone
        told.add((run.etude_key, run.how.player))
        yield json.dumps(line)
    for one in log.list_newest_edits():
        if (one.etude.fingerprint, one.player) in told or is_asked_for(one):
            yield json.dumps(
                {
                    "kind": EDITS,
                    "etude": one.etude.title,
                    "etude_key": one.etude.fingerprint,
                    "player": one.player,
                    "saved": one.saved,
                    "wishes": edits_as_dict(one.edits),
                }
            )


def take_in_file(
    log: RunLogFile, path: Path | None, player: str
) -> Counter[tuple[str, TakenIn]]:
    """Merge what a file tells, all or nothing; what has no name is `player`'s.

    Without a file it is standard input.
    """
    left_out: Counter[tuple[str, TakenIn]] = Counter()
    what = "Standard input" if path is None else str(path)
    if path is None and sys.stdin is None:  # Python's way when it is closed
        raise CoachError(f"{what} is closed.", "Name a file.")
    try:
        # It stays open when it has been read.
        source = os.dup(sys.stdin.fileno()) if path is None else path
        # Some editors put a mark before the first sign when they save.
        with open(source, encoding="utf-8-sig") as file:  # noqa: PTH123 - or a number
            lines = iter(lambda: file.readline(LONGEST_LINE), "")
            return log.take_in(_read(what, lines, player, left_out)) + left_out
    except OSError as error:
        raise CoachError(
            f"{what} cannot be read: {error.strerror}.", "Name another file."
        ) from error
    except UnicodeDecodeError as error:
        _refuse(what, 1, error)


def _read(
    path: str,
    lines: Iterator[str],
    player: str,
    left_out: Counter[tuple[str, TakenIn]],
) -> Iterator[Travelled]:
    """Read a file line by line, and count what only a newer coach knows."""
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            taken = _read_line(line, player, is_first=number == 1)
        except (ValueError, TypeError) as error:
            _refuse(path, number, error)
        if taken is not None:
            yield taken
        elif number > 1:
            left_out[player, "left out"] += 1


def _read_line(line: str, player: str, *, is_first: bool) -> Travelled | None:
    """Read a line; None where it tells of something else, as a later coach may."""
    with _saying("it is no line of a log"):
        told = json.loads(line)
        kind = told.get("kind")
    if is_first and kind != KIND:
        raise ValueError("a log begins otherwise")
    if kind == RUN:
        return _read_run(told, player)
    if kind == EDITS:
        with _saying("what is insisted on makes no sense"):
            return _read_edits(told, player)
    return None


@contextmanager
def _saying(why: str) -> Iterator[None]:
    """Say in these words whatever is wrong with values that nobody can be sure of."""
    try:
        yield
    except (
        ValueError,
        KeyError,
        TypeError,
        AttributeError,
        OverflowError,
        RecursionError,
    ) as error:
        raise ValueError(why) from error


def _read_run(told: dict[str, Any], player: str) -> tuple[Run, Evidence | None]:
    """Read a run, and what it asked of the lungs."""
    from coach.edges.log.evidence_rows import evidence_from_dict

    run = run_from_dict(told)
    if run.how.player and not is_players_name(run.how.player):
        raise ValueError("player is nobody's name")
    how = replace(run.how, player=run.how.player or player)
    evidence = told.get("evidence")
    with _saying("what it asked of the lungs makes no sense"):
        kept = None if evidence is None else evidence_from_dict(evidence)
    return replace(run, how=how), kept


def _read_edits(told: dict[str, Any], player: str) -> SavedEdits:
    """Read what a player insists on in an etude."""
    from coach.edges.log.edit_rows import SavedEdits, edits_from_dict
    from coach.score.etude_key import EtudeKey

    words = [str(told[name]) for name in ("etude", "etude_key", "player")]
    return SavedEdits(
        etude=EtudeKey(words[0], words[1]),
        player=words[2] or player,
        saved=datetime.fromisoformat(told["saved"]).astimezone(UTC).isoformat(),
        edits=edits_from_dict(told["wishes"]),
    )


def _refuse(path: str, number: int, error: Exception) -> NoReturn:
    """Say which line the coach has not written, or that the file is no log at all."""
    what = f"{path}, line {number}, is not as the coach writes it ({error})"
    if number == 1:
        what = f"{path} is no log that the coach has exported"
    raise CoachError(
        f"{what}; nothing was taken in.",
        "Export the log again: coach log --export FILE",
    ) from error


def say_taken_in(counted: Counter[tuple[str, TakenIn]], player: str) -> str:
    """Say how much was taken in, and whose it is."""
    fresh: Counter[str] = Counter()
    edits = known = left_out = 0
    for (whose, taken), times in counted.items():
        if taken in ("new", "went on"):
            fresh[whose] += times
        known += times * (taken == "known")
        edits += times * (taken == "edits")
        left_out += times * (taken == "left out")
    words = [
        f"{runs} of {_name(whose, player)}" for whose, runs in sorted(fresh.items())
    ]
    if edits:
        words.append(f"what was insisted on in {say_count(edits, 'etude')}")
    here = f"{known} {'was' if known == 1 else 'were'} here already"
    says = f"Taken in: {', '.join(words) or 'nothing'}; {here}."
    if left_out:
        says += f" {say_count(left_out, 'line')} of a newer coach left out."
    return says


def _name(whose: str, player: str) -> str:
    """Say whose runs these are."""
    return "yours" if whose == player else whose
