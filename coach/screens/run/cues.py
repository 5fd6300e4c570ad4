"""What the countdown says at a glance."""

from __future__ import annotations

from bisect import bisect_right
from math import ceil

from coach.planning.breathing.breaths import Breath
from coach.planning.breathing.prompts import (
    place_of_breath,
    say_bar_dry,
    say_bar_of_breath,
    say_how,
)
from coach.planning.breathing.words.left_out_words import name_left_out
from coach.planning.naming import say_count
from coach.planning.plan import Plan
from coach.rehearsal.run.gauge import Glance
from coach.screens.run.countdown import Cue, CueKind

JUST_BEFORE = 1e-6
"""A beat that is this near counts as reached."""


def cue_of(glance: Glance, plan: Plan) -> Cue:
    """Choose what the player must know at a glance."""
    if glance.is_counting_in:
        return Cue("count", glance.count, ("COUNT",), "count-in: fill up in good time")
    if glance.is_over:
        return Cue("last", None, ("END",), "the run is over")
    breath = glance.next_breath
    dry = _dry_ahead(glance, plan)
    if breath is None or glance.beats_to_breath is None:
        if dry is not None:
            return _air_to(glance, plan, dry)
        return Cue("last", None, ("TO END",), "no more breath until the end")
    is_full = breath.kind == "full"
    if glance.is_breathing:
        kind: CueKind = "in-full" if is_full else "in-catch"
        line = "now; the next note in time"
        return Cue(kind, None, _in_big(breath, plan), _bracketed(breath, line))
    beats = ceil(glance.beats_to_breath - JUST_BEFORE)
    if glance.prompt_kind in ("full", "catch"):
        return _breath_ahead(beats, breath, plan)
    if dry is not None:
        return _air_to(glance, plan, dry)
    return _play_on(glance, plan, breath, beats)


def _dry_ahead(glance: Glance, plan: Plan) -> int | None:
    """Give the note where the air runs out before the next breath; None if it lasts."""
    breath = glance.next_breath
    last = len(plan.part.notes) if breath is None else breath.after_note
    ahead = (
        k for k in plan.breaths.dry if k <= last and plan.times[k].end > glance.time
    )
    return next(ahead, None)


def _air_to(glance: Glance, plan: Plan, k: int) -> Cue:
    """Say that the air runs out, and where."""
    bar = plan.breaths.dry_place(k).bar
    # "Air to bar 12" would be read as up to its bar line.
    is_ahead = _is_ahead(glance, plan, bar, k)
    words = ("AIR OUT", f"BAR {bar}") if is_ahead else ("AIR", "OUT")
    where = say_bar_dry(plan.part, plan.breaths, k)
    return Cue("hold", None, words, f"the air runs out in {where}")


def _is_ahead(glance: Glance, plan: Plan, bar: int, k: int) -> bool:
    """Tell whether a bar is to come, the next of its number from a note on."""
    bars = plan.part.bars
    at = bisect_right(bars, plan.part.notes[k].onset, key=lambda bar: bar.onset) - 1
    named = next(other for other in bars[at:] if other.number == bar)
    return plan.tempo_map.seconds_at(named.onset) > glance.time


def _breath_ahead(beats: int, breath: Breath, plan: Plan) -> Cue:
    """Say in how many beats to breathe, and how; in brackets where it is optional."""
    is_full = breath.kind == "full"
    how = say_how(breath, is_out_first=plan.instrument.breathes_out_first)
    line = f"{how} in {say_count(beats, 'beat')}"
    if breath.left_out:
        # The big words say to breathe; three notes have to fit beside them.
        line = line.removeprefix("breathe ")
        line += f", leave out {name_left_out(plan.part, breath.left_out)}"
    elif breath.is_extra:
        line += ", only at this tempo"
    kind: CueKind = "full" if is_full else "catch"
    return Cue(kind, beats, _in_big(breath, plan), _bracketed(breath, line))


def _in_big(breath: Breath, plan: Plan) -> tuple[str, ...]:
    """Say in big letters how to breathe; of an optional breath that it is for need."""
    if breath.is_optional:
        return ("NEED", "AIR?") if breath.kind == "full" else ("NEED", "SIP?")
    if breath.kind != "full":
        return ("TOP", "OFF")
    if plan.instrument.breathes_out_first:
        return ("OUT", "THEN IN")
    return ("BREATHE", breath.depth.upper())


def _bracketed(breath: Breath, line: str) -> str:
    """Put what is said of an optional breath in brackets."""
    return f"({line})" if breath.is_optional else line


def _play_on(glance: Glance, plan: Plan, breath: Breath, beats: int) -> Cue:
    """Say how far to go on without a breath."""
    bar = place_of_breath(plan.part, plan.tempo_map, breath).bar
    if _is_ahead(glance, plan, bar, breath.after_note):
        # "Until bar 8" would be read as up to its bar line.
        words = ("INTO", f"BAR {bar}")
        where = say_bar_of_breath(plan.part, plan.tempo_map, breath)
        return Cue("hold", None, words, f"next breath in {where}, in {beats} beats")
    return Cue("hold", beats, ("PLAY", "ON"), f"a breath in {say_count(beats, 'beat')}")
