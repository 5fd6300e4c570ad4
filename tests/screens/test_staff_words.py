"""What stands in brackets on the staff, and what the player has changed by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.planning.plan import Plan, tell_optional
from coach.score.phrase import Part
from coach.screens.signs import FULL, PLAIN, Signs
from coach.screens.staff.legend import legend_lines
from coach.screens.staff.staff_drawing import StaffDrawing, prefix_width
from coach.screens.staff.staff_lines import break_lines
from coach.screens.staff.staff_slots import cut_slots, widen_slots
from coach.screens.staff.staff_words import say_breath, say_sign
from coach.screens.staff.terminal_rows import share_rows, staff_span
from coach.screens.widgets.sheet import Sheet
from tests.dry_music import unbroken
from tests.hand_made import held
from tests.hand_rehearsal import HandPlanner

LEFT = (5, 6)
"""Notes of the first bar that the player leaves out."""

BY_HAND = Edits(locks=Locks(left_out=frozenset(LEFT)))


def plan_of(part: Part, edits: Edits = BY_HAND) -> Plan:
    """Plan a part as a player would."""
    return HandPlanner().plan(part, part.tempo.bpm, edits)


def drawn(
    plan: Plan, edits: Edits = BY_HAND, height: int = 14, signs: Signs = FULL
) -> list[str]:
    """Draw the first bar of a part as rows of text."""
    part = plan.part
    bare = cut_slots(part)
    rows = share_rows(height, staff_span(bare), has_plan=True)
    slots = widen_slots(bare, part, plan, has_names=rows.names is not None)
    prefix = prefix_width(0) if rows.has_staff else 0
    line = break_lines(part, slots, [90])[0]
    sheet = Sheet(100, rows.height, signs)
    drawing = StaffDrawing(part, plan, signs, edits)
    drawing.draw_line(sheet, prefix, rows, line)
    return [sheet.text(y).rstrip() for y in range(rows.height)]


@pytest.mark.parametrize(
    "asked", [Locks(must=frozenset({0})), Locks(must_not=frozenset({0}))]
)
def test_a_breath_after_a_held_note_stands_in_the_bar_that_it_begins_in(
    asked: Locks,
) -> None:
    edits = Edits(locks=asked)
    rows = drawn(plan_of(held(), edits), edits)
    signs = (FULL.full_breath, FULL.forbidden)
    (row,) = (row for row in rows if any(sign in row for sign in signs))
    (at,) = (row.index(sign) for sign in signs if sign in row)
    assert row.index("4") < at < row.index("5")
    assert sum(row.count(sign) for sign in signs) == 1


def row_with(rows: list[str], words: str) -> str:
    """Give the first row that has some words."""
    return next(row for row in rows if words in row)


@pytest.mark.parametrize("signs", [FULL, PLAIN])
def test_notes_that_are_left_out_stand_in_brackets_and_have_no_stroke(
    signs: Signs,
) -> None:
    plan = plan_of(unbroken(2))
    assert plan.breaths.left_out == LEFT
    rows = drawn(plan, signs=signs)
    names = row_with(rows, "[G]")
    flat = "♭" if signs is FULL else "b"
    assert f"[B{flat}]" in names
    assert names.count("[") == len(LEFT)
    heads = [row for row in rows[:8] if "[" in row]
    assert sum(row.count("[") for row in heads) == len(LEFT)
    strokes = rows[-2]
    for k in (names.index("[G]"), names.index("[B")):
        assert strokes[k : k + 3].strip() == ""


def test_in_few_rows_the_names_alone_stand_in_brackets() -> None:
    rows = drawn(plan_of(unbroken(2)), height=4)
    assert "[G3]" in row_with(rows, "[G3]")


def test_what_was_left_out_by_hand_differs_from_what_the_plan_leaves_out() -> None:
    plan = plan_of(unbroken(2))
    assert "![4]" in "\n".join(drawn(plan))
    assert "!" not in "\n".join(drawn(plan, Edits())).replace("!’", "")


def test_a_position_by_hand_differs_from_one_that_was_planned() -> None:
    edits = Edits(positions=((1, "4"),))
    plan = plan_of(unbroken(1), edits)
    assert "!4" in "\n".join(drawn(plan, edits))
    assert "!4" not in "\n".join(drawn(plan, Edits()))


def test_an_optional_breath_stands_in_brackets_and_one_by_hand_does_not() -> None:
    edits = Edits(locks=Locks(must=frozenset({16})))
    plan = plan_of(unbroken(), edits)
    breaths = {breath.after_note: breath for breath in plan.breaths.breaths}
    own = breaths.pop(16)
    told = tell_optional(plan, {*breaths, 16})
    optional = next(b for b in told.breaths.breaths if b.after_note in breaths)
    assert say_breath(optional, FULL).startswith("(")
    assert say_breath(replace(optional, is_optional=False), FULL)[0].isdigit()
    assert say_breath(replace(own, is_optional=True), PLAIN) == f"{own.gap:.1f}!'"


@pytest.mark.parametrize("signs", [FULL, PLAIN])
def test_breaths_side_by_side_and_other_signs_never_write_over_each_other(
    signs: Signs,
) -> None:
    own = Edits(locks=Locks(must=frozenset({4, 5, 8}), kept=frozenset({5, 8, 9})))
    edits = replace(own, locks=replace(own.locks, must_not=frozenset({7})))
    plan = plan_of(unbroken(1), edits)
    full, catch, lock = signs.full_breath, signs.catch_breath, signs.locked
    assert row_with(drawn(plan, edits, signs=signs), catch).split() == [
        f"{lock}{full}{lock}{lock}{catch}",
        f"{signs.forbidden}{lock}{lock}{full}{lock}",
    ]


@pytest.mark.parametrize("signs", [FULL, PLAIN])
def test_a_breath_of_the_slow_tempo_alone_has_the_sign_of_the_printed_plan(
    signs: Signs,
) -> None:
    planned = plan_of(unbroken(), Edits()).breaths.breaths[0]
    extra = replace(planned, is_extra=True, is_optional=False, kind="catch")
    assert say_breath(extra, signs) == f"{extra.gap:.1f}+{signs.catch_breath}"
    assert say_sign(replace(extra, is_optional=True, kind="full"), signs) == "(+V)"
    assert say_sign(replace(extra, is_locked=True), signs) == f"!{signs.catch_breath}"
    (told,) = (line for line in legend_lines(signs) if "+" in line.lead)
    assert "slow tempo" in told.text


def test_an_optional_breath_is_prompted_in_brackets_once() -> None:
    plan = plan_of(unbroken(), Edits())
    places = {breath.after_note for breath in plan.breaths.breaths}
    told = tell_optional(tell_optional(plan, places), places)
    said = [prompt.say for prompt in told.prompts if prompt.breath is not None]
    assert said
    assert all(words[0] == "(" and words[1] != "(" for words in said)
    assert all("leave out [" in words for words in said)
    assert tell_optional(told, set()).prompts == plan.prompts


@pytest.mark.parametrize(
    ("told", "shown"),
    [
        (
            "No place has both Bb2 and F#3 (bar 4).",
            "No place has both B♭2 and F♯3 (bar 4).",
        ),
        ("Ebb4, Gx3, A4: bars 1–8", "E♭♭4, Gx3, A4: bars 1–8"),
        (
            "Write it as the player reads it: Bb3, F#4.",
            "Write it as the player reads it: B♭3, F♯4.",
        ),
        (
            "“Bb2” is on the shelf: /home/Bb2.mid",
            "“Bb2” is on the shelf: /home/Bb2.mid",
        ),
    ],
)
def test_a_pitch_is_spelt_in_sentences_as_on_the_staff(told: str, shown: str) -> None:
    """Titles and names of files stay as they are."""
    assert FULL.spell(told) == shown
    assert PLAIN.spell(told) == told
