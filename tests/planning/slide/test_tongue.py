"""Strokes a second against what a tongue can do."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from coach.config import read_settings
from coach.planning.instrument.placement import Articulation
from coach.planning.slide.tongue import (
    TongueSettings,
    advise_tongue,
    find_stretches,
    most_speedup,
)
from coach.score.tempo import beats
from tests.hand_made import part_of

LIMITS = read_settings(TongueSettings, "tongue")
TONGUED, SLURRED = Articulation.TONGUED, Articulation.NATURAL_SLUR
SIXTEENTHS = "Bb3s C4s D4s C4s " * 4


def advice(
    words: str, bpm: float, *begun: Articulation, offers_slurs: bool = False
) -> tuple[str, ...]:
    part = part_of(words, bpm=bpm)
    pattern = begun or (TONGUED,)
    articulations = [pattern[k % len(pattern)] for k in range(len(part.notes))]
    return advise_tongue(
        part, part.tempo_map, articulations, LIMITS, offers_slurs=offers_slurs
    )


# Single tonguing at most 9 to 10 notes a second, double and triple 12 and faster: a
# contemporary tuba technique handbook (web).  Sixteenths at 132 to 144 are what a
# strong professional single-tongues (8.8 to 9.6 a second), at 176 what double tonguing
# reaches (11.7): pedagogy, from memory.
@pytest.mark.parametrize(
    ("bpm", "says"),
    [
        (116, "demanding for a single tongue"),
        (138, "near the limit of a single tongue: double-tongue or take it 8 %"),
        (170, "too quick for a single tongue: double-tongue or take it 25 % slower"),
        (200, "at the limit of a double tongue"),
        (300, "too quick for any tongue: take it 38 % slower"),
    ],
)
def test_the_tempo_decides_what_the_tongue_is_told(bpm: float, says: str) -> None:
    (sentence,) = advice(SIXTEENTHS, bpm)
    assert says in sentence
    assert sentence.startswith(f"Bar 1: {bpm / 15:.1f} strokes a second")


def test_slurring_in_twos_is_offered_only_where_it_is_for_the_player_to_choose() -> (
    None
):
    (planned,) = advice(SIXTEENTHS, 138)
    (chosen,) = advice(SIXTEENTHS, 138, offers_slurs=True)
    assert "twos" not in planned
    assert "double-tongue, slur in twos or take it" in chosen


def test_sixteenths_can_go_as_fast_as_a_double_tongue() -> None:
    part = part_of(SIXTEENTHS, bpm=100)
    fastest = 100 * most_speedup(part, part.tempo_map, LIMITS)
    assert fastest == pytest.approx(15 * LIMITS.double_limit_per_s)
    faster = part_of("Bb3w C4w " + SIXTEENTHS, bpm=300)
    assert most_speedup(faster, faster.tempo_map, LIMITS) < 1
    graced = replace(
        part,
        notes=tuple(
            replace(note, is_grace=k > 2, onset=beats(4 * min(k, 3)))
            for k, note in enumerate(part.notes)
        ),
    )
    assert most_speedup(graced, part.tempo_map, LIMITS) == inf


def test_an_easy_tempo_needs_no_advice() -> None:
    assert advice(SIXTEENTHS, 80) == ()
    assert advice(SIXTEENTHS, 108) == (), "what good students do, from memory"


def test_slurring_in_twos_gives_the_tongue_its_time() -> None:
    assert advice(SIXTEENTHS, 138, TONGUED, SLURRED) == ()


def test_two_quick_strokes_do_not_tire() -> None:
    assert advice("Bb3s C4s D4e Eb4e", 138) == ()


def test_a_soft_stroke_is_a_stroke() -> None:
    assert advice(SIXTEENTHS, 138, Articulation.LEGATO_TONGUED) != ()


def test_nothing_to_tongue_is_no_stretch() -> None:
    part = part_of(SIXTEENTHS, bpm=138)
    assert find_stretches(part, part.tempo_map, [SLURRED] * 16, LIMITS) == ()


def test_a_stretch_counts_its_own_strokes() -> None:
    part = part_of("Bb3q " + "C4s D4s " * 4 + "Bb3q Bb3q", bpm=120)
    (stretch,) = find_stretches(part, part.tempo_map, [TONGUED] * 11, LIMITS)
    assert (stretch.first, stretch.last) == (1, 9)
    assert stretch.strokes_per_s == pytest.approx(8.0)


def test_the_most_pressing_comes_first_and_bars_are_named() -> None:
    slow, quick = "C4e D4e " * 4, "C4s D4s " * 8
    sentences = advice(slow + quick + slow, 230)
    assert [sentence.split(":")[0] for sentence in sentences] == ["Bars 1 to 3"]
    sentences = advice(f"{slow} Bb3w {quick} Bb3w", 230)
    assert [sentence.split(":")[0] for sentence in sentences] == [
        "Bars 3 to 4",
        "Bars 1 to 2",
    ]


def test_many_stretches_are_not_all_named() -> None:
    (sentence,) = advice("C4s D4s C4s D4s Bb3h. Bb3w " * 8, 138)
    assert sentence.startswith("Bars 1, 3, 5")
    assert "and others" in sentence
