"""The plans of the etudes are what was read aloud and found good."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.config import read_settings
from coach.planning.air.winds import WindAir
from coach.planning.slide.patterns import Pattern
from coach.score.tempo import beats
from tests.golden.plans import (
    LONG_RUN,
    etudes,
    golden,
    golden_wind,
    long_run,
    plan_text,
    text_of,
    wind_plan,
    wind_text,
)

pytestmark = pytest.mark.usefixtures("read_etudes")


@pytest.mark.parametrize("path", etudes(), ids=lambda path: path.stem)
def test_the_plan_is_the_one_that_was_read(path: Path) -> None:
    """A change that is meant: ``uv run python -m tests.golden.plans``, then read."""
    kept = golden(path)
    assert kept.exists(), (
        f"there is no plan of {path.stem} yet: uv run python -m tests.golden.plans, "
        "then read it with the horn in mind"
    )
    assert plan_text(path) == kept.read_text(encoding="utf-8")


def test_the_trades_own_case_is_played_as_a_teacher_has_it() -> None:
    """One quick breath after the eighth, the next note in time, the top half kept but
    for the last bars, nothing left out, D4 and F4 in fourth, one articulation to the
    end (common practice, no published source)."""
    plan = long_run()
    (breath,) = plan.breaths.breaths
    note = plan.part.notes[breath.after_note]
    assert (note.bar, float(note.beat), float(note.length)) == (4, 3.0, 0.5)
    assert breath.gap < 0.3
    assert breath.next_note == plan.times[breath.after_note + 1].start
    assert plan.breaths.runs_out is None
    assert plan.breaths.left_out == ()
    assert breath.air_before > 0.5
    halfway = next(k for k, level in enumerate(plan.breaths.air_after) if level < 0.5)
    assert plan.part.notes[halfway].bar >= 6
    pair = {
        (str(note.sounding), place.plain)
        for note, place in zip(plan.part.notes, plan.slide.placements, strict=True)
        if str(note.sounding) in {"D4", "F4"}
    }
    assert pair == {("D4", "4"), ("F4", "4")}
    (pattern,) = plan.slide.patterns
    assert (pattern.pattern, pattern.exceptions) == (Pattern.IN_TWOS, ())
    assert text_of(plan) == LONG_RUN.read_text(encoding="utf-8")


def test_an_oboist_breathes_out_first_and_before_the_air_is_stale() -> None:
    """Stale air is breathed out before fresh air comes in, and no air is held for
    longer than it serves (common practice, no published source)."""
    plan = wind_plan("oboe")
    serves_s = read_settings(WindAir, "winds", "oboe").stale_after_s
    starts = [0.0, *(breath.next_note for breath in plan.breaths.breaths)]
    stops = [*(breath.start for breath in plan.breaths.breaths), plan.times[-1].end]
    assert all(b - a < serves_s for a, b in zip(starts, stops, strict=True))
    full = [said.say for said in plan.prompts if said.kind == "full"]
    assert full
    assert all(say.startswith("breathe out, then in,") for say in full)
    assert not any(
        plan.part.notes[breath.after_note + 1].is_slurred
        for breath in plan.breaths.breaths
    )
    assert wind_text(plan) == golden_wind("oboe").read_text(encoding="utf-8")


def test_a_flutist_breathes_after_the_longer_note_of_a_study() -> None:
    """With no rest after a longer note, the next in time (common practice, no published
    source); nothing is left out, and nobody is told to breathe out."""
    plan = wind_plan("flute")
    notes, breaths = plan.part.notes, plan.breaths.breaths
    assert {notes[b.after_note].length for b in breaths} <= {beats(1), beats("1/2")}
    assert all(b.next_note == plan.times[b.after_note + 1].start for b in breaths)
    assert plan.breaths.left_out == ()
    assert plan.breaths.runs_out is None
    assert not any("out" in said.say for said in plan.prompts)
    assert wind_text(plan) == golden_wind("flute").read_text(encoding="utf-8")
