"""Runs that travel between logs, as JSON lines: a line a run, its evidence with it."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from coach.errors import CoachError
from coach.plain.run_json import run_as_dict
from coach.plain.run_reading import run_from_dict

if TYPE_CHECKING:
    from coach.edges.log.log_writing import TakenIn
    from coach.edges.log.run_log import RunLogFile
    from coach.rehearsal.run.evidence import Evidence
    from coach.rehearsal.run.run import Run

KIND = "coach-log"
SCHEMA = 1


def tell_runs(log: RunLogFile, runs: Sequence[Run]) -> Iterator[str]:
    """Write runs as lines: the first says what this is, each other is a run."""
    from coach.edges.log.evidence_rows import evidence_as_dict

    yield json.dumps({"kind": KIND, "schema": SCHEMA})
    for run in runs:
        assert run.id is not None
        evidence = log.read_evidence(run.id)
        told = None if evidence is None else evidence_as_dict(evidence)
        line = {**run_as_dict(run), "kind": "run", "evidence": told}
        del line["id"]  # a number of this log alone
        yield json.dumps(line)


def take_in_file(
    log: RunLogFile, path: Path, player: str
) -> Counter[tuple[str, TakenIn]]:
    """Merge the runs of a file, all or none; those without a name are `player`'s."""
    try:
        with path.open(encoding="utf-8") as file:
            return log.take_in(_read(path, file, player))
    except OSError as error:
        raise CoachError(
            f"{path} cannot be read: {error.strerror}.", "Name another file."
        ) from error
    except UnicodeDecodeError as error:
        _refuse(path, 1, "it is no text", error)


def _read(
    path: Path, lines: Iterator[str], player: str
) -> Iterator[tuple[Run, Evidence | None]]:
    """Read a file line by line."""
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            taken = _read_line(json.loads(line), is_first=number == 1)
        except (
            ValueError,
            KeyError,
            TypeError,
            AttributeError,
            OverflowError,
        ) as error:
            _refuse(path, number, str(error), error)
        except RecursionError as error:
            _refuse(path, number, "it is too deep", error)
        if taken is None:
            continue
        run, evidence = taken
        if not run.how.player:
            run = replace(run, how=replace(run.how, player=player))
        yield run, evidence


def _read_line(
    told: dict[str, Any], *, is_first: bool
) -> tuple[Run, Evidence | None] | None:
    """Read a run; None where a line tells of something else, as a later coach may."""
    from coach.edges.log.evidence_rows import evidence_from_dict

    if is_first and told.get("kind") != KIND:
        raise ValueError("the first line is not that of a log")
    if told.get("kind") != "run":
        return None
    evidence = told.get("evidence")
    kept = None if evidence is None else evidence_from_dict(evidence)
    return run_from_dict(told), kept


def _refuse(path: Path, number: int, why: str, error: Exception) -> NoReturn:
    """Say which line is no run."""
    raise CoachError(
        f"{path}, line {number}, is no run that the coach can read ({why}); "
        "nothing was taken in.",
        "Export the log again: coach log --export FILE",
    ) from error


def say_taken_in(counted: Counter[tuple[str, TakenIn]], player: str) -> str:
    """Say how many runs were taken in, and whose they are."""
    fresh: Counter[str] = Counter()
    for (whose, taken), runs in counted.items():
        if taken != "known":
            fresh[whose] += runs
    known = counted.total() - fresh.total()
    told = ", ".join(
        f"{runs} of {_name(whose, player)}" for whose, runs in sorted(fresh.items())
    )
    here = f"{known} {'was' if known == 1 else 'were'} here already"
    return f"Taken in: {told or 'nothing'}; {here}."


def _name(whose: str, player: str) -> str:
    """Say whose runs these are."""
    return "yours" if whose == player else whose
