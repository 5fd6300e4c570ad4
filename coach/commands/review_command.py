"""``coach review``: tell what the runs of an etude say."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from coach.plain.run_json import review_as_dict
from coach.plain.safe_json import write_json
from coach.planning.naming import say_bars, say_count, say_place
from coach.rehearsal.review.advice import Advice, say_played
from coach.rehearsal.review.progress import Best, DayOfPlaying
from coach.rehearsal.review.review import Review
from coach.wiring.open_rehearsal import open_log, open_rehearsal, wishes_of
from coach.wiring.player_planner import PlayerPlanner, open_whole

PLACES_NAMED = 5
"""Places that are named though too little is known of them."""

DAYS_TOLD = 7
"""The last days of playing that are told of."""


def run(arguments: argparse.Namespace) -> int:
    """Print the review."""
    part = open_whole(arguments)
    with open_log() as log:
        planner = PlayerPlanner(arguments.instrument, log)
        here = open_rehearsal(part, planner, log, wishes_of(part))
        what = here.review(planner.air.estimate)
    if arguments.json:
        print(write_json(review_as_dict(what)))
    else:
        print("\n".join(_lines(what, planner.air.planned.says)))
    return 0


def _lines(what: Review, made_for: str) -> Iterator[str]:
    """Write a review out, with what plans are made for."""
    yield f"{what.etude}: {_say_runs(what.runs, what.attended)}"
    yield _say_best(what)
    part = what.best_part
    if what.best is not None and what.best.is_whole and part is not None:
        yield f"Best clean part: {_say_part(part)}"
    if what.trouble:
        yield "Where it goes wrong more often than by chance:"
        for spot in what.trouble:
            yield f"  {spot.says}"
    elif what.is_too_little:
        places = ", ".join(
            say_place(spot.bar, spot.beat) for spot in what.marked[:PLACES_NAMED]
        )
        yield f"Marked, but too little to tell from chance: {places}"
    for day in what.days[-DAYS_TOLD:]:
        yield f"  {_say_day(day)}"
    yield what.air.says
    yield made_for
    yield f"Next: {_say_stretch(what.next)}{what.next.why}"


def _say_best(what: Review) -> str:
    """Say the best clean run: of the whole, or of which part of it."""
    best, goal = what.best, f"goal {what.goal_bpm:g}"
    if best is None:
        return f"No clean run yet; {goal}"
    if best.is_whole:
        return f"Best clean: the whole at {best.clean_bpm:g}; {goal}"
    return f"Best clean: {_say_part(best)}, not yet the whole; {goal}"


def _say_part(best: Best) -> str:
    """Say a part and its tempo."""
    return f"{say_bars(best.from_bar, best.to_bar)} at {best.clean_bpm:g}"


def _say_day(day: DayOfPlaying) -> str:
    """Say how long was played on a day, and what was clean."""
    words = [f"{day.day.isoformat()}: {say_count(day.runs, 'run')}"]
    words.append(say_played(day.played_s, day.loud_s))
    if day.whole is not None:
        words.append(f"the whole clean at {day.whole.clean_bpm:g}")
    if day.part is not None:
        words.append(f"{_say_part(day.part)} clean")
    return ", ".join(words)


def _say_stretch(advice: Advice) -> str:
    """Say which bars to play and how fast; nothing where it is not to play."""
    if advice.kind == "rest":
        return ""
    return f"{say_bars(advice.from_bar, advice.to_bar)} at {advice.bpm:g}. "


def _say_runs(runs: int, attended: int) -> str:
    """Say how many runs there were, and of how many nothing is known."""
    counted = say_count(runs, "run")
    alone = runs - attended
    if not alone:
        return counted
    return f"{counted}, {alone} with no word on {'it' if alone == 1 else 'them'}"
