"""What a player pencils into a part, as MEI: breaths, positions, slurs, notes left out.

A breath stands over the rest that follows, or else between the note before it and the
next, over neither: a comma for a catch breath, ``V`` for a full one; in brackets where
the air lasts without it, behind a ``+`` where only a slow tempo asks for it.  Positions
stand below, as on the screens.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from fractions import Fraction

from coach.planning.plan import Plan
from coach.score.phrase import Part
from coach.score.tempo import Beats
from coach.screens.staff.engraved.staff_mei import write_mei
from coach.screens.staff.staff_lines import StaffLine, break_lines
from coach.screens.staff.staff_slots import Slot, cut_slots
from coach.screens.staff.staff_values import last_value

WIDEST = 1_000_000
"""Cells of a line that holds any part whole."""

WORD_AT = Fraction(1, 2)
"""How far through the note before it a sign of letters begins: it is about as wide as
what is left of a short note then; looked at on paper."""

COMMA_AT = Fraction(3, 4)
"""The same of a comma, which is narrow."""

Named = Mapping[int, str]
"""The id of each note's head in the document."""


def write_marked_mei(plan: Plan) -> str:
    """Write a whole part with its plan, for an engraver to break into lines.

    The part is written out as it is played, bars numbered as on the page.
    """
    part = plan.part
    line = break_lines(part, cut_slots(part), [WIDEST])[0]
    heads = {
        slot.note: f"s{k}"
        for k, slot in enumerate(placed.slot for placed in line.places)
        if slot.kind == "note" and slot.note is not None
    }
    marks: dict[str, str] = {}
    for name, written in (
        *_positions(plan, heads),
        *_breaths(plan, line),
        *_slurs(plan, heads),
    ):
        marks[name] = marks.get(name, "") + written
    mei = write_mei(line, part, marks=marks)
    for note in plan.breaths.left_out:
        head = f'<note xml:id="{heads[note]}"'
        mei = mei.replace(f"{head} ", f'{head} head.mod="paren" ')
    return mei


def _positions(plan: Plan, heads: Named) -> Iterator[tuple[str, str]]:
    """Write under each note how it is taken; an alternate in brackets."""
    for note, placement in enumerate(plan.slide.placements):
        if placement.label:
            label = (
                f"({placement.label})" if placement.is_alternate else placement.label
            )
            name = heads[note]
            yield name, f'<fing startid="#{name}" place="below">{label}</fing>'


def _breaths(plan: Plan, line: StaffLine) -> Iterator[tuple[str, str]]:
    """Write each breath behind the note it follows, held ones near their very end."""
    ends = {
        slot.note: (f"s{k}", slot)
        for k, slot in enumerate(placed.slot for placed in line.places)
        if slot.kind in ("note", "tie")
    }
    for breath in plan.breaths.breaths:
        name, slot = ends[breath.after_note]
        sign = "V" if breath.kind == "full" else "’"
        is_comma = sign != "V" and not (breath.is_extra or breath.is_optional)
        at = slot.end
        if plan.part.notes[breath.after_note + 1].onset == slot.end:
            # Of a note that is written in tied values, the last one counts.
            last = last_value(slot.shown) / slot.shown * (slot.end - slot.at)
            at = Beats(slot.end - last * (1 - (COMMA_AT if is_comma else WORD_AT)))
        beat = f'tstamp="{_beat(plan.part, slot, at)}"'
        if is_comma:
            yield name, f'<breath {beat} place="above"/>'
            continue
        if breath.is_extra:
            sign = f"+{sign}"
        shown = f"({sign})" if breath.is_optional else sign
        yield (
            name,
            f'<dir {beat} place="above"><rend fontstyle="normal" fontweight="bold">'
            f"{shown}</rend></dir>",
        )


def _beat(part: Part, slot: Slot, at: Beats) -> str:
    """Count beats of the metre to a place, from the bar in which a slot stands."""
    k = max(0, bisect_right(part.bars, slot.at, key=lambda bar: bar.onset) - 1)
    bar = part.bars[k]
    return f"{float(Fraction(at - bar.onset) / bar.metre.unit_beats + 1):g}"


def _slurs(plan: Plan, heads: Named) -> Iterator[tuple[str, str]]:
    """Draw a dashed arc over notes that the plan slurs and the page does not."""
    notes, begun = plan.part.notes, plan.slide.articulations
    first: int | None = None
    for k in range(1, len(notes) + 1):
        is_slurred = k < len(notes) and begun[k].is_slur and not notes[k].is_slurred
        if is_slurred and first is None:
            first = k - 1
        elif not is_slurred and first is not None:
            ids = f'startid="#{heads[first]}" endid="#{heads[k - 1]}"'
            yield heads[first], f'<slur {ids} lform="dashed"/>'
            first = None
