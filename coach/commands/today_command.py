"""``coach today``: what to play in the minutes that there are, with rests."""

from __future__ import annotations

import argparse

from coach.config import player_name
from coach.plain.safe_json import write_json
from coach.plain.today_lines import today_as_dict, today_lines
from coach.wiring.open_rehearsal import open_log, wall_time
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.terminal.terminal_signs import tell
from coach.wiring.todays_work import plan_today
from coach.wiring.who_plays.other_players import say_others


def run(arguments: argparse.Namespace) -> int:
    """Print what to play."""
    with open_log(to_play=True) as log:
        planner = PlayerPlanner(arguments.instrument, log)
        today = plan_today(log, planner, wall_time(), arguments.minutes)
        others = say_others(log, "today")
    if arguments.json:
        print(write_json(today_as_dict(today)))
    else:
        tell([*today_lines(today, player_name()), *filter(None, [others])])
    return 0
