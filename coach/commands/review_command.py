"""``coach review``: tell what the runs of an etude say."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from coach.plain.run_json import review_as_dict
from coach.plain.safe_json import write_json
from coach.planning.naming import say_bars, say_count, say_place
from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.review import Review
from coach.wiring.open_rehearsal import open_log, open_rehearsal, wishes_of
from coach.wiring.player_planner import PlayerPlanner, open_whole


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
    if what.best is None:
        yield f"No clean run yet; goal {what.goal_bpm:g}"
    else:
        best = what.best
        bars = say_bars(best.from_bar, best.to_bar)
        segment = "the whole" if best.is_whole else bars
        yield f"Best clean: {segment} at {best.clean_bpm:g}; goal {what.goal_bpm:g}"
    for spot in what.trouble:
        told = ", ".join(
            f"{kind.words} {times}" for kind, times in spot.times.items() if times
        )
        where, runs = say_place(spot.bar, spot.beat), say_count(spot.runs, "run")
        yield f"  {where}: {told}, in {runs}"
    yield what.air.says
    yield made_for
    for advice in what.next:
        yield f"Next: {_say_stretch(advice)}{advice.why}"


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
