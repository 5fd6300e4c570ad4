"""What was heard of a run as plain values: what ``coach listen --json`` prints.

Conventions
-----------
Seconds are run time; behind is positive, ahead negative, but for ``ahead_s`` of what is
rushed.  Names and shapes are a promise to others: add to them, never rename.
"""

from __future__ import annotations

from typing import Any

from coach.plain.plan_json import SCHEMA, etude_as_dict, tempo_as_dict
from coach.planning.plan import Plan
from coach.rehearsal.hearing.heard import Heard, Stretch
from coach.rehearsal.hearing.heard_findings import pitch_heard

DIGITS = 4
"""Decimals kept: tenths of milliseconds, finer than anything can be heard."""


def heard_as_dict(plan: Plan, heard: Heard) -> dict[str, Any]:
    """Lay out what was heard; only dictionaries, lists, numbers, words and None."""
    return {
        "schema": SCHEMA,
        "etude": etude_as_dict(plan),
        "tempo": tempo_as_dict(plan),
        "notes": [_note(plan, heard, i) for i in range(len(heard.notes))],
        "breaths": [
            {
                "after_note": breath.after_note,
                "start_s": _rounded(breath.start),
                "end_s": _rounded(breath.end),
                "planned": breath.is_planned,
            }
            for breath in heard.breaths
        ],
        "rushed": [
            {**_stretch(plan, one), "ahead_s": _rounded(-one.behind)}
            for one in heard.rushed
        ],
        "dragged": [
            {**_stretch(plan, one), "behind_s": _rounded(one.behind)}
            for one in heard.dragged
        ],
        "late_after_breath": [
            {"note": late.note, "behind_s": _rounded(late.behind)}
            for late in heard.late_after_breath
        ],
        "missed": list(heard.missed),
        "passed_over": [
            {
                **_bars(plan, over.first, over.last),
                "is_repeat": over.is_repeat,
                "is_recorded": over.is_recorded,
            }
            for over in heard.passed_over
        ],
        "wrong": list(heard.wrong),
        "ran_out": _ran_out(plan, heard),
        "evenness": _evenness(heard),
        "thin": [
            {
                "from_note": thin.first,
                "to_note": thin.last,
                "loss_db": _rounded(thin.loss_db),
            }
            for thin in heard.thin
        ],
        "came_in_behind_s": _or_none(heard.came_in),
        "offset_s": _rounded(heard.offset),
        "tuning_cents": _rounded(heard.tuning_cents),
        "own_tempo_share": _rounded(heard.own_tempo_share),
        "swing_ratio": _rounded(heard.swing_ratio),
        "stopped_s": _or_none(heard.stopped),
        "began_again": list(heard.began_again),
        "told_against": str(heard.told_against),
        "doubts": [str(doubt) for doubt in heard.doubts],
        "confidence": _rounded(heard.confidence),
    }


def _note(plan: Plan, heard: Heard, i: int) -> dict[str, Any]:
    """Lay out one note."""
    note = heard.notes[i]
    pitch = pitch_heard(plan, heard, i)
    return {
        "i": i,
        "due_s": _rounded(note.due),
        "heard_s": _or_none(note.heard),
        "ended_s": _or_none(note.ended),
        "behind_s": _or_none(note.behind),
        "level_db": _or_none(note.level_db),
        "cents": _or_none(note.cents),
        "heard_pitch": None if pitch is None else str(pitch),
        "confidence": _rounded(note.confidence),
    }


def _stretch(plan: Plan, stretch: Stretch) -> dict[str, Any]:
    """Lay out from where to where it goes."""
    return _bars(plan, stretch.first, stretch.last)


def _bars(plan: Plan, first_note: int, last_note: int) -> dict[str, Any]:
    """Lay out from which note to which, and in which bars."""
    notes = plan.part.notes
    first, last = notes[first_note].bar, notes[last_note].bar
    return {
        "from_note": first_note,
        "to_note": last_note,
        "bars": f"{first}-{last}" if first != last else str(first),
    }


def _ran_out(plan: Plan, heard: Heard) -> dict[str, Any] | None:
    """Lay out where the sound gave out, if it did."""
    if heard.ran_out is None:
        return None
    note = plan.part.notes[heard.ran_out.note]
    return {
        "note": heard.ran_out.note,
        "bar": note.bar,
        "beat": _rounded(float(note.beat)),
        "at_s": _rounded(heard.ran_out.at),
    }


def _evenness(heard: Heard) -> dict[str, float] | None:
    """Lay out how evenly the sound was spent."""
    if heard.evenness is None:
        return None
    return {
        "slope_db_per_s": _rounded(heard.evenness.slope_db_per_s),
        "spread_db": _rounded(heard.evenness.spread_db),
    }


def _or_none(value: float | None) -> float | None:
    """Round what is there."""
    return None if value is None else _rounded(value)


def _rounded(value: float) -> float:
    """Round to what can be heard."""
    return round(float(value), DIGITS)
