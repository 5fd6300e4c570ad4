"""A plan as lines of text that a player reads at a glance.

A line for each breath, the air as a curve over the bars, then what to beware of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from coach.plain.beware_lines import OPTIONAL, say_extra
from coach.planning.breathing.prompts import place_of_breath
from coach.planning.naming import name_beat, say_beat, say_count
from coach.planning.page_words import say_order
from coach.planning.plan import Plan
from coach.planning.slide.words.pattern_words import say_patterns
from coach.planning.way_out import WayOut, say_ways_out
from coach.score.phrase import place_of, time_through
from coach.score.plain_text import of_player
from coach.score.tempo import Seconds

BLOCKS = " ▁▂▃▄▅▆▇█"
CURVE_ROWS = 4
LABEL_WIDTH = 6
PERCENT = 100
HALF = 0.5


def plan_lines(
    plan: Plan,
    *,
    width: int,
    ways_out: Sequence[WayOut] = (),
    player: str = "",
) -> list[str]:
    """Write a plan out.

    Parameters
    ----------
    width : int
        Columns there are; the curve fills them.
    player : str
        Who plays, for commands to type; empty for whoever the laptop belongs to.
    """
    lines = [
        *_heading(plan, player),
        "",
        *_breath_rows(plan),
        "",
        *_air_curve(plan, width),
        "",
        *_summary(plan),
    ]
    notices = [*plan.part.remarks, *plan.breaths.notices, *plan.slide.notices]
    if notices:
        lines += ["", *(f"! {notice}" for notice in notices)]
    if plan.breaths.runs_out is not None:
        lines += ["", *say_ways_out(ways_out)]
    return lines


def compare_lines(plan: Plan, tongued: Plan) -> list[str]:
    """Set a plan against the same phrase tongued throughout in usual positions.

    Parameters
    ----------
    plan, tongued : Plan
        The plan, and the plain way to play the same notes at the same tempo.

    Returns
    -------
    list of str
        A small table: litres, strokes of the tongue, centimetres of slide.
    """
    rows = [
        ("air", litres(tongued), litres(plan), "L", 1),
        (
            "tongue",
            tongued.slide.tongue_strokes,
            plan.slide.tongue_strokes,
            "strokes",
            0,
        ),
        ("breaths", len(tongued.breaths.breaths), len(plan.breaths.breaths), "", 0),
    ]
    if plan.instrument.kind == "slide":
        arm = ("slide", tongued.slide.travel_cm, plan.slide.travel_cm, "cm", 0)
        rows.insert(2, arm)
    lines = [f"{'':18}{'tongued, usual':>16}{'planned':>12}{'saved':>9}"]
    for name, plain, planned, unit, digits in rows:
        saved = f"{(plain - planned) / plain:.0%}" if plain else ""
        what = f"{name} ({unit})" if unit else name
        lines.append(f"{what:18}{plain:16.{digits}f}{planned:12.{digits}f}{saved:>9}")
    return lines


def litres(plan: Plan) -> float:
    """Add up the air that all the notes take, in litres."""
    return sum(
        flow * (end - time.start)
        for flow, end, time in zip(
            plan.breaths.flow_lps, plan.breaths.ends, plan.times, strict=True
        )
    )


def _heading(plan: Plan, player: str) -> Iterator[str]:
    """Say what it is, at which tempo, and for whom."""
    part = plan.part
    first = part.bars[0]
    words = [
        part.key_name,
        str(first.metre),
        f"{name_beat(float(part.tempo.beat))} = {plan.bpm:g}",
        say_count(part.bar_count, "bar") if part.bar_count else "pickup",
        say_count(len(part.notes), "note"),
    ]
    yield part.title
    yield ", ".join(word for word in words if word)
    order = say_order(part.bars)
    if order:
        yield f"played {order}"
    lungs = f"{plan.player.capacity_l:.1f} L ({plan.player.capacity_from})"
    if plan.player.lower_l < plan.player.capacity_l:
        lungs += f"; a healthy player may have as little as {plan.player.lower_l:.1f} L"
    yield f"{plan.instrument.title}, lungs {lungs}"
    if not plan.player.is_flow_known:
        yield (
            "How fast you blow is not measured yet: play one long tone "
            f"({of_player(player, '--long-tone SECONDS')})."
        )


def _breath_rows(plan: Plan) -> Iterator[str]:
    """Write a line for each breath."""
    if not plan.breaths.breaths:
        is_enough = plan.breaths.runs_out is None
        yield (
            "One breath before the first note is enough."
            if is_enough
            else "There is no place to breathe, and one breath is not enough: "
            "what to do stands below."
        )
        return
    yield f"{'in bar':>9} {'beat':>5}  {'breath':7} {'time':>6}  {'air':>11}  why"
    for breath in plan.breaths.breaths:
        place = place_of_breath(plan.part, plan.tempo_map, breath)
        air = f"{_percent(breath.air_before)} → {_percent(breath.air_after)}"
        kind = f"({breath.depth})" if breath.is_optional else breath.depth
        through = time_through(plan.part, breath.after_note)
        time = f"; time {through} through" if through > 1 else ""
        sign = "".join(
            mark
            for mark, holds in (
                ("*", breath.is_marked),
                ("!", breath.is_locked),
                ("+", breath.is_extra),
            )
            if holds
        )
        yield (
            f"{place.bar:>9} {say_beat(place.beat):>5}"
            f"  {kind:7} {breath.gap:5.2f}s"
            f"  {air:>11}  {breath.why}{' ' + sign if sign else ''}{time}"
        )
    if any(breath.is_optional for breath in plan.breaths.breaths):
        yield OPTIONAL
    if any(breath.is_extra for breath in plan.breaths.breaths):
        yield say_extra(plan)


def _percent(air: float) -> str:
    """Air as a player thinks of it."""
    return f"{air * PERCENT:.0f}%"


def _air_curve(plan: Plan, width: int) -> Iterator[str]:
    """Draw the air over the run, with the half line."""
    columns = max(1, width - LABEL_WIDTH - 1)
    start, end = plan.times[0].start, max(plan.breaths.ends)
    step = (end - start) / columns
    moments = [Seconds(start + (k + HALF) * step) for k in range(columns)]
    levels = [plan.air.level_at(moment) for moment in moments]
    for row in range(CURVE_ROWS, 0, -1):
        label = f"{row * PERCENT // CURVE_ROWS}%"
        is_half = row * 2 == CURVE_ROWS
        cells = "".join(_cell(level, row, is_half=is_half) for level in levels)
        yield f"{label:>{LABEL_WIDTH - 1}} {cells}".rstrip()
    yield f"{'bar':>{LABEL_WIDTH - 1}} {_bar_numbers(plan, moments)}".rstrip()


def _cell(level: float, row: int, *, is_half: bool) -> str:
    """One cell of the curve: how much of this row the level fills."""
    eighths = round((level * CURVE_ROWS - (row - 1)) * (len(BLOCKS) - 1))
    if eighths <= 0 and is_half:
        return "·"
    return BLOCKS[min(max(eighths, 0), len(BLOCKS) - 1)]


def _bar_numbers(plan: Plan, moments: Sequence[Seconds]) -> str:
    """Write bar numbers under the curve, where there is room."""
    cells = [" "] * len(moments)
    free, last = 0, None
    for k, moment in enumerate(moments):
        bar = place_of(plan.part, plan.tempo_map.beats_at(moment)).bar
        text = str(bar)
        if bar != last and k >= free and k + len(text) <= len(cells):
            cells[k : k + len(text)] = text
            free = k + len(text) + 2
        last = bar
    return "".join(cells)


def _summary(plan: Plan) -> Iterator[str]:
    """Say the figures that matter in one or two lines."""
    breaths = plan.breaths
    lowest = f"Lowest air {_percent(breaths.lowest_air)}"
    if breaths.runs_out is not None:
        lowest = f"Runs out in bar {breaths.dry_place(breaths.runs_out).bar}"
    yield (
        f"{lowest}; "
        f"{breaths.below_half:.1f} s below half; "
        f"{say_count(breaths.high_notes_below_half, 'high note')} below half; "
        f"{litres(plan):.1f} L in all."
    )
    yield _work(plan)
    yield from say_patterns(plan.part, plan.slide.patterns)


def _work(plan: Plan) -> str:
    """Say what arm and tongue do."""
    strokes = f"{say_count(plan.slide.tongue_strokes, 'stroke')} of the tongue"
    if plan.instrument.kind != "slide":
        return f"{strokes.capitalize()}; {say_count(plan.slide.natural_slurs, 'slur')}."
    return (
        f"Slide {plan.slide.travel_cm:.0f} cm; {strokes}; "
        f"{say_count(plan.slide.natural_slurs, 'natural slur')}."
    )
