"""Notes on the cell staff: where they stand, how lines break, what is drawn."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.app import App, ComposeResult

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part
from coach.score.tempo import Beats, beats
from coach.screens.signs import FULL, PLAIN
from coach.screens.staff.air_curve import draw_column, draw_columns
from coach.screens.staff.staff_drawing import (
    StaffDrawing,
    prefix_width,
    signature_steps,
)
from coach.screens.staff.staff_lines import StaffLine, break_lines
from coach.screens.staff.staff_slots import cut_slots, widen_slots
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.staff.strip_windows import lines_shown, share_height
from coach.screens.staff.terminal_rows import share_rows, staff_span
from coach.screens.themes import LAMPLIGHT
from coach.screens.widgets.sheet import Sheet
from tests.screens.paper_studio import HandPlanner, make_part


def drawn(part: Part, width: int = 76, height: int = 14, signs: object = FULL) -> str:
    """Draw the first line of a part as text."""
    plan = plan_of(part)
    bare = cut_slots(part)
    rows = share_rows(height, staff_span(bare), has_plan=True)
    slots = widen_slots(bare, part, plan, has_names=rows.names is not None)
    prefix = prefix_width(part.bars[0].fifths)
    line = break_lines(part, slots, [width - prefix])[0]
    sheet = Sheet(width, rows.height, signs)  # type: ignore[arg-type]
    drawing = StaffDrawing(part, plan, signs)  # type: ignore[arg-type]
    drawing.draw_prefix(sheet, 0, rows, line)
    drawing.draw_line(sheet, prefix, rows, line)
    return "\n".join(sheet.text(y).rstrip() for y in range(rows.height))


def plan_of(part: Part) -> Plan:
    """Plan a part by rule of thumb."""
    return HandPlanner().plan(part, part.tempo.bpm, Edits())


ONE_BAR = "\nBb2 D3 F3 ~Bb3 A3/2 r/2 E3/4 ~F#3/4\n"


def test_one_bar_on_the_staff_looks_as_it_should() -> None:
    assert drawn(make_part("One", ONE_BAR)) == (
        "1\n"
        "              ╭──╮             ╭─────╮\n"
        "▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▀▁▁▁▄▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁\n"
        "F:▁▁▁▁▁▁▁▁▁▁▁▁▄▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁♯▄▁▁▁▁\n"
        "▁▁▁▁♭▁▁▁▁▁▁▄▁▁▁▁▁▁▁▁▁▁▁▁▁▁γ▁▁▁♮▀▁▁▁▁▁▁▁▁▁▁\n"
        "▁▁▁♭▁▁▁▄▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁\n"
        "▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁\n"
        "       ╘═══╧══╧══╛   └─        ╵     ╵\n"
        "       B♭  D  F  B♭  A         E     F♯\n"
        "       1   4  1  1   2         2     5\n"
        "       ▾   ▾  ▾╌╌╯   ▾         ▾╌╌╌╌╌╯\n"
        "        mf"
    )


def test_the_same_bar_in_letters_and_dashes_only() -> None:
    shown = drawn(make_part("One", ONE_BAR), signs=PLAIN)
    assert shown.isascii()
    assert "_________________@___@____________________" in shown
    assert "       Bb  D  F  Bb  A         E     F#" in shown


def test_a_note_on_a_ledger_line_has_it_and_all_below() -> None:
    """F4 in bass clef stands above two ledger lines, C4 and E4."""
    rows = drawn(make_part("High", "\nF4/16\n"), height=16).split("\n")
    note = next(y for y, row in enumerate(rows) if "▁▀▁" in row)
    assert rows[note + 1].strip() == "▁▁▁"
    assert rows[note + 2].startswith("▁▁▁▁▁▁▁▁▁"), "then the top line"


def test_a_note_held_over_a_bar_line_is_shown_in_both_bars() -> None:
    part = make_part("Held", "\nBb2/8 F3/8\nr/8 D3/8\n")
    first, second, *others = part.notes
    held = replace(second, length=Beats(Fraction(4)))
    part = replace(part, notes=(first, held, *others))
    kinds = [slot.kind for slot in cut_slots(part)]
    assert kinds == ["note", "note", "bar", "tie", "note"]


def compound_part() -> Part:
    """Two bars of six eighths."""
    pitch = Pitch(3, "F")
    notes = tuple(
        Note(
            beats(Fraction(k, 2)),
            beats("1/2"),
            pitch,
            pitch,
            1 + k // 6,
            Fraction(1 + k % 6),
        )
        for k in range(12)
    )
    bars = tuple(Bar(k + 1, beats(3 * k), beats(3), Metre(6, 8)) for k in range(2))
    return replace(make_part(), notes=notes, bars=bars)


def test_six_eighths_are_beamed_in_threes() -> None:
    groups = [slot.group for slot in cut_slots(compound_part()) if slot.kind == "note"]
    assert groups == [0, 0, 0, 1, 1, 1] * 2


def test_an_accidental_holds_for_its_bar_and_is_taken_away_in_the_same() -> None:
    part = make_part("Signs", "\nE3/4 E3/4 Eb3/4 E3/4\nEb3/16\n")
    signs = [slot.accidental for slot in cut_slots(part) if slot.kind == "note"]
    assert signs == [0, None, -1, 0, None]


PITCHES = st.sampled_from(["E2", "Bb2", "D3", "F#3", "Ab3", "C4", "F4", "Bb4"])
WORDS = st.tuples(PITCHES, st.sampled_from(["", "/2", "/3", "/4"])).map("".join)
LINES = st.lists(
    st.lists(WORDS, min_size=1, max_size=12).map(" ".join), min_size=1, max_size=6
)


@given(LINES, st.integers(16, 120))
def test_every_note_stands_once_in_order_and_inside_its_line(
    lines: list[str], width: int
) -> None:
    part = make_part("Any", "\n" + "\n".join(lines) + "\n")
    part = replace(
        part,
        bars=tuple(
            replace(bar, length=max(bar.length, beats(12))) for bar in part.bars[-1:]
        ),
    )
    slots = widen_slots(cut_slots(part), part, None, has_names=True)
    shown = []
    for line in break_lines(part, slots, [width]):
        heads = [placed.head for placed in line.places]
        assert heads == sorted(heads)
        assert line.width <= width or len(line.places) <= 2
        shown += [
            placed.slot.note for placed in line.places if placed.slot.kind == "note"
        ]
        places = [
            float(line.start) + k * float(line.end - line.start) / 20 for k in range(21)
        ]
        cells = [line.x_at(place) for place in places]
        assert cells == sorted(cells), "the playhead never goes back in a line"
        assert cells[0] >= 0
        assert cells[-1] < line.width
    assert shown == list(range(len(part.notes)))


@given(st.integers(1, 12), st.integers(2, 4), st.floats(0, 48))
def test_what_comes_next_stands_there_before_it_is_played(
    count: int, windows: int, place: float
) -> None:
    lines = break_lines_of(count)
    shown = lines_shown(lines, place, windows)
    now = min(count - 1, int(place // 4))
    assert now in shown
    if now + 1 < count and (windows > 2 or place >= 4 * now + 1):
        assert now + 1 in shown
    for window, index in enumerate(shown):
        assert index is None or index % windows == window, "a line keeps its window"


def break_lines_of(count: int) -> tuple[StaffLine, ...]:
    """Give so many lines of one bar each."""
    part = make_part("Lines", "\n" + "F3/16\n" * count)
    return break_lines(part, cut_slots(part), [9])


@given(st.integers(0, 40), st.integers(-4, 0), st.integers(4, 9), st.booleans())
def test_rows_are_never_shared_beyond_the_height(
    height: int, lowest: int, highest: int, has_plan: bool
) -> None:
    rows = share_rows(height, (lowest, highest), has_plan=has_plan)
    assert rows.height <= max(1, height)
    if rows.has_staff:
        assert rows.row_of(2 * lowest) < rows.height


def test_the_half_line_shows_where_there_is_less_air() -> None:
    sheet = Sheet(2, 4)
    draw_column(sheet, 0, (0, 4), 0.9, 0.1)
    draw_column(sheet, 1, (0, 4), 0.3, 0.1)
    assert [sheet.text(y)[0] for y in range(4)] == ["▅", "█", "█", "█"]
    assert [sheet.text(y)[1] for y in range(4)] == [" ", "▁", "▂", "█"]
    assert [style for style, _ in sheet.runs(3)] == ["air--top-half", "air--low"]


@pytest.mark.parametrize("size", [(80, 12), (60, 30), (200, 30), (40, 5)])
@pytest.mark.parametrize(
    "line", [f"{ONE_BAR.strip()} {ONE_BAR.strip()}", "Bb2/8 D3/8 " * 3]
)
async def test_a_picture_that_is_kept_is_as_one_that_is_drawn_anew(
    size: tuple[int, int], line: str
) -> None:
    """What the place decides is drawn only where it changes: thirty times a second."""
    plan = plan_of(make_part("Long", f"\n{line}\nF3/8\n"))
    times, strip = plan.tempo_map, StaffStrip()

    class Frame(App[None]):
        CSS = "StaffStrip { width: 100%; height: 100%; }"

        def compose(self) -> ComposeResult:
            yield strip

        def get_theme_variable_defaults(self) -> dict[str, str]:
            return dict(LAMPLIGHT.variables)

    async with Frame().run_test(size=size) as pilot:
        strip.show_plan(plan)
        await pilot.pause()
        kept = 0
        for k in range(-20, 1200):
            before, place = strip.sheet, k * 0.05
            at = [
                n
                for n, t in enumerate(plan.times)
                if t.start <= times.seconds_at(beats(Fraction(k, 20))) < t.end
            ]
            strip.show_place(place, at[0] if at else None)
            kept += strip.sheet is before
            assert not strip.sheet.changes_since(strip._draw_anew())
        assert kept > 100


@pytest.mark.parametrize(
    ("clef", "fifths", "steps"),
    [
        ("bass", -2, [2, 5]),
        ("bass", 2, [6, 3]),
        ("treble", -3, [4, 7, 3]),
        ("tenor", 1, [2]),
        ("alto", -1, [3]),
    ],
)
def test_signs_of_a_key_stand_where_engravers_set_them(
    clef: str, fifths: int, steps: list[int]
) -> None:
    """Common engraving practice, no published source."""
    assert signature_steps(clef, fifths) == steps


@given(st.integers(1, 80), st.integers(5, 20), st.integers(1, 9))
def test_a_second_staff_comes_only_where_each_keeps_its_names_and_its_air(
    height: int, span: int, most: int
) -> None:
    staves, rows, air = share_height(height, (0, span - 1), most)
    assert 1 <= staves <= most
    assert staves * (rows.height + air) <= max(height, rows.height)
    if staves > 1 and rows.has_staff:
        assert rows.names is not None
        assert air >= 2


def test_levels_side_by_side_are_drawn_as_one_by_one() -> None:
    levels = [-0.1, 0.0, 0.07, 0.5, 0.51, 0.51, 0.9, 1.2, 0.9, 0.3, 0.05]
    at_once, singly = Sheet(len(levels), 4), Sheet(len(levels), 4)
    draw_columns(at_once, 0, (0, 4), levels, 0.1)
    for x, level in enumerate(levels):
        draw_column(singly, x, (0, 4), level, 0.1)
    assert [at_once.runs(y) for y in range(4)] == [singly.runs(y) for y in range(4)]
    assert at_once.text(3)[2:4] == "▂█"
    assert at_once.text(0)[6:8] == "▅█"


def test_names_stand_before_slurs_where_there_is_not_room_for_both() -> None:
    """How each note is begun tells of slurs too; nothing else tells its name."""
    span = (0, 8)
    both = share_rows(9 + 7, span, has_plan=True)
    assert both.names is not None
    assert both.slurs is not None
    one = share_rows(9 + 6, span, has_plan=True)
    assert one.names is not None
    assert one.slurs is None
