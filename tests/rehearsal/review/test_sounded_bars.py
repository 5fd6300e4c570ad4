"""Bars that runs which were heard play late or early, loud or soft."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from coach.config import read_settings
from coach.rehearsal.review.review import HeardRuns
from coach.rehearsal.review.sounded_bars import (
    SoundedBars,
    SoundedSettings,
    find_sounded,
    levels_off,
    sounded_evenness,
)
from coach.rehearsal.run.evidence import AskedNote, Evidence, SoundedNote, TakenBreath

SETTINGS = read_settings(SoundedSettings, "rehearsal", "sounded")
BARS, NOTES = 8, 4
Heard = Callable[[int], tuple[float | None, float | None]]


def heard(*runs: Heard, loud: Callable[[int], float] = lambda _: 0.0) -> list[Evidence]:
    """Give runs of eight bars of the same four notes, half a second each.

    Of each bar a run tells how late it is, in seconds, and how loud, in decibels.
    """
    return [
        Evidence(
            notes=tuple(
                AskedNote(k / 2, 0.5, 50 + k % NOTES, loud(k), loud(k), "tongued", 0.0)
                for k in range(BARS * NOTES)
            ),
            breaths=(TakenBreath(15, 7.9, 8.0),),
            sounded=tuple(
                SoundedNote(bar, *run(bar))
                for bar in range(1, BARS + 1)
                for _ in range(NOTES)
            ),
        )
        for run in runs
    ]


def even(_: int) -> tuple[float, float]:
    return 0.005, -20.0


def late_in_3(bar: int) -> tuple[float, float]:
    return (0.05 if bar in (3, 4) else 0.0), -20.0


def soft_at_the_end(bar: int) -> tuple[float, float]:
    return 0.0, -26.0 if bar == BARS else -20.0


def test_neighbouring_bars_that_runs_agree_on_are_told_together() -> None:
    (late,) = find_sounded(heard(*(late_in_3,) * 3), SETTINGS)
    assert (late.kind, late.from_bar, late.to_bar, late.runs) == ("late", 3, 4, 3)
    assert late.amount == pytest.approx(0.05)
    (soft,) = find_sounded(heard(*(soft_at_the_end,) * 4), SETTINGS)
    assert (soft.kind, soft.from_bar, soft.to_bar, soft.runs) == ("soft", 8, 8, 4)
    assert soft.amount == pytest.approx(6.0)


@pytest.mark.parametrize(
    "runs",
    [
        (),
        (even, even, even),
        (late_in_3, late_in_3),
        (late_in_3, even, even),
        (late_in_3, late_in_3, even),
        (lambda _: (None, None),) * 3,
    ],
)
def test_nothing_is_told_where_runs_are_few_even_or_do_not_agree(
    runs: tuple[Heard, ...],
) -> None:
    """Two late and one in time: the middle is late, but they do not agree."""
    assert find_sounded(heard(*runs), SETTINGS) == ()


def test_bars_apart_or_off_on_other_sides_are_told_apart() -> None:
    def here_and_there(bar: int) -> tuple[float, float]:
        return {2: 0.05, 3: -0.04, 6: 0.06}.get(bar, 0.0), -20.0

    found = find_sounded(heard(*(here_and_there,) * 3), SETTINGS)
    told = [(spot.kind, spot.from_bar, spot.to_bar) for spot in found]
    assert told == [("late", 2, 2), ("early", 3, 3), ("late", 6, 6)]


def test_what_the_page_asks_for_is_no_fault() -> None:
    """Bar 8 is marked one and a half steps softer, and is played so."""

    def loud(note: int) -> float:
        return -1.5 if note >= (BARS - 1) * NOTES else 0.0

    assert find_sounded(heard(*(soft_at_the_end,) * 3, loud=loud), SETTINGS) == ()
    (spot,) = find_sounded(heard(even, even, even, loud=loud), SETTINGS)
    assert (spot.kind, spot.from_bar, spot.to_bar) == ("loud", 8, 8)


def test_only_the_newest_runs_that_were_heard_count() -> None:
    old = heard(*(late_in_3,) * 3)
    new = heard(*(even,) * SETTINGS.newest_runs)
    unheard = [Evidence(run.notes, run.breaths) for run in new]
    assert find_sounded([*old, *new], SETTINGS) == ()
    assert len(find_sounded([*old, *unheard], SETTINGS)) == 1


def test_one_note_says_nothing_of_its_bar() -> None:
    runs = heard(*(late_in_3,) * 3)
    thin = [
        replace(
            run,
            sounded=tuple(
                note if k % NOTES == 0 else replace(note, behind_s=None)
                for k, note in enumerate(run.sounded)
            ),
        )
        for run in runs
    ]
    assert find_sounded(thin, SETTINGS) == ()


def test_a_pitch_that_is_heard_seldom_says_nothing_of_loudness() -> None:
    """A bar of high notes is louder in every run, by horn and room alone."""
    runs = [
        Evidence(
            notes=tuple(
                AskedNote(k / 2, 0.5, 50 if k < 8 else 70 + k, 0.0, 0.0, "tongued", 0.0)
                for k in range(12)
            ),
            breaths=(),
            sounded=tuple(
                SoundedNote(1 + k // 4, 0.0, -20.0 if k < 8 else -12.0)
                for k in range(12)
            ),
        )
    ] * 3
    assert find_sounded(runs, SETTINGS) == ()


def test_how_the_sound_is_spent_is_told_by_breath() -> None:
    """Each breath begins loud and loses two decibels a bar, one each second."""

    def spent(bar: int) -> tuple[float, float]:
        return 0.0, -20.0 - 2.0 * ((bar - 1) % 4)

    told = sounded_evenness(heard(spent, spent, spent), SETTINGS)
    assert told is not None
    assert told.slope_db_per_s == pytest.approx(-1.0, abs=0.1)
    assert told.runs == 3
    assert told.says.startswith("Evenness: notes within 0.")
    assert "softer each second, as heard in 3 runs." in told.says
    assert sounded_evenness(heard(spent, spent), SETTINGS) is None
    assert sounded_evenness(heard(*(lambda _: (None, None),) * 3), SETTINGS) is None
    assert HeardRuns(SETTINGS).played == ()


@pytest.mark.parametrize(
    ("spot", "says"),
    [
        (
            SoundedBars("late", 3, 4, 0.048, 5),
            "Bars 3 to 4 are 48 ms behind the click, as heard in 5 runs.",
        ),
        (
            SoundedBars("early", 3, 3, 0.04, 3),
            "Bar 3 is 40 ms ahead of the click, as heard in 3 runs.",
        ),
        (
            SoundedBars("soft", 7, 8, 4.2, 3),
            "Bars 7 to 8 sound 4 dB softer than the page asks, as heard in 3 runs.",
        ),
        (
            SoundedBars("loud", 1, 1, 3.0, 3),
            "Bar 1 sounds 3 dB louder than the page asks, as heard in 3 runs.",
        ),
    ],
)
def test_it_is_said_in_one_sentence(spot: SoundedBars, says: str) -> None:
    assert spot.says == says


def test_a_note_that_fades_is_asked_for_at_the_middle_of_its_hairpin() -> None:
    """From two steps above to none: one step, of 3 dB here."""
    (run,) = heard(even)
    fading = replace(run.notes[0], loud_start=2.0)
    louder = replace(run.sounded[0], level_db=-17.0)
    run = replace(
        run, notes=(fading, *run.notes[1:]), sounded=(louder, *run.sounded[1:])
    )
    assert levels_off(run, 3.0) == pytest.approx([0.0] * len(run.notes))
