"""The note ahead and its position, readable at the smallest promised size."""

from __future__ import annotations

from functools import partial

import pytest

from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.run.gauge import Gauge
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.run.next_note import (
    NextNote,
    note_ahead,
    say_note_ahead,
    word_of_place,
)
from coach.screens.signs import FULL, PLAIN
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.staff.strip_windows import NEXT
from coach.screens.widgets.big_type import set_letters
from tests.hand_rehearsal import HandRehearsal
from tests.planning.slide.slide_shelf import instrument
from tests.screens.paper_studio import PaperStudio, make_part
from tests.screens.playing import go_to_run, play_until, press, text_of
from tests.screens.test_pictures import letters_in, shown


@pytest.fixture
def gauge() -> Gauge:
    """A gauge over sixteenths at ♩ 96."""
    return HandRehearsal(make_part()).conductor.gauge


def test_the_note_ahead_is_that_of_the_next_beat(gauge: Gauge) -> None:
    starts, beat = gauge.starts, gauge.dues[-1] - gauge.dues[-2]
    for k in (0, 1, 5):
        now = Seconds(gauge.first_beat + (k + 0.5) * beat)
        ahead = note_ahead(gauge, now)
        assert ahead is not None
        assert starts[ahead] >= gauge.first_beat + (k + 1) * beat - 1e-6
        assert ahead == 0 or starts[ahead - 1] < gauge.first_beat + (k + 1) * beat


def test_in_the_count_in_it_is_the_first_note(gauge: Gauge) -> None:
    assert note_ahead(gauge, gauge.track.starts) == 0


def test_in_the_last_beat_there_is_none(gauge: Gauge) -> None:
    assert note_ahead(gauge, Seconds(gauge.dues[-1] - 0.01)) is None
    assert say_note_ahead(gauge, Seconds(gauge.dues[-1]), FULL) == ("", "")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_it_stands_in_large_letters_at_every_promised_size(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1.0)
        shown = text_of(app, NextNote)
        conductor = studio.conductors[0]
        name, position = say_note_ahead(conductor.gauge, Seconds(1.0), app.signs)
        assert name
        assert position
        assert "next" in shown
        assert "pos." in shown
        assert shown.count("█") >= 4, "drawn, not written"


async def test_before_a_run_it_is_the_note_that_the_run_begins_with(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    """Whoever lifts the horn wants to know where the slide goes first."""
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to_run(pilot)
        before = text_of(app, NextNote)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, studio.conductors[0].track.starts + 0.1)
        assert text_of(app, NextNote) == before
        await play_until(pilot, studio, clock, 1.0)
        assert text_of(app, NextNote) != before


def test_every_sign_of_a_name_and_a_position_can_be_set() -> None:
    for sign in "ABCDEFGHT♭♯-0123456789":
        assert set_letters(sign), sign


@pytest.mark.parametrize("size", [(40, 15), (80, 24), (200, 60)])
async def test_the_line_that_comes_next_is_named_wherever_lines_stand(
    app: CoachApp, studio: PaperStudio, clock: ManualClock, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await go_to_run(pilot)
        await press(pilot, "space")
        await play_until(pilot, studio, clock, 1.0)
        rows = text_of(app, StaffStrip).splitlines()
        assert sum(row.count(NEXT) for row in rows) == 1
        await play_until(pilot, studio, clock, 19.0)
        assert NEXT not in text_of(app, StaffStrip), "nothing comes after the last line"


@pytest.mark.parametrize("width", [14, 16, 28])
@pytest.mark.parametrize(
    ("name", "position"), [("E♭", "3"), ("B♭", "♭4"), ("D♯", "♯2"), ("F", "T4")]
)
async def test_neither_a_note_nor_its_position_is_cut(
    name: str, position: str, width: int
) -> None:
    """Half of a 3 is a 2."""
    note = NextNote(FULL)
    text = await shown(note, lambda next_: next_.show_note(name, position), width, 4)
    assert letters_in(text, name)
    assert letters_in(text, position) or f"pos. {position}" in text


@pytest.mark.parametrize("width", [14, 16, 28])
@pytest.mark.parametrize("fingering", ["0", "13", "T23"])
async def test_a_player_of_valves_reads_of_valves(fingering: str, width: int) -> None:
    with_valves, with_slide = (
        instrument(name) for name in ("tuba-bb", "tenor-trombone")
    )
    word = word_of_place(with_valves)
    assert word_of_place(with_slide) == "pos."
    note = NextNote(FULL)
    show = partial(NextNote.show_note, name="F", position=fingering, word=word)
    text = await shown(note, show, width, 4)
    assert "valve" in text
    assert "pos." not in text
    assert "next" in text


@pytest.mark.parametrize("width", [14, 15, 16, 17, 18, 28])
async def test_a_position_leaves_a_cell_before_the_figure_of_the_bar(
    width: int,
) -> None:
    """A 4 that touches the 13 beside it is read as 413."""
    note = NextNote(FULL)
    text = await shown(note, lambda next_: next_.show_note("F", "♯4"), width, 4)
    assert all(len(row.rstrip()) < width for row in text.splitlines()[:3])


@pytest.mark.parametrize(
    ("width", "height", "is_large"), [(40, 7, True), (40, 4, False), (12, 7, False)]
)
async def test_plain_signs_are_as_large_where_there_is_room_for_them(
    width: int, height: int, is_large: bool
) -> None:
    """Each of them is a cell of its own, so that it takes twice the rows."""
    note = NextNote(PLAIN)
    text = await shown(note, lambda next_: next_.show_note("Bb", "#4"), width, height)
    rows = text.splitlines()
    if not is_large:
        assert "next Bb  #4"[:width] in rows[0]
        return
    for shape in ("B♭", "♯4"):
        inked = [row.replace(".", " ").rstrip() for row in set_letters(shape)]
        at = rows[0].index(inked[0])
        assert [
            row[at:][: len(ink)] for row, ink in zip(rows, inked, strict=False)
        ] == (inked)
    assert "next" in rows[5]
    assert text.isascii()
