"""``coach import``: put a score file on the player's shelf."""

from __future__ import annotations

import argparse
from pathlib import Path

from coach.config import player_name
from coach.errors import CoachError
from coach.plain.check_table import check_lines
from coach.planning.naming import say_count
from coach.planning.page_words import page_words
from coach.score.plain_text import as_player, copied
from coach.screens.shelf.shelf_needs import Twin
from coach.wiring.moved_etudes import open_moved
from coach.wiring.open_rehearsal import open_log
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.taking_in import find_twin, is_there, put_on_shelf
from coach.wiring.terminal.terminal_signs import tell


def run(arguments: argparse.Namespace) -> int:
    """Put a score on the shelf, and say what was read of it."""
    path = Path(arguments.file).expanduser()
    twin = _twin_of(path, arguments.part, is_apart=arguments.apart)
    is_asked = arguments.apart or arguments.replace
    if twin is not None and twin.shares_runs and not is_asked:
        raise _twin_found(twin)
    if twin is not None and arguments.replace and not twin.may_go:
        raise CoachError(
            f"“{twin.title}” came with the coach and stays on the shelf.",
            "Use --apart to keep yours beside it.",
        )
    was_there = twin is None and is_there(path)
    kept = put_on_shelf(
        path,
        replaces=twin.path if twin and arguments.replace else "",
        title=twin.other_title if twin and arguments.apart else "",
        part=arguments.part,
    )
    part = open_moved(kept)
    stands = "was on the shelf already" if was_there else "is on the shelf"
    begins = copied("rehearse", kept.stem, as_player(player_name()))
    ready = f"“{part.title}” {stands}: {begins}"
    beside = [_beside(twin)] if twin and not is_asked else []
    words = page_words(part, PlayerPlanner(None).instrument)
    tell([*check_lines(part, words), *beside, ready])
    return 0


def _twin_of(path: Path, part: str | None, *, is_apart: bool) -> Twin | None:
    """Find the etude that it would be taken for."""
    with open_log() as log:
        tallies = log.tally(player_name())
        return find_twin(path, tallies, part, is_apart=is_apart)


def _beside(twin: Twin) -> str:
    """Say that another etude of its title stays on the shelf."""
    file, runs = Path(twin.path).name, say_count(twin.runs, "run")
    return (
        f"Another “{twin.title}” is on the shelf ({file}, {runs}), with other bars, "
        "metres or key: each has runs of its own. If this is the same, mended, throw "
        "the other away (d on the shelf)."
    )


def _twin_found(twin: Twin) -> CoachError:
    """Say that the shelf has it, and what can be done."""
    runs = say_count(twin.runs, "run")
    ways = f"Use --apart to keep it apart as “{twin.other_title}”"
    if twin.may_go:
        ways += ", or --replace to put it in that one's place"
    file = Path(twin.path).name
    return CoachError(
        f"“{twin.title}” is on the shelf already ({file}), with {runs}.",
        f"{ways}.",
    )
