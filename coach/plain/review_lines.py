"""What the runs say, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from coach.planning.naming import say_bars, say_count
from coach.rehearsal.review.advice import Advice, say_played
from coach.rehearsal.review.marked import say_spots
from coach.rehearsal.review.progress import Best, DayOfPlaying
from coach.rehearsal.review.review import Review
from coach.rehearsal.run.playing import Like

PLACES_NAMED = 5
"""Places that are named though too little is known of them."""

DAYS_TOLD = 7
"""The last days of playing that are told of."""

Ways = Sequence[tuple[Like, int]]
"""Ways in which an etude was played, and how many runs there are of each."""


def review_lines(what: Review, made_for: str, ways: Ways) -> Iterator[str]:
    """Write a review out.

    Parameters
    ----------
    made_for : str
        For whose air plans are made, in a sentence.
    ways : sequence of (Like, int)
        Runs of the etude that are not held against these.
    """
    yield f"{what.etude}: {_say_runs(what.runs, what.attended)}"
    yield from say_ways(ways)
    yield _say_best(what)
    part = what.best_part
    if what.best is not None and what.best.is_whole and part is not None:
        yield f"Best clean part: {_say_part(part)}"
    if what.trouble:
        yield "Where it goes wrong more often than by chance:"
        for spot in what.trouble:
            yield f"  {spot.says}"
    elif what.is_too_little:
        places = "; ".join(say_spots(what.marked)[:PLACES_NAMED])
        yield f"Marked, but too little to tell from chance: {places}"
    for kind in what.rushed:
        yield kind.says
    for bars in what.sounded:
        yield bars.says
    if what.evenness is not None:
        yield what.evenness.says
    for day in what.days[-DAYS_TOLD:]:
        yield f"  {_say_day(day)}"
    yield what.air.says
    yield made_for
    yield say_next(what.next)


def review_line(what: Review) -> str:
    """Write a review out in one line: best, worst, next."""
    best = _say_best(what)
    told = [f"{what.etude}: {_say_runs(what.runs, what.attended)}"]
    told.append(best[0].lower() + best[1:])
    told += [spot.says for spot in what.trouble[:1]]
    return "; ".join(told)


def say_ways(ways: Ways) -> Iterator[str]:
    """Say which runs are held against their like alone; nothing where there are none.

    Examples
    --------
    >>> list(say_ways([(Like("", "horn-f", "", -1.0), 2)]))
    ['Beside these, held against their like alone: 2 runs (horn-f, louder by -1)']
    """
    if not ways:
        return
    told = ", ".join(
        f"{say_count(runs, 'run')} ({_say_way(way)})" for way, runs in ways
    )
    yield f"Beside these, held against their like alone: {told}"


def _say_way(way: Like) -> str:
    """Say in what a way of playing differs from the one that is told of."""
    words = [way.word, way.instrument]
    if way.dynamic_shift:
        words.append(f"louder by {way.dynamic_shift:g}")
    if way.guide:
        words.append("line sounding")
    return ", ".join(filter(None, words)) or "as written"


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


def say_next(advice: Advice) -> str:
    """Say which bars to play next, how fast and why; why alone where it is to rest."""
    stretch = "" if advice.kind == "rest" else f"{advice.what}. "
    return f"Next: {stretch}{advice.says}"


def _say_runs(runs: int, attended: int) -> str:
    """Say how many runs there were, and of how many nothing is known."""
    counted = say_count(runs, "run")
    alone = runs - attended
    if not alone:
        return counted
    return f"{counted}, {alone} with no word on {'it' if alone == 1 else 'them'}"
