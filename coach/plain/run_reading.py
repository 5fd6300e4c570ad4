"""Runs read back from plain values, as another log wrote them: trusted in nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from math import isfinite
from typing import Any, TypeVar, cast, get_args

from coach.plain.run_json import MS
from coach.rehearsal.run.mark import Mark, MarkedBy
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import ClickKind, Playing
from coach.rehearsal.run.run import Run, SetAside
from coach.score.plain_text import all_on_one_line
from coach.score.tempo import Seconds

Value = TypeVar("Value")

MOST_BARS = 1_000_000
SLOWEST_BPM, FASTEST_BPM = 1.0, 1000.0
LONGEST_S = 86_400.0
MOST_LITRES = 20.0
MOST_STEPS = 20.0
MOST_BEATS = 20.0
MOST_SIGNS = 10_000
FIRST_DAY = datetime(1970, 1, 1, tzinfo=UTC)
LAST_DAY = datetime(2200, 1, 1, tzinfo=UTC)
"""What no run goes beyond, not even with a clock that was never set: more is a damaged
file."""


def run_from_dict(told: Mapping[str, Any]) -> Run:
    """Make a run of what `run_as_dict` laid out; marks of unknown kinds are left out.

    Raises
    ------
    ValueError, TypeError
        If something is missing or is nothing that a run could have; says what.
    """
    segment, click = _of(told, "segment", dict), _of(told, "click", dict)
    uid = _of(told, "uid", str)
    if not uid:
        raise ValueError("uid is empty")
    is_said = _of(told, "said", bool)
    bars = [int(_number(segment, end, MOST_BARS)) for end in ("from_bar", "to_bar")]
    if bars[0] > bars[1]:
        raise ValueError("the segment ends before it begins")
    return Run(
        started=_date(_of(told, "started", str)),
        etude=_text(told, "etude"),
        etude_key=_text(told, "etude_key"),
        from_bar=bars[0],
        to_bar=bars[1],
        bpm=_number(told, "bpm", FASTEST_BPM, SLOWEST_BPM),
        is_completed=_of(told, "completed", bool),
        is_clean=_of(told, "clean", bool) if is_said else None,
        called_clean=_called(told),
        marks=tuple(
            _mark(mark) for mark in _of(told, "marks", list) if _is_known(mark)
        ),
        note=_text(told, "note"),
        plan=_text(told, "plan"),
        sent=int(_number(click, "sent", MOST_BARS)),
        worst_late=Seconds(
            _number(click, "worst_late_ms", LONGEST_S * MS, -LONGEST_S * MS) / MS
        ),
        reached_bar=_or_none(told, "reached_bar", MOST_BARS, int),
        is_whole=_of(told, "whole", bool),
        lasted=Seconds(_number(told, "lasted_s", LONGEST_S)),
        loud=_or_none(told, "loud_s", LONGEST_S, Seconds),
        is_attended=_of(told, "attended", bool),
        how=_playing(told, click),
        uid=uid,
        set_aside=_set_aside(told.get("set_aside")),
    )


def _date(words: str) -> datetime:
    """Read a date and time."""
    try:
        started = datetime.fromisoformat(words)
    except ValueError:
        raise ValueError("started is no date") from None
    if started.tzinfo is None:
        raise ValueError("started has no zone")
    if not FIRST_DAY <= started < LAST_DAY:
        raise ValueError("started is out of reach")
    return started


def _playing(told: Mapping[str, Any], click: Mapping[str, Any]) -> Playing:
    """Read who played, with what and how."""
    kind = click.get("kind", "on")
    if kind not in get_args(ClickKind):
        raise ValueError("click.kind is unknown")
    notes = _of(told, "left_out", list)
    return Playing(
        player=_text(told, "player"),
        instrument=_text(told, "instrument"),
        capacity_l=_or_none(told, "capacity_l", MOST_LITRES, float),
        dynamic_shift=_number(told, "dynamic_shift", MOST_STEPS, -MOST_STEPS),
        click=cast(ClickKind, kind),
        guide=_of(told, "guide", bool),
        word=_text(told, "word"),
        left_out=tuple(
            int(_number({"left_out": n}, "left_out", MOST_BARS)) for n in notes
        ),
        room_beats=_number(told, "room_beats", MOST_BEATS),
    )


def _is_known(mark: Any) -> bool:
    """Tell whether a mark is of a kind that this coach knows."""
    kinds = {kind.value for kind in MarkKind}
    return isinstance(mark, dict) and mark.get("kind") in kinds


def _mark(told: Mapping[str, Any]) -> Mark:
    by = told.get("by")
    if by not in get_args(MarkedBy):
        raise ValueError("a mark's by is unknown")
    amount = None
    if told.get("amount_s") is not None:
        amount = Seconds(_number(told, "amount_s", LONGEST_S, -LONGEST_S))
    return Mark(
        kind=MarkKind(told["kind"]),
        bar=int(_number(told, "bar", MOST_BARS)),
        beat=_number(told, "beat", MOST_BARS),
        at=Seconds(_number(told, "at_s", LONGEST_S, -LONGEST_S)),
        by=cast(MarkedBy, by),
        amount=amount,
        time=int(_number({"time_through": 1, **told}, "time_through", MOST_BARS, 1)),
    )


def _set_aside(why: object) -> SetAside | None:
    """Read why a run counts for nothing."""
    if why is not None and why not in get_args(SetAside):
        raise ValueError("set_aside is unknown")
    return cast(SetAside | None, why)


def _called(told: Mapping[str, Any]) -> bool | None:
    """Read the player's own word; an older coach told it of whole runs alone."""
    is_whole_word = told.get("completed") and told.get("said")
    word = told.get("called_clean", told.get("clean") if is_whole_word else None)
    if word is not None and not isinstance(word, bool):
        raise ValueError("called_clean is neither yes nor no")
    return word


def _of(told: Mapping[str, Any], key: str, kind: type[Value]) -> Value:
    """Give a value of a kind."""
    value = told.get(key)
    if not isinstance(value, kind):
        raise TypeError(f"{key} is missing or of the wrong kind")
    return value


def _text(told: Mapping[str, Any], key: str) -> str:
    """Give words of a length that a log can hold, fit to show."""
    words = _of(told, key, str)
    if len(words) > MOST_SIGNS:
        raise ValueError(f"{key} is too long")
    return all_on_one_line(words)


def _number(
    told: Mapping[str, Any], key: str, most: float, least: float = 0.0
) -> float:
    """Give a number within reach."""
    value = told.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"{key} is no number")
    if not (isfinite(value) and least <= value <= most):
        raise ValueError(f"{key} is out of reach")
    return float(value)


def _or_none(
    told: Mapping[str, Any], key: str, most: float, kind: Callable[[float], Value]
) -> Value | None:
    """Give a number where there is one."""
    if told.get(key) is None:
        return None
    return kind(_number(told, key, most))
