"""``coach review``: tell what the runs of an etude say, or of all that were played."""

from __future__ import annotations

import argparse

from coach.config import player_name
from coach.plain.review_lines import review_line, review_lines
from coach.plain.run_json import review_as_dict
from coach.plain.safe_json import write_json
from coach.plain.today_lines import today_as_dict, today_lines
from coach.rehearsal.review.etude_tally import Tallies
from coach.wiring.moved_etudes import open_whole
from coach.wiring.open_rehearsal import open_log, open_rehearsal, wall_time, wishes_of
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.terminal.terminal_signs import tell
from coach.wiring.who_plays.other_players import say_others


def run(arguments: argparse.Namespace) -> int:
    """Print the review."""
    if arguments.etude is None:
        return _review_all(arguments)
    part = open_whole(arguments)
    with open_log() as log:
        planner = PlayerPlanner(arguments.instrument, log)
        here = open_rehearsal(part, planner, log, wishes_of(part, arguments))
        what = here.review(planner.air.estimate)
        ways = log.list_other_ways(here.etude, here.like)
        others = say_others(log, "review")
    if arguments.json:
        print(write_json(review_as_dict(what, ways)))
    else:
        tell(review_lines(what, planner.air.planned.says, ways))
        tell(filter(None, [others]))
    return 0


def _review_all(arguments: argparse.Namespace) -> int:
    """Print a line for each etude that was played, and what to play today."""
    from coach.wiring.todays_work import plan_today, review_all

    with open_log() as log:
        planner = PlayerPlanner(arguments.instrument, log)
        reviews = list(review_all(log, planner))
        today = plan_today(log, planner, wall_time(), None)
        has_others = log.tally(player_name()) != Tallies()
        others = say_others(log, "review")
    if arguments.json:
        etudes = [review_as_dict(what, ()) for what in reviews]
        told = {"schema": 1, "etudes": etudes, "today": today_as_dict(today)}
        print(write_json(told))
        return 0
    lines = [review_line(what) for what in reviews if what.runs]
    if not lines:
        lines = ["No runs of what is on the shelf." if has_others else "No runs yet."]
    lines += filter(None, [planner.air.estimate.says, others])
    tell([*lines, "", *today_lines(today, player_name())])
    return 0
