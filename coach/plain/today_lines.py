"""What to play today, as lines of text and as plain values for scripts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coach.plain.run_json import advice_as_dict
from coach.rehearsal.ahead.today import THEN, Today, Work
from coach.rehearsal.review.advice import say_minutes
from coach.score.plain_text import as_player, copied
from coach.score.tempo import SECONDS_PER_MINUTE


def today_lines(today: Today, player: str = "") -> Iterator[str]:
    """Write it out, with the commands of the player who is named."""
    options = as_player(player)
    yield f"{say_minutes(today.minutes * SECONDS_PER_MINUTE)} today:".capitalize()
    yield from today.says
    for turn in today.turns:
        begins, ends = turn.minutes
        yield f"{begins:3}–{ends:<3} {turn.says}"
        if turn.kind == "play" and turn.work is not None:
            yield f"        {turn.work.advice.says}"
            yield f"        {copied('rehearse', turn.work.file, options)}"
    yield from today.enough
    if today.turns:
        yield THEN


def today_as_dict(today: Today) -> dict[str, Any]:
    """Lay it out as plain values.

    Returns
    -------
    dict
        Only dictionaries, lists, numbers, words, booleans and None.
    """
    so_far = today.so_far
    return {
        "schema": 1,
        "minutes": round(today.minutes, 1),
        "played": {
            "runs": so_far.runs,
            "etudes": so_far.etudes,
            "minutes": _minutes(so_far.played_s),
            "loud_minutes": None if so_far.loud_s is None else _minutes(so_far.loud_s),
            "since_rest_minutes": _minutes(so_far.since_rest_s),
        },
        "is_loud": today.is_loud,
        "is_full": today.is_full,
        "says": list(today.says),
        "turns": [
            {
                "kind": turn.kind,
                "says": turn.says,
                "starts_min": _minutes(turn.starts_s),
                "minutes": _minutes(turn.lasts_s),
                "runs": turn.runs,
                **({} if turn.work is None else _work(turn.work)),
            }
            for turn in today.turns
        ],
        "not_on_shelf": list(today.not_on_shelf),
        "done": [_work(work) for work in today.done],
        "then": THEN if today.turns else "",
    }


def _work(work: Work) -> dict[str, Any]:
    """Lay out an etude and what comes next in it."""
    return {
        "etude": work.title,
        "file": work.file,
        "new": work.is_new,
        "next": advice_as_dict(work.advice),
        "whole_bpm": work.whole_bpm or None,
    }


def _minutes(seconds: float) -> float:
    """Give seconds as minutes, to a tenth."""
    return round(seconds / SECONDS_PER_MINUTE, 1)
