"""A plan as plain values, for scripts: what ``coach plan --json`` prints.

Conventions
-----------
Seconds are run time; air is a fraction of capacity; pitches are sounding.  A breath
is named by the bar and beat of the note before it, where its mark stands.  Names and
shapes are a promise to others: add to them, never rename.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coach.planning.breath_place import moment_of_breath
from coach.planning.breathing.breaths import Breath
from coach.planning.plan import Plan
from coach.planning.way_out import WayOut
from coach.score.phrase import time_through

SCHEMA = 1
ROUNDING = 1e-9
"""A plan nearer than this to the best there could be is the best."""

DIGITS = 6
"""Decimals kept: microseconds, and millionths of capacity."""


def plan_as_dict(
    plan: Plan, ways_out: Sequence[WayOut] = (), *, gap: float
) -> dict[str, Any]:
    """Lay a plan out as plain values.

    Parameters
    ----------
    ways_out : sequence of WayOut
        What would get the player through where the air runs out.
    gap : float
        By how much its breaths could be cheaper at most, as a share of their cost.

    Returns
    -------
    dict
        Only dictionaries, lists, numbers, words, booleans and None.
    """
    breaths = plan.breaths
    return {
        "schema": SCHEMA,
        "etude": etude_as_dict(plan),
        "instrument": plan.instrument.name,
        "player": {
            "capacity_l": _rounded(plan.player.capacity_l),
            "capacity_from": plan.player.capacity_from,
            "flow_scale": _rounded(plan.player.flow_scale),
        },
        "tempo": tempo_as_dict(plan),
        "notes": [_note(plan, i) for i in range(len(plan.part.notes))],
        "gaps": [
            {"after_note": i, "phrase_end": _rounded(chance)}
            for i, chance in enumerate(plan.phrase_ends)
        ],
        "breaths": [_breath(plan, i) for i in range(len(breaths.breaths))],
        "prompts": [
            {
                "bar": prompt.bar,
                "beat": _rounded(prompt.beat),
                "at_s": _rounded(prompt.at),
                "say": prompt.say,
            }
            for prompt in plan.prompts
        ],
        "left_out": list(breaths.left_out),
        "ways_out": [
            {
                "do": way.do,
                "amount": _rounded(way.amount),
                "unit": way.unit,
                "bars": way.bars,
                "works": True,
            }
            for way in ways_out
        ],
        "lowest_air": _rounded(breaths.lowest_air),
        "below_half_s": _rounded(breaths.below_half),
        "high_notes_below_half": breaths.high_notes_below_half,
        "runs_out": _runs_out(plan),
        "arm_travel_cm": _rounded(plan.slide.travel_cm),
        "tongue_strokes": plan.slide.tongue_strokes,
        "patterns": [
            {
                "from_note": stretch.first,
                "to_note": stretch.last,
                "pattern": str(stretch.pattern),
                "exceptions": list(stretch.exceptions),
            }
            for stretch in plan.slide.patterns
        ],
        "cost": _rounded(breaths.cost),
        "proved_optimal": gap <= ROUNDING,
        "optimality_gap": gap,
        "notices": [*plan.part.remarks, *breaths.notices, *plan.slide.notices],
    }


def etude_as_dict(plan: Plan) -> dict[str, Any]:
    """Lay out what is played."""
    return {
        "title": plan.part.title,
        "file": plan.part.source.replace("\\", "/").rpartition("/")[-1],
        "part": plan.part.name,
        "bars": plan.part.bar_count,
        "notes": len(plan.part.notes),
    }


def tempo_as_dict(plan: Plan) -> dict[str, Any]:
    """Lay out how fast it is played."""
    return {
        "bpm": _rounded(plan.bpm),
        "beat_quarters": float(plan.part.tempo.beat),
    }


def _note(plan: Plan, i: int) -> dict[str, Any]:
    """Lay out one note."""
    note, time, breaths = plan.part.notes[i], plan.times[i], plan.breaths
    placement = plan.slide.placements[i]
    return {
        "i": i,
        "bar": note.bar,
        "beat": _rounded(float(note.beat)),
        "pitch": str(note.sounding),
        "midi": note.sounding.midi,
        "dynamic": note.dynamic,
        "start_s": _rounded(time.start),
        "end_s": _rounded(breaths.ends[i]),
        "written_end_s": _rounded(time.end),
        "articulation": str(plan.slide.articulations[i]),
        "position": placement.label,
        "position_cm": None if placement.cm is None else _rounded(placement.cm),
        "partial": placement.partial,
        "flow_lps": _rounded(breaths.flow_lps[i]),
        "air_before": _rounded(breaths.air_before[i]),
        "air_after": _rounded(breaths.air_after[i]),
    }


def _breath(plan: Plan, i: int) -> dict[str, Any]:
    """Lay out one breath."""
    breath = plan.breaths.breaths[i]
    begins = moment_of_breath(plan.part, plan.tempo_map, breath.start)
    return {
        "after_note": breath.after_note,
        "bar": begins.bar,
        "beat": _rounded(begins.beat),
        "start_s": _rounded(breath.start),
        "next_note_s": _rounded(breath.next_note),
        "on": _on(breath),
        "kind": breath.kind,
        "fills": breath.fills,
        "gasp": breath.is_gasp,
        "sure": breath.is_sure,
        "optional": breath.is_optional,
        "extra": breath.is_extra,
        "time_through": time_through(plan.part, breath.after_note),
        "left_out": list(breath.left_out),
        "gap_s": _rounded(breath.gap),
        "taken_s": _rounded(breath.taken),
        "air_before": _rounded(breath.air_before),
        "air_after": _rounded(breath.air_after),
        "marked": breath.is_marked,
        "locked": breath.is_locked,
        "why": breath.why,
    }


def _runs_out(plan: Plan) -> dict[str, Any] | None:
    """Tell where the air is gone, if it ever is."""
    index = plan.breaths.runs_out
    if index is None:
        return None
    place = plan.breaths.dry_place(index)
    return {
        "bar": place.bar,
        "beat": _rounded(place.beat),
        "note": index,
        "short_l": _rounded(plan.breaths.short_l),
    }


def _on(breath: Breath) -> str:
    """Say where the time of a breath comes from."""
    if breath.left_out:
        return "left-out"
    return "rest" if breath.is_on_rest else "note"


def _rounded(value: float) -> float:
    """Round to what a reader can use."""
    return round(float(value), DIGITS)
