"""The way back on the phrase screen: edits, tempo, moves, bars and room."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import replace

import pytest
from textual.pilot import Pilot

from coach.errors import ScoreError
from coach.planning.edits import Edits
from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.phrase import Part
from coach.screens.app import CoachApp
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.notice import Notice
from tests.screens.paper_studio import PaperStudio, make_part
from tests.screens.playing import press, screen_of, settle, text_of


class MovingStudio(PaperStudio):
    """Moves parts as they are moved: with a title, and so with edits, of their own."""

    moved = 0
    is_gone = False

    def move_further(self, path: str, part: str | None, semitones: int) -> Part:
        assert part is None
        if self.is_gone:
            raise ScoreError("It is gone.", "Look for it.")
        self.moved += semitones
        whole = self.parts[path]
        return replace(
            whole,
            title=f"{whole.title} ({self.moved})" if self.moved else whole.title,
            moved_semitones=self.moved,
            remarks=(f"Moved by {self.moved}.",) if self.moved else (),
        )


@pytest.fixture
def studio(clock: ManualClock) -> MovingStudio:
    return MovingStudio([make_part()], clock)


@pytest.fixture
async def phrase(app: CoachApp) -> AsyncIterator[Pilot[None]]:
    """Open the etude."""
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter")
        assert isinstance(screen_of(app), PhraseScreen)
        yield pilot


def words(app: CoachApp) -> str:
    return app.screen.query_one(Notice).words


def edits(studio: PaperStudio) -> Edits:
    return studio.conductors[-1].edits


def wishes(studio: PaperStudio) -> RunWishes:
    return studio.conductors[-1].wishes


async def test_a_stray_octave_is_undone_and_everything_before_it_still_can_be(
    app: CoachApp, studio: MovingStudio, phrase: Pilot[None]
) -> None:
    await press(phrase, "right", "b", "d", "minus", "minus", "o")
    assert (studio.moved, edits(studio)) == (12, Edits())
    assert wishes(studio).bpm == 88, "the tempo goes along"
    await press(phrase, "u")
    assert studio.moved == 0
    assert words(app) == "Undone: an octave higher. As it is written."
    assert edits(studio).locks.must == {1}
    assert edits(studio).dynamic_shift == 1.0
    await press(phrase, "u", "u")
    assert words(app) == "Undone: tempo 92 instead of 96."
    assert wishes(studio).bpm == 96
    await press(phrase, "u")
    assert words(app) == "Undone: all of it louder."
    await press(phrase, "u")
    assert words(app).startswith("Undone: a breath after bar 1")
    await press(phrase, "u")
    assert words(app) == "nothing to undo"
    await press(phrase, *"UUUU", "U")
    assert studio.moved == 12
    assert words(app) == "Done again: an octave higher. Moved by 12."
    assert wishes(studio).bpm == 88


async def test_back_at_written_pitch_nothing_says_that_it_is_moved(
    app: CoachApp, phrase: Pilot[None]
) -> None:
    await press(phrase, "t", "right")
    assert words(app) == "Moved by 1."
    await press(phrase, "T")
    assert words(app) == "As it is written."
    await press(phrase, "right")
    assert words(app) == ""


async def test_a_move_that_fails_says_so_and_leaves_all_as_it_is(
    app: CoachApp, studio: MovingStudio, phrase: Pilot[None]
) -> None:
    await press(phrase, "d")
    studio.is_gone = True
    await press(phrase, "o")
    assert "It is gone." in words(app)
    assert edits(studio).dynamic_shift == 1.0
    await press(phrase, "u")
    assert words(app) == "Undone: all of it louder."


async def test_bars_and_room_are_changes_too(
    app: CoachApp, studio: MovingStudio, phrase: Pilot[None]
) -> None:
    await press(phrase, "shift+right", "right_square_bracket", "g")
    assert "bars 1 to 2" in text_of(app, Heading)
    await press(phrase, "u")
    assert words(app) == "Undone: a beat of room at each breath."
    assert wishes(studio).room_beats == 0.0
    await press(phrase, "u")
    assert words(app) == "Undone: bars 1 to 2."
    assert "bar" not in text_of(app, Heading)


async def test_a_tempo_that_is_undone_is_as_open_as_it_was(
    studio: MovingStudio, phrase: Pilot[None]
) -> None:
    conductor = studio.conductors[-1]
    conductor.set_wishes(replace(conductor.wishes, is_open=frozenset({"tempo"})))
    await press(phrase, "plus")
    assert wishes(studio).is_open == frozenset()
    await press(phrase, "u")
    assert wishes(studio).is_open == {"tempo"}


async def test_each_change_of_a_breath_is_said(
    app: CoachApp, phrase: Pilot[None]
) -> None:
    await press(phrase, "x")
    assert words(app) == "No breath after bar 1, beat 1."
    await press(phrase, "x")
    assert words(app) == "A breath after bar 1, beat 1 allowed again."
    await press(phrase, "b")
    assert words(app) == "A breath after bar 1, beat 1."
