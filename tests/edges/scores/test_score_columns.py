"""A part comes back from its columns as it was."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coach.edges.scores import score_cache
from coach.edges.scores.score_columns import part_from_columns, part_to_columns
from coach.score.metre import Metre
from coach.score.note import LETTERS, Note, Pitch
from coach.score.phrase import Bar, Part, RehearsalMark
from coach.score.tempo import Beats, Tempo, TempoMap, TempoMark, beats
from tests.edges.scores.score_samples import ABC, KERN, MEI, read

PLACES = st.fractions(-4, 500, max_denominator=420).map(Beats)
LENGTHS = st.fractions("1/960", 16, max_denominator=960).map(Beats)
PITCHES = st.builds(
    Pitch, st.integers(0, 8), st.sampled_from(LETTERS), st.integers(-2, 2)
)
NOTES = st.builds(
    Note,
    onset=PLACES,
    length=LENGTHS,
    written=PITCHES,
    sounding=PITCHES,
    bar=st.integers(0, 99),
    beat=st.fractions(1, 9, max_denominator=48),
    loud_start=st.floats(-4, 3),
    loud_end=st.floats(-4, 3),
    is_slurred=st.booleans(),
    articulations=st.frozensets(st.sampled_from(["accent", "tenuto", "staccato"])),
    is_grace=st.booleans(),
    has_fermata=st.booleans(),
    breath_mark=st.sampled_from(["", "breath", "caesura"]),
    tuplet=st.sampled_from([None, (3, 2), (5, 4)]),
    marked_position=st.text(max_size=2),
)
BARS = st.builds(
    Bar,
    number=st.integers(0, 99),
    onset=PLACES,
    length=LENGTHS,
    metre=st.sampled_from(
        [Metre(4, 4), Metre(7, 8, (2, 2, 3)), Metre(5, 4, is_free=True)]
    ),
    fifths=st.integers(-7, 7),
    clef=st.sampled_from(["bass", "tenor", "treble-8"]),
    first_beat=st.fractions(1, 4, max_denominator=8),
)
PARTS = st.builds(
    Part,
    title=st.text(),
    name=st.text(),
    source=st.just(""),
    notes=st.lists(NOTES, min_size=1, max_size=5).map(tuple),
    bars=st.lists(BARS, min_size=1, max_size=3).map(tuple),
    tempo=st.builds(Tempo, st.floats(20, 300), st.just(beats("3/2"))),
    tempo_map=st.lists(PLACES, min_size=1, max_size=3, unique=True).map(
        lambda places: TempoMap(tuple(TempoMark(at, 72.5) for at in sorted(places)))
    ),
    key_name=st.text(),
    transposition=st.integers(-24, 24),
    rehearsal_marks=st.lists(st.builds(RehearsalMark, PLACES, st.text())).map(tuple),
    remarks=st.lists(st.text()).map(tuple),
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(PARTS)
def test_a_part_comes_back_exactly(part: Part) -> None:
    assert part_from_columns(json.loads(json.dumps(part_to_columns(part)))) == part


@pytest.mark.parametrize("content", [ABC, KERN, MEI], ids=["abc", "kern", "mei"])
def test_scores_come_back_exactly(content: str) -> None:
    part = read(content)
    assert part_from_columns(json.loads(json.dumps(part_to_columns(part)))) == part


def test_equal_columns_share_their_values() -> None:
    part = part_from_columns(part_to_columns(read(ABC)))
    first, second = [note for note in part.notes if str(note.written) == "G3"][:2]
    assert first.written is second.written
    assert first.length is second.length


def test_the_cache_keeps_to_its_number_of_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    (tmp_path / "player.toml").write_text("[scores.cache]\nkept_count = 2\n")
    for k in range(4):
        score_cache.store(score_cache.cache_path(b"x", k), {"k": k})
    assert len(list((tmp_path / "cache").iterdir())) == 2
    assert score_cache.load(score_cache.cache_path(b"x", 9)) is None


def test_what_is_no_table_is_not_taken_from_the_cache(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    path = score_cache.cache_path(b"x")
    score_cache.store(path, [1, 2])  # type: ignore[arg-type]
    assert score_cache.load(path) is None
