"""Places that go wrong more often than by chance."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from coach.rehearsal.review.trouble import find_trouble, tail
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds
from tests.benchmarks.trouble_spots import (
    FIRST_DAY,
    SETTINGS,
    find_planted,
    share_named_by_chance,
)


def run(
    minute: int, *bars: int, kind: MarkKind = MarkKind.RUSHED, beat: float = 1.0
) -> Run:
    """Make a run of sixteen bars with marks in some."""
    return Run(
        started=FIRST_DAY + timedelta(minutes=minute),
        etude="By Hand",
        from_bar=1,
        to_bar=16,
        bpm=80,
        is_completed=True,
        is_clean=not bars,
        reached_bar=16,
        marks=tuple(Mark(kind, bar, beat, Seconds(bar)) for bar in bars),
    )


@given(st.integers(0, 40), st.integers(0, 40), st.floats(0.001, 0.999))
def test_the_tail_is_that_of_scipy(times: int, runs: int, share: float) -> None:
    """SciPy 1, `scipy.stats.binom.sf`: an independent binomial tail."""
    assert tail(times, runs, share) == pytest.approx(
        binom.sf(times - 1, runs, share), abs=1e-12
    )


@pytest.mark.parametrize("runs", [6, 24, 60])
def test_chance_alone_names_a_place_in_few_etudes(runs: int) -> None:
    assert share_named_by_chance(runs, etudes=60, first_seed=500) <= 0.10


def test_planted_places_are_found_and_mended_ones_are_gone() -> None:
    recall, precision, stay = find_planted(etudes=60, first_seed=500)
    assert recall >= 0.92, "0.95 over many; 60 etudes are 120 places, give or take 0.02"
    assert precision >= 0.90
    assert stay == 0


def test_what_was_mended_long_ago_is_no_trouble() -> None:
    wrong = [run(k, 7) for k in range(8)]
    assert [place.bar for place in find_trouble(wrong, (1, 16), SETTINGS)] == [7]
    others = [run(20 + k, 2 + k) for k in range(12) if k != 5]
    assert find_trouble([*wrong, *others, run(50)], (1, 16), SETTINGS) == ()


def test_recent_runs_are_told_of() -> None:
    runs = [*(run(k) for k in range(20)), *(run(30 + k, 7) for k in range(4))]
    (place,) = find_trouble(runs, (1, 16), SETTINGS)
    assert place.says == "rushed in bar 7 in 4 of the last 6 runs"


def test_one_run_is_the_only_one() -> None:
    (place,) = find_trouble([run(k, 7) for k in range(8)], (1, 16), SETTINGS)
    alone = replace(place, wrong=1, runs=1, seen=1, times={place.kind: 1})
    assert alone.says == "rushed in bar 7 in the only run"


def test_what_is_counted_of_many_runs_is_called_the_last_of_them() -> None:
    """Further back than the longest window nothing is counted, but it was played."""
    most = max(SETTINGS.windows_runs)
    spread = [run(k, *([7] if k % 4 == 3 else [])) for k in range(most)]
    (place,) = find_trouble(spread, (1, 16), SETTINGS)
    (later,) = find_trouble([run(-1), *spread], (1, 16), SETTINGS)
    assert place.says == f"rushed in bar 7 in {most // 4} of the {most} runs"
    assert later.says == f"rushed in bar 7 in {most // 4} of the last {most} runs"


def test_of_several_faults_in_a_bar_each_is_counted() -> None:
    kinds = (MarkKind.RAN_OUT, MarkKind.RAN_OUT, MarkKind.MISSED, MarkKind.RUSHED)
    runs = [run(k, 3, kind=kind) for k, kind in enumerate(kinds)]
    (place,) = find_trouble([*runs, run(20, 3), run(30)], (1, 16), SETTINGS)
    assert place.says == (
        "bar 3 went wrong in 5 of the 6 runs: ran out twice, rushed twice, missed once"
    )


def test_a_place_beside_a_barline_is_one_place() -> None:
    """A key is pressed a little early or late: two bars, and neither enough alone."""
    runs = [run(k, *([7 + k % 4 // 2] if k % 2 else [])) for k in range(8)]
    runs += [run(20, 12)]
    (place,) = find_trouble(runs, (1, 16), SETTINGS)
    assert (place.from_bar, place.to_bar) == (7, 8)
    assert place.says == "rushed in bars 7 to 8 in 4 of the 9 runs"
    mended = [run(30 + k) for k in range(6)]
    assert find_trouble([*runs, *mended], (1, 16), SETTINGS) == ()


def test_two_neighbours_that_fail_are_one_place_too() -> None:
    runs = [run(k, 7, 8) for k in range(6)]
    (place,) = find_trouble(runs, (1, 16), SETTINGS)
    assert (place.from_bar, place.to_bar, place.wrong) == (7, 8, 6)


def test_missed_breaths_come_first() -> None:
    marks = (
        Mark(MarkKind.RAN_OUT, 4, 1.0, Seconds(4)),
        Mark(MarkKind.MISSED_BREATH, 12, 2.0, Seconds(12)),
    )
    runs = [
        Run(
            started=FIRST_DAY + timedelta(minutes=k),
            etude="By Hand",
            from_bar=1,
            to_bar=16,
            bpm=80,
            is_completed=True,
            is_clean=False,
            marks=marks,
        )
        for k in range(6)
    ]
    places = find_trouble(runs, (1, 16), SETTINGS)
    assert [place.kind for place in places] == [
        MarkKind.MISSED_BREATH,
        MarkKind.RAN_OUT,
    ]


def test_false_starts_and_runs_of_other_bars_tell_nothing() -> None:
    false = Run(
        started=FIRST_DAY,
        etude="By Hand",
        from_bar=1,
        to_bar=16,
        bpm=80,
        is_completed=False,
        is_clean=False,
        reached_bar=1,
    )
    assert find_trouble([false] * 9, (1, 16), SETTINGS) == ()
