"""The order of a day: warmed up first, etudes in turn, rests, one played through last.

Conventions
-----------
Times are in seconds from now.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from coach.rehearsal.ahead.today import PlayedToday, Today, TodaySettings, Turn, Work
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.score.tempo import SECONDS_PER_MINUTE


def lay_today(
    works: Sequence[Work],
    so_far: PlayedToday,
    minutes: float,
    settings: TodaySettings,
    ladder: LadderSettings,
    not_on_shelf: tuple[str, ...] = (),
) -> Today:
    """Lay out what to play.

    Parameters
    ----------
    works : sequence of Work
        In the order in which they are to come; what is to rest is left out of turns.
    so_far : PlayedToday
        What was played already.
    minutes : float
        Time that there is.
    """
    open_works = [work for work in works if work.advice.kind != "rest"]
    left_s = minutes * SECONDS_PER_MINUTE
    turns = tuple(_turns(open_works, so_far, left_s, settings, ladder))
    return Today(
        minutes=minutes,
        so_far=so_far,
        turns=turns,
        done=tuple(work for work in works if work.advice.kind == "rest"),
        is_loud=(so_far.loud_s or 0.0) > settings.loud_s,
        is_full=_is_full(open_works, so_far, turns, settings),
        is_bare=not works,
        not_on_shelf=not_on_shelf,
    )


def _is_full(
    works: Sequence[Work],
    so_far: PlayedToday,
    turns: Sequence[Turn],
    settings: TodaySettings,
) -> bool:
    """Tell whether not even the shortest run would go into the day any more."""
    if not works:
        return False
    played_s = sum(turn.lasts_s for turn in turns if turn.kind != "rest")
    next_s = min(work.run_s for work in works) + settings.between_runs_s
    next_s = max(next_s, settings.least_turn_s)
    return so_far.played_s + played_s + next_s > settings.most_played_s


def _turns(
    works: Sequence[Work],
    so_far: PlayedToday,
    left_s: float,
    settings: TodaySettings,
    ladder: LadderSettings,
) -> Iterator[Turn]:
    """Give turn after turn: warmed up first, rests, one etude played through at last.

    Nothing where no run fits.
    """
    warm_up_s = 0.0
    if not so_far.runs:
        share_s = left_s * settings.warm_up_share
        warm_up_s = min(settings.warm_up_s, max(settings.least_turn_s, share_s))
    begun_s = warm_up_s, so_far.since_rest_s + warm_up_s
    last = _to_play_through(works, left_s, settings)
    last_s = 0.0
    if last is not None:
        last_s = max(settings.least_turn_s, last.whole_s + settings.between_runs_s)
    most_s = settings.most_played_s - so_far.played_s - warm_up_s
    ends_s = left_s - last_s, most_s - last_s
    blocks = list(_blocks(works, begun_s, ends_s, settings, ladder))
    if last_s and _since_rest(blocks, begun_s[1]) + last_s > ladder.rest_after_s:
        last = None
        blocks = list(_blocks(works, begun_s, (left_s, most_s), settings, ladder))
    if blocks and warm_up_s:
        yield Turn("warm-up", 0.0, warm_up_s)
    yield from blocks
    if blocks and last is not None:
        over_s = blocks[-1].starts_s + blocks[-1].lasts_s
        yield Turn("play-through", over_s, last_s, last, 1)


def _since_rest(blocks: Sequence[Turn], played_s: float) -> float:
    """Tell how long has been played without a rest at the end of these."""
    for block in blocks:
        played_s = 0.0 if block.kind == "rest" else played_s + block.lasts_s
    return played_s


def _to_play_through(
    works: Sequence[Work], left_s: float, settings: TodaySettings
) -> Work | None:
    """Find an etude of which only parts come next, and that is short enough."""
    most_s = left_s * settings.play_through_share - settings.between_runs_s
    fits = (work for work in works if 0.0 < work.whole_s <= most_s)
    return next(fits, None)


def _blocks(
    works: Sequence[Work],
    begun_s: tuple[float, float],
    ends_s: tuple[float, float],
    settings: TodaySettings,
    ladder: LadderSettings,
) -> Iterator[Turn]:
    """Give etudes in turn, with rests; the first may last until the lips must rest.

    Parameters
    ----------
    begun_s : (float, float)
        When they begin, and how long has been played without a rest by then.
    ends_s : (float, float)
        When they are to be over, and how much may be played by then.
    """
    now_s, played_s = begun_s
    until_s, most_s = ends_s
    since_long_s = played_s
    group = turn = 0
    begun: set[str] = set()
    while works:
        at_once = min(settings.etudes_at_once_count, len(works))
        work = works[(group * at_once + turn % at_once) % len(works)]
        run_s = work.run_s + settings.between_runs_s
        room_s, left_s = ladder.rest_after_s - played_s, until_s - now_s
        if run_s > most_s:
            return
        if played_s and room_s < max(run_s, settings.least_turn_s):
            is_long = since_long_s >= settings.long_rest_after_s
            rest_s = since_long_s if is_long else ladder.rest_s
            if left_s < rest_s + run_s:
                return
            yield Turn("rest", now_s, rest_s)
            now_s += rest_s
            since_long_s = 0.0 if is_long else since_long_s
            played_s, group, turn = 0.0, group + 1, 0
            continue
        # With nothing to turn to one goes on with it until the lips must rest.
        is_alone = at_once == 1 and work.file in begun
        block_s = room_s if is_alone else min(room_s, ladder.block_s)
        runs = max(1, int(min(block_s, left_s, most_s) // run_s))
        lasts_s = runs * run_s
        if not settings.least_turn_s <= lasts_s <= left_s:
            return
        kind: Literal["play", "go-on"] = "go-on" if work.file in begun else "play"
        yield Turn(kind, now_s, lasts_s, work, runs)
        begun.add(work.file)
        now_s, played_s = now_s + lasts_s, played_s + lasts_s
        most_s, since_long_s = most_s - lasts_s, since_long_s + lasts_s
        turn += 1
