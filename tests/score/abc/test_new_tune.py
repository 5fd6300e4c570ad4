"""The help page tells nothing that the reader does not read."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.score.abc.new_tune import TWELVE_THINGS, new_tune
from coach.score.abc.typed_tune import TypedTune
from tests.score.abc.abc_samples import part_of, reading

README = Path(__file__).parents[3] / "README.md"
HEAD = "X:1\nM:4/4\nL:1/8\nQ:1/4=60\nK:C clef=bass\n"


@pytest.mark.parametrize("thing", TWELVE_THINGS, ids=[row[0] for row in TWELVE_THINGS])
def test_every_example_reads_and_stands_in_the_guide(thing: tuple[str, str]) -> None:
    what, example = thing
    found = reading(f"{HEAD}{example}\n")
    assert found.faults == ()
    assert any(bar.notes for bar in found.pages[0].bars)
    escaped = example.replace("|", "\\|")
    assert f"| {what.replace('|', chr(92) + '|')} | `{escaped}` |" in README.read_text()


def test_there_are_twelve() -> None:
    assert len(TWELVE_THINGS) == 12


@pytest.mark.parametrize(
    ("clef", "semitones", "notes", "sounding"),
    [
        ("bass", 0, "B,,8|", "Bb2"),  # as the head says: low B flat is B,,
        ("tenor", 0, "B,,8|", "Bb2"),
        ("alto", 0, "C8|", "C4"),
        ("treble", 0, "C8|", "C4"),
        ("treble", -2, "C8|", "Bb3"),  # a trumpet in B flat
        ("bass-8", 0, "C8|", "C3"),
    ],
)
def test_a_new_tune_takes_notes_in_the_octave_it_tells(
    clef: str, semitones: int, notes: str, sounding: str
) -> None:
    part = part_of(new_tune("Mine", clef, semitones) + notes)
    assert str(part.notes[0].sounding) == sounding
    assert part.title == "Mine"


def test_the_first_slip_is_said_with_its_place() -> None:
    faulty, doubtful, well = (
        reading(HEAD + notes + "\n") for notes in ("C,#8|", "C,8|D,9|E,8|", "C,8|")
    )
    assert TypedTune(None, faulty.faults, (), "").says.startswith("Line 6, column 3")
    assert "bar 2" in TypedTune(None, (), doubtful.doubts, "").says
    assert TypedTune(None, well.faults, well.doubts, "").says == ""
    both = TypedTune(None, faulty.faults, doubtful.doubts, "")
    assert both.says == TypedTune(None, faulty.faults, (), "").says
    twice = TypedTune(None, faulty.faults * 2, (), "")
    assert f" (and {len(twice.faults) - 1} more). " in twice.says
    assert TypedTune(None, (), (), "Too long.").says == "Too long."
