"""Evenness, thin tone and giving out, by levels written by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.due_part import DueBreath, DueNote, DuePart
from coach.rehearsal.hearing.heard import HeardNote, RanOut
from coach.rehearsal.hearing.judging.evenness import (
    find_evenness,
    find_ran_out,
    find_thin,
)
from coach.score.tempo import Seconds

SETTINGS = read_hearing_settings().evenness
QUIET_DB = -80.0
"""The noise of a quiet room."""

TURNING = (58, 62, 58, 65, 58, 62, 58, 65, 58, 62, 58, 65)
SCALE = (46, 48, 50, 51, 53, 55, 57, 58, 60, 62, 63, 65)


def due_of(keys: Sequence[int], loud: Sequence[float] = ()) -> DuePart:
    """Lay out notes of half a second, a breath after the sixth."""
    return DuePart(
        notes=tuple(
            DueNote(
                due=Seconds(k / 2),
                end=Seconds(k / 2 + 0.5),
                written_end=Seconds(k / 2 + 0.5),
                midi=midi,
                loud=loud[k] if loud else 0.0,
            )
            for k, midi in enumerate(keys)
        ),
        breaths=(DueBreath(5, Seconds(2.8), Seconds(3.0)),),
    )


def heard_of(levels: Sequence[float], last_s: float = 0.5) -> tuple[HeardNote, ...]:
    """Hear notes of these levels, the last one so long."""
    ends = [0.5] * (len(levels) - 1) + [last_s]
    return tuple(
        HeardNote(
            due=Seconds(k / 2),
            heard=Seconds(k / 2),
            ended=Seconds(k / 2 + end),
            level_db=level,
        )
        for k, (level, end) in enumerate(zip(levels, ends, strict=True))
    )


def test_a_phrase_that_sinks_has_its_slope() -> None:
    levels = [-20.0 - 2.0 * (k % 6) / 2 for k in range(12)]
    told = find_evenness(due_of(TURNING), levels, SETTINGS)
    assert told is not None
    assert told.slope_db_per_s == pytest.approx(-2.0)
    assert told.spread_db == pytest.approx(0.0, abs=1e-9)


def test_a_scale_that_sinks_is_not_taken_for_its_pitch() -> None:
    """Played once, level against pitch and against time are the same thing."""
    levels = [-20.0 - 2.0 * (k % 6) / 2 for k in range(12)]
    told = find_evenness(due_of(SCALE), levels, SETTINGS)
    assert told is not None
    assert told.slope_db_per_s == pytest.approx(-2.0)


def test_what_each_pitch_has_by_itself_is_not_uneven() -> None:
    own = {58: 0.0, 62: -4.0, 65: 5.0}
    keys = TURNING + TURNING
    told = find_evenness(due_of(keys), [own[key] for key in keys], SETTINGS)
    assert told is not None
    assert told.spread_db < 1.0


def test_dynamics_of_the_page_are_not_uneven() -> None:
    loud = [float(k % 3) for k in range(12)]
    levels = [SETTINGS.step_db * step for step in loud]
    told = find_evenness(due_of(TURNING, loud), levels, SETTINGS)
    assert told is not None
    assert told.spread_db == pytest.approx(0.0, abs=1e-9)


def scattered(spread_db: float, far_off: int = 0) -> float:
    """Tell the spread of two hundred levels that scatter, some of them far off."""
    levels = np.random.default_rng(3).normal(-20.0, spread_db, 200)
    levels[:far_off] += 12.0 * (-1.0) ** np.arange(far_off)
    told = find_evenness(due_of([58] * 200), list(levels), SETTINGS)
    assert told is not None
    return told.spread_db


def test_how_far_levels_scatter_is_told() -> None:
    assert scattered(2.0) == pytest.approx(2.0, abs=0.2)


def test_a_few_notes_that_a_room_makes_loud_or_soft_change_little() -> None:
    assert scattered(2.0, far_off=12) == pytest.approx(2.0, abs=0.3)


def test_what_a_room_spreads_by_itself_is_taken_off() -> None:
    assert scattered(SETTINGS.room_spread_db / 2) == 0.0
    assert scattered(1.0) == pytest.approx(sqrt(1.0 - 0.16), abs=0.1)


def test_a_phrase_of_two_notes_has_no_line_to_scatter_about() -> None:
    part = due_of(TURNING)
    pair = DueBreath(9, Seconds(4.8), Seconds(5.0))
    levels = [-20.0 + 3.0 * (k % 2) for k in range(10)]
    with_pair = replace(part, breaths=(*part.breaths, pair))
    alone = replace(part, notes=part.notes[:10])
    told = find_evenness(with_pair, [*levels, -40.0, -10.0], SETTINGS)
    same = find_evenness(alone, levels, SETTINGS)
    assert told is not None
    assert same is not None
    assert told.spread_db == pytest.approx(same.spread_db)


def test_nothing_is_told_of_too_few_notes() -> None:
    assert find_evenness(due_of(TURNING), [-20.0] * 3 + [None] * 9, SETTINGS) is None
    few = [-20.0 if k % 6 < 2 else None for k in range(12)]
    assert find_evenness(due_of(TURNING), few, SETTINGS) is None
    pairs = due_of(TURNING)
    narrow = DuePart(
        pairs.notes,
        tuple(
            DueBreath(k, Seconds(k / 2 + 0.4), Seconds(k / 2 + 0.5))
            for k in range(1, 11, 2)
        ),
    )
    assert find_evenness(narrow, [-20.0] * 12, SETTINGS) is None
    assert find_thin(pairs, [-3.0] * 4 + [None] * 8, SETTINGS) == ()


def test_a_short_last_note_after_a_fade_gave_out() -> None:
    faded = [-20.0] * 6 + [-20.0, -22.0, -25.0, -28.0, -31.0, -34.0]
    due = due_of(TURNING)
    told = find_ran_out(due, heard_of(faded, 0.15), QUIET_DB, SETTINGS)
    assert told == RanOut(11, Seconds(5.65))
    assert find_ran_out(due, heard_of(faded), QUIET_DB, SETTINGS) is None
    assert find_ran_out(due, heard_of([-20.0] * 12, 0.15), QUIET_DB, SETTINGS) is None


def test_dynamics_played_or_not_are_no_end_of_the_air() -> None:
    softer = [0.0] * 8 + [-1.0, -1.0, -2.0, -2.0]
    played = [-20.0 + SETTINGS.step_db * step for step in softer]
    assert (
        find_ran_out(
            due_of(TURNING, softer), heard_of(played, 0.15), QUIET_DB, SETTINGS
        )
        is None
    )
    louder = [-step for step in softer]
    flat = heard_of([-20.0] * 12, 0.15)
    assert find_ran_out(due_of(TURNING, louder), flat, QUIET_DB, SETTINGS) is None


def test_a_phrase_that_fades_and_is_not_finished_gave_out() -> None:
    faded = [-20.0] * 6 + [-20.0, -24.0, -28.0, -31.0]
    told = find_ran_out(due_of(TURNING), heard_of(faded), QUIET_DB, SETTINGS)
    assert told is not None
    assert told.note == 9
    assert (
        find_ran_out(due_of(TURNING), heard_of(faded[:8]), QUIET_DB, SETTINGS) is None
    )


def test_nothing_is_told_of_a_phrase_that_fades_into_the_noise() -> None:
    """It may have gone on unheard; what stands out of the noise to the end has not."""
    due, faded = due_of(TURNING), [-20.0] * 6 + [-20.0, -24.0, -28.0, -31.0]
    over_db = SETTINGS.gave_out_over_noise_db
    assert find_ran_out(due, heard_of(faded), -31.0 - over_db + 1.0, SETTINGS) is None
    told = find_ran_out(due, heard_of(faded), -31.0 - over_db - 1.0, SETTINGS)
    assert told is not None
    whole = heard_of([*faded, -34.0, -34.0], 0.15)
    told = find_ran_out(due, whole, -36.0, SETTINGS)
    assert told == RanOut(11, Seconds(5.65))


def test_in_noise_a_phrase_must_fall_farther_to_have_given_out() -> None:
    """A soft phrase that is a little short is heard there as if it had."""
    fallen = heard_of([-20.0] * 9 + [-24.0, -26.0, -27.0], 0.15)
    farther = heard_of([-20.0] * 9 + [-24.0, -28.0, -30.0], 0.15)
    due, clear_db = due_of(TURNING), SETTINGS.gave_out_clear_db
    near, far = -27.0 - clear_db + 1.0, -27.0 - clear_db - 1.0
    assert find_ran_out(due, fallen, near, SETTINGS) is None
    for notes, noise_db in ((fallen, far), (farther, near)):
        told = find_ran_out(due, notes, noise_db, SETTINGS)
        assert told == RanOut(11, Seconds(5.65))


def test_tone_that_gets_thin_before_the_breath_is_told() -> None:
    keys = TURNING + TURNING
    due = DuePart(due_of(keys).notes, (DueBreath(11, Seconds(5.8), Seconds(6.0)),))
    bright = [-6.0] * 20 + [-16.0] * 4
    (thin,) = find_thin(due, bright, SETTINGS)
    assert (thin.first, thin.last) == (20, 23)
    assert thin.loss_db == pytest.approx(10.0, abs=3.0)
    assert find_thin(due, [-6.0] * 24, SETTINGS) == ()
    assert find_thin(due_of(TURNING), [-6.0] * 12, SETTINGS) == ()
