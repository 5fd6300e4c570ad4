"""The plans of the etudes are what was read aloud and found good."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.planning.slide.patterns import Pattern
from tests.golden.plans import LONG_RUN, etudes, golden, long_run, plan_text, text_of

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
