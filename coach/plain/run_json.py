"""Runs and reviews as plain values, for scripts: ``coach log`` and ``coach review``.

Names and shapes are a promise to others: add to them, never rename.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.marked import Marked
from coach.rehearsal.review.progress import Best, DayOfPlaying
from coach.rehearsal.review.review import Review
from coach.rehearsal.review.trouble import Trouble
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import Run
from coach.score.tempo import SECONDS_PER_MINUTE

DIGITS = 6
"""Decimals kept of seconds."""

BPM_DIGITS = 2
"""Decimals kept of tempos and flow scales."""

MS = 1000.0
"""Milliseconds in a second."""


def run_as_dict(run: Run) -> dict[str, Any]:
    """Lay a run out as plain values.

    Returns
    -------
    dict
        Only dictionaries, lists, numbers, words, booleans and None.
    """
    how = run.how
    return {
        "id": run.id,
        "started": run.started.isoformat(),
        "etude": run.etude,
        "etude_key": run.etude_key,
        "segment": _segment(run.from_bar, run.to_bar),
        "bpm": round(run.bpm, BPM_DIGITS),
        "completed": run.is_completed,
        "clean": bool(run.is_clean),
        "said": run.is_clean is not None,
        "called_clean": run.called_clean,
        "marks": [_mark(mark) for mark in run.marks],
        "note": run.note,
        "plan": run.plan,
        "click": {
            "sent": run.sent,
            "worst_late_ms": round(run.worst_late * MS, 3),
            "kind": how.click,
        },
        "whole": run.is_whole,
        "reached_bar": run.reached_bar,
        "lasted_s": round(run.lasted, DIGITS),
        "loud_s": None if run.loud is None else round(run.loud, DIGITS),
        "attended": run.is_attended,
        "uid": run.uid,
        "player": how.player,
        "instrument": how.instrument,
        "capacity_l": how.capacity_l,
        "dynamic_shift": how.dynamic_shift,
        "guide": how.guide,
        "word": how.word,
        "left_out": list(how.left_out),
        "room_beats": how.room_beats,
        "set_aside": run.set_aside,
    }


def review_as_dict(
    what: Review, ways: Sequence[tuple[Like, int]] = ()
) -> dict[str, Any]:
    """Lay a review out as plain values.

    Parameters
    ----------
    ways : sequence of (Like, int)
        Runs of the etude that are not held against these, by how they were played.

    Returns
    -------
    dict
        Only dictionaries, lists, numbers, words, booleans and None.
    """
    best = what.best
    return {
        "etude": what.etude,
        "runs": what.runs,
        "attended": what.attended,
        "clean_bpm": None if best is None else round(best.clean_bpm, BPM_DIGITS),
        "clean_segment": None if best is None else _segment(best.from_bar, best.to_bar),
        "clean_whole": best is not None and best.is_whole,
        "best_part": None if what.best_part is None else _progress(what.best_part),
        "goal_bpm": round(what.goal_bpm, BPM_DIGITS),
        "trouble": [_trouble(spot) for spot in what.trouble],
        "rushed": [
            {
                "notes": kind.notes,
                "times": kind.marks,
                "of": kind.of,
                "share": round(kind.share, 3),
                "chance": float(f"{kind.chance:.2g}"),
                "says": kind.says,
            }
            for kind in what.rushed
        ],
        "heard": [
            {
                "kind": bars.kind,
                "segment": _segment(bars.from_bar, bars.to_bar),
                "amount": round(bars.amount, 3),
                "unit": "s" if bars.kind in ("late", "early") else "dB",
                "runs": bars.runs,
                "says": bars.says,
            }
            for bars in what.sounded
        ],
        "evenness": what.evenness
        and {
            "slope_db_per_s": round(what.evenness.slope_db_per_s, 2),
            "spread_db": round(what.evenness.spread_db, 2),
            "runs": what.evenness.runs,
            "says": what.evenness.says,
        },
        "marked": [_marked(spot) for spot in what.marked],
        "progress": [_progress(best) for best in what.progress],
        "days": [_day(day) for day in what.days],
        "air": air_as_dict(what.air),
        "next": [advice_as_dict(what.next)],
        "otherwise": [
            {
                "word": way.word,
                "instrument": way.instrument,
                "dynamic_shift": way.dynamic_shift,
                "guide": way.guide,
                "runs": runs,
            }
            for way, runs in ways
        ],
    }


def air_as_dict(air: AirEstimate) -> dict[str, Any]:
    """Lay out what is known of a player's air as plain values.

    Returns
    -------
    dict
        Only numbers and words.
    """
    return {
        "flow_scale": round(air.flow_scale, BPM_DIGITS),
        "low": round(air.low, BPM_DIGITS),
        "high": round(air.high, BPM_DIGITS),
        "aim": round(air.aim, BPM_DIGITS),
        "step_power": round(air.step_power, BPM_DIGITS),
        "fill_factor": round(air.fill_factor, BPM_DIGITS),
        "days_differ": round(air.days_differ, BPM_DIGITS),
        "ran_out": air.ran_out,
        "completed": air.completed,
        "long_tones": air.tones,
        "days": air.days,
        "says": air.says,
    }


def _mark(mark: Mark) -> dict[str, Any]:
    """Lay out a mark; an amount only where one was measured, a later time through."""
    laid = {
        "kind": str(mark.kind),
        "bar": mark.bar,
        "beat": mark.beat,
        "at_s": round(mark.at, DIGITS),
        "by": mark.by,
    }
    if mark.amount is not None:
        laid["amount_s"] = round(mark.amount, DIGITS)
    if mark.time > 1:
        laid["time_through"] = mark.time
    return laid


def _trouble(spot: Trouble) -> dict[str, Any]:
    """Lay out a place that is upheld against chance."""
    return {
        "bar": spot.bar,
        "beat": spot.beat,
        **{kind.field: times for kind, times in spot.times.items()},
        "runs": spot.runs,
        "wrong": spot.wrong,
        "segment": _segment(spot.from_bar, spot.to_bar),
        "chance": float(f"{spot.chance:.2g}"),
        "says": spot.says,
    }


def _marked(spot: Marked) -> dict[str, Any]:
    """Lay out a beat that was marked."""
    return {
        "bar": spot.bar,
        "beat": spot.beat,
        **{kind.field: times for kind, times in spot.times.items()},
        "runs": spot.runs,
    }


def _day(day: DayOfPlaying) -> dict[str, Any]:
    """Lay out a day."""
    return {
        "date": day.day.isoformat(),
        "runs": day.runs,
        "minutes": round(day.played_s / SECONDS_PER_MINUTE, 1),
        "loud_minutes": None
        if day.loud_s is None
        else round(day.loud_s / SECONDS_PER_MINUTE, 1),
        "whole_bpm": None if day.whole is None else round(day.whole.clean_bpm, 2),
        "part": None if day.part is None else _progress(day.part),
    }


def _progress(best: Best) -> dict[str, Any]:
    """Lay out the best of a day."""
    return {
        "date": best.day.isoformat(),
        "best_clean_bpm": round(best.clean_bpm, BPM_DIGITS),
        "segment": _segment(best.from_bar, best.to_bar),
        "whole": best.is_whole,
    }


def advice_as_dict(advice: Advice) -> dict[str, Any]:
    """Lay out what to play next."""
    return {
        "segment": _segment(advice.from_bar, advice.to_bar),
        "bpm": round(advice.bpm, BPM_DIGITS),
        "why": advice.says,
        "kind": advice.kind,
        "room_beats": advice.room_beats,
    }


def _segment(from_bar: int, to_bar: int) -> dict[str, int]:
    """Lay out a segment of bars."""
    return {"from_bar": from_bar, "to_bar": to_bar}
