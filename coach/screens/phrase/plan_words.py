"""A plan in the player's words: what it comes to, and what one note asks for."""

from __future__ import annotations

from collections.abc import Sequence

from coach.errors import ScoreError
from coach.planning.naming import say_bars, say_count, say_place
from coach.planning.page_words import say_segment
from coach.planning.plan import Plan
from coach.planning.slide.slide import Articulation
from coach.planning.way_out import WayOut, say_ways_out
from coach.score.phrase import Part
from coach.score.segment import find_bars
from coach.screens.signs import Signs
from coach.screens.staff.staff_slots import name_of
from coach.screens.staff.staff_words import say_label

PERCENT = 100
STEPS = ("step", "steps")
"""What softer is counted in where nothing else has to be done too."""

CM_IN_M = 100

BEGUN = {
    Articulation.TONGUED: "tongued",
    Articulation.NATURAL_SLUR: "natural slur",
    Articulation.LIP_SLUR: "lip slur",
    Articulation.VALVE_SLUR: "valve slur",
    Articulation.LEGATO_TONGUED: "legato tongue",
    Articulation.GLISSANDO: "glissando",
    Articulation.LEFT_OUT: "left out to breathe",
}


def say_plan(plan: Plan, signs: Signs) -> list[str]:
    """Say what a plan comes to, in two lines."""
    air, slide = plan.breaths, plan.slide
    depths = [breath.depth for breath in air.breaths]
    full, deep, catch = (depths.count(depth) for depth in ("full", "deep", "catch"))
    counts = [say_count(full, "full breath"), say_count(catch, "top-off")]
    if deep:
        counts.insert(1, say_count(deep, "deep breath"))
    bullet = f" {signs.bullet} "
    words = [", ".join(counts)]
    if any(breath.is_extra for breath in air.breaths):
        goal = plan.passage.goal_breaths or frozenset()
        count = say_count(len(goal), "breath")
        words[0] += f" ({count} at {plan.part.tempo.bpm:g})"
    if air.runs_out is not None:
        words.append(f"runs out in bar {air.dry_place(air.runs_out).bar}")
    else:
        words.append(f"lowest air {air.lowest_air * PERCENT:.0f} %")
    words.append(f"below half {air.below_half:.1f} s")
    work = [f"{slide.tongue_strokes} tongue strokes"]
    if slide.natural_slurs:
        slur = "natural slur" if plan.instrument.kind == "slide" else "slur"
        work.append(say_count(slide.natural_slurs, slur))
    if slide.travel_cm:
        work.append(f"arm {slide.travel_cm / CM_IN_M:.1f} m")
    return [bullet.join(words), bullet.join(work)]


def say_chosen(part: Part, from_bar: int, to_bar: int) -> str:
    """Say bars that are chosen, and in which order they are played if it is another."""
    try:
        first, last = find_bars(part, from_bar, to_bar)
    except ScoreError:
        return say_bars(from_bar, to_bar)
    return say_segment(from_bar, to_bar, part.bars[first : last + 1])


def can_be_tried(way: WayOut) -> bool:
    """Tell whether a key can try it: another tempo, fewer notes, all of it softer."""
    is_softer = way.do == "softer" and way.unit in STEPS
    return way.do in {"tempo", "leave_out"} or is_softer


def say_ways_to_try(ways_out: Sequence[WayOut], *, has_keys: bool) -> str:
    """Say what gets the player through; what a key can try stands behind its figure."""
    if not ways_out:
        return say_ways_out(ways_out)[0]
    words = [
        _say_key(k, way) if has_keys and can_be_tried(way) else str(way)
        for k, way in enumerate(ways_out, start=1)
    ]
    return f"What gets you through: {'; '.join(words)}."


def _say_key(k: int, way: WayOut) -> str:
    """Say a way out behind its key, and where the key does more than it takes."""
    is_less = way.do == "softer" and way.bars != "all"
    return f"{k}: {way}{' (the key softens all of it)' if is_less else ''}"


def say_note(plan: Plan, k: int, signs: Signs) -> str:
    """Say what one note asks for, and why a breath stands after it."""
    note = plan.part.notes[k]
    placement = plan.slide.placements[k]
    words = [
        say_place(note.bar, float(note.beat)),
        f"{name_of(note.written)}{note.written.octave} {note.dynamic}",
    ]
    if placement.label:
        kind = ", an alternate" if placement.is_alternate else ""
        place = plan.instrument.say_place(say_label(placement.label, signs))
        words.append(f"{place}{kind}")
    words.append(BEGUN[plan.slide.articulations[k]])
    before, after = plan.breaths.air_before[k], plan.breaths.air_after[k]
    words.append(
        f"air {max(0.0, before) * PERCENT:.0f} {signs.arrow} "
        f"{max(0.0, after) * PERCENT:.0f} %"
    )
    breath = next((b for b in plan.breaths.breaths if b.after_note == k), None)
    if breath is not None:
        kind = "top off" if breath.kind == "catch" else f"{breath.depth} breath"
        optional = "optional " if breath.is_optional else ""
        extra = ""
        if breath.is_extra:
            extra = f"; at {plan.part.tempo.bpm:g} you play through"
        words.append(f"then {optional}{kind} {breath.gap:.1f} s: {breath.why}{extra}")
    return f" {signs.bullet} ".join(words)
