"""``coach rehearse``: rehearse an etude at once, on screen or in lines of text."""

from __future__ import annotations

import argparse
import sys

from coach.edges.scores.etude_shelf import list_etudes
from coach.edges.scores.other_places import keep_place
from coach.edges.system_clock import SystemClock
from coach.errors import CoachError
from coach.planning.naming import say_count
from coach.rehearsal.gear.gear import Clock, ManualClock
from coach.rehearsal.outside import Outside
from coach.score.segment import find_bars
from coach.wiring.moved_etudes import open_whole
from coach.wiring.open_rehearsal import (
    open_conductor,
    open_ear,
    open_log,
    open_player,
    wall_time,
    wishes_of,
)
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.terminal.terminal_signs import tell


def run(arguments: argparse.Namespace) -> int:
    """Rehearse in lines of text with ``--plain``, else on screen."""
    keep_place(arguments.etude, list_etudes())
    if arguments.plain:
        return _run_plain(arguments)
    if arguments.fast:
        raise CoachError(
            "--fast plays through without a screen.", "Say --plain --fast."
        )
    from coach.commands.screens_command import show_screens

    return show_screens(arguments)


def _run_plain(arguments: argparse.Namespace) -> int:
    """Rehearse in lines of text."""
    from coach.plain.piped_answers import PipedWords
    from coach.plain.plain_rehearsal import rehearse_plain

    part = open_whole(arguments)
    wishes = wishes_of(part, arguments)
    find_bars(part, wishes.from_bar, wishes.to_bar)
    clock: Clock = ManualClock() if arguments.fast else SystemClock()
    is_silent = arguments.silent or arguments.fast
    is_at_keyboard = sys.stdin is not None and sys.stdin.isatty()
    is_attended = is_at_keyboard and not arguments.fast
    player = open_player(clock, is_silent=is_silent)
    ear = open_ear(player)
    try:
        with open_log(to_play=True) as log:
            conductor = open_conductor(
                part,
                PlayerPlanner(arguments.instrument, log),
                Outside(player, log, clock, wall_time, ear),
                wishes,
                is_attended=is_attended,
            )
            conductor.begin_as_advised()
            piped = PipedWords(sys.stdin)
            ask = input if is_attended else piped
            code = rehearse_plain(conductor, player, clock, _say, ask)
            if piped.left:
                more = say_count(piped.left, "more run")
                _say(f"Words for {more} were piped in; not kept.")
            return code
    finally:
        ear.close()
        player.close()


def _say(line: str) -> None:
    """Write a line so that it is read at once."""
    tell([line])
