"""Dynamics, hairpins and articulations around a staff in letters."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.score.phrase import Part
from coach.screens.signs import FULL, PLAIN, Signs
from coach.screens.staff.staff_dynamics import draw_articulations, draw_dynamics
from coach.screens.staff.staff_lines import StaffLine, break_lines
from coach.screens.staff.staff_slots import cut_slots, widen_slots
from coach.screens.widgets.sheet import Sheet
from tests.score.whole_notes import make_part

STEPS = ((-2.0, -2.0), (-2.0, -0.5), (-0.5, 1.0), (1.0, 1.0), (1.0, 0.0))
"""p, growing over two bars to f, which stays, and goes back to mf."""


def page(loudness: tuple[tuple[float, float], ...] = STEPS) -> tuple[Part, StaffLine]:
    """Make a bar for each note of such a loudness, and lay them in one line."""
    part = make_part(list(range(1, len(loudness) + 1)))
    notes = tuple(
        replace(note, loud_start=start, loud_end=end)
        for note, (start, end) in zip(part.notes, loudness, strict=True)
    )
    part = replace(part, notes=notes)
    slots = widen_slots(cut_slots(part), part, None, has_names=False)
    return part, break_lines(part, slots, [90])[0]


def heads(line: StaffLine) -> list[int]:
    return [one.head for one in line.places if one.slot.kind == "note"]


@pytest.mark.parametrize("signs", [FULL, PLAIN])
def test_dynamics_stand_behind_their_notes_and_hairpins_lead_to_them(
    signs: Signs,
) -> None:
    part, line = page()
    sheet = Sheet(100, 1, signs)
    draw_dynamics(sheet, 0, 0, line, part)
    row = sheet.text(0).rstrip()
    assert row.replace(signs.rule, " ").split() == ["p", "<", "f", ">"]
    first, second, _, fourth, _ = heads(line)
    assert row[first + 1] == "p"
    assert row[second + 1] == "<"
    assert row[fourth + 1] == "f"
    assert row[first] == " ", "right under a note is the pointer's place"


def test_a_page_without_a_change_tells_its_dynamic_once() -> None:
    part, line = page(((0.0, 0.0),) * 3)
    sheet = Sheet(100, 1, FULL)
    draw_dynamics(sheet, 0, 0, line, part)
    assert sheet.text(0).split() == ["mf"]


@pytest.mark.parametrize(
    ("written", "sign"),
    [
        ({"staccato"}, "·"),
        ({"staccato", "accent"}, ">"),
        ({"tenuto"}, FULL.rule),
        ({"strong-accent"}, "^"),
        ({"glissando"}, " "),
        (set(), " "),
    ],
)
def test_how_a_note_is_to_be_played_stands_over_it(
    written: set[str], sign: str
) -> None:
    part, line = page()
    notes = (replace(part.notes[0], articulations=frozenset(written)), *part.notes[1:])
    sheet = Sheet(100, 1, FULL)
    draw_articulations(sheet, 0, 0, line, replace(part, notes=notes))
    assert sheet.text(0)[heads(line)[0]] == sign
