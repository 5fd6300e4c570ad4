"""Where a musician hears a phrase end.

Outside check: the phrases that people marked in the ``erk*`` files of the Essen
folk-song collection (H. Schaffrath 1995), from which nothing was learned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.edges.scores.score_files import read_part
from coach.planning.phrasing.phrasing import phrase_ends
from coach.score.metre import Metre
from coach.score.note import Note
from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.benchmarks.essen import Song, in_bars_of_its_metre, read_songs
from tests.benchmarks.phrase_ends import best_cut, local_boundaries, measure
from tests.benchmarks.studies_of_songs import elaborate
from tests.hand_made import part_of

pytestmark = pytest.mark.usefixtures("read_etudes")
ETUDES = sorted((Path(__file__).parents[3] / "etudes").glob("*.musicxml"))
LEAST_F1 = 0.87
"""What the coach promises on all ``erk*`` songs; every ninth is tried here."""


@cache
def held_out_songs() -> tuple[Song, ...]:
    return tuple(read_songs("erk*.abc", every=9))


@cache
def etude(path: Path) -> tuple[Part, tuple[float, ...]]:
    part = read_part(path)
    return part, phrase_ends(part)


def stands_out(chances: Sequence[float], k: int, reach: int = 3) -> bool:
    """Tell whether a gap's chance is above all within `reach` on either side."""
    near = [*chances[max(0, k - reach) : k], *chances[k + 1 : k + 1 + reach]]
    return all(chances[k] > other for other in near)


# Songs


def test_phrases_of_songs_never_learned_from_are_found() -> None:
    songs = held_out_songs()
    figures = measure(songs, [phrase_ends(song.part) for song in songs])
    model = best_cut(songs, [local_boundaries(song.part) for song in songs])
    assert len(songs) > 190
    assert figures.f1 >= LEAST_F1
    assert figures.precision > 0.85
    assert figures.recall > 0.85
    assert figures.f1 > model.f1 + 0.15, "the local boundary detection model"


def test_phrases_are_found_without_the_bar_lines_that_were_written() -> None:
    """So that no line end of the encoding can have shown through a bar line."""
    songs = held_out_songs()
    bare = [phrase_ends(in_bars_of_its_metre(song.part)) for song in songs]
    assert measure(songs, bare).f1 >= LEAST_F1


def test_phrases_are_still_found_when_the_notes_are_broken_up() -> None:
    """Studies made of songs: sixteenths, whose phrase ends are still known."""
    studies = [elaborate(song, 7) for song in held_out_songs()[::2]]
    figures = measure(studies, [phrase_ends(study.part) for study in studies])
    model = best_cut(studies, [local_boundaries(study.part) for study in studies])
    assert figures.f1 > 0.82
    assert figures.f1 > model.f1 + 0.15


def test_a_song_read_by_the_coach_gets_the_same_chances(tmp_path: Path) -> None:
    for song in held_out_songs()[::50]:
        path = tmp_path / "song.abc"
        path.write_text(song.music, encoding="utf-8")
        assert phrase_ends(read_part(path)) == pytest.approx(
            phrase_ends(song.part), abs=0.1
        )


# Etudes


@pytest.mark.parametrize("path", ETUDES, ids=lambda path: path.stem)
def test_every_clear_rest_of_an_etude_is_a_phrase_end(path: Path) -> None:
    part, chances = etude(path)
    bar = float(part.bars[0].metre.length)
    begun = part.notes[0].onset
    for k, chance in enumerate(chances):
        rest = part.notes[k + 1].onset - part.notes[k].end
        if rest >= part.tempo.beat and part.notes[k].end - begun >= bar:
            assert chance >= 0.9, f"after note {k}, bar {part.notes[k].bar}"
        if rest > 0:
            begun = part.notes[k + 1].onset


@pytest.mark.parametrize("path", ETUDES, ids=lambda path: path.stem)
def test_no_phrase_of_an_etude_ends_inside_a_slur(path: Path) -> None:
    part, chances = etude(path)
    for k, chance in enumerate(chances):
        if part.notes[k + 1].is_slurred and not part.notes[k].breath_mark:
            assert chance <= 0.02, f"after note {k}, bar {part.notes[k].bar}"


@pytest.mark.parametrize("path", ETUDES, ids=lambda path: path.stem)
def test_long_slurs_of_an_etude_end_with_a_phrase(path: Path) -> None:
    """Two bars and more under one slur, and a last note longer than most."""
    part, chances = etude(path)
    usual = sorted(note.length for note in part.notes)[len(part.notes) // 2]
    begun = part.notes[0].onset
    for k, chance in enumerate(chances):
        note, after = part.notes[k], part.notes[k + 1]
        if not note.is_slurred:
            begun = note.onset
        is_long = note.end - begun >= 2 * part.bars[0].metre.length - part.tempo.beat
        if note.is_slurred and not after.is_slurred and is_long and note.length > usual:
            assert chance >= 0.5, f"after note {k}, bar {note.bar}"


# Unbroken sixteenths


BAR_WITH_EIGHTH = "F3s A3s C4s A3s F3s A3s C4s A3s Bb3s A3s G3s F3s G3s A3s F3e "


def test_the_eighth_among_sixteenths_stands_out() -> None:
    chances = phrase_ends(part_of(BAR_WITH_EIGHTH * 8 + "F3w"))
    for k in range(14, 14 + 7 * 15, 15):
        assert stands_out(chances, k, reach=10)


def test_unbroken_sixteenths_are_joined_where_the_sequence_begins_anew() -> None:
    steps = ["C D E C D E F D E D C E D C B, G,", "D E F D E F G E F E D F E D C A,"]
    bars = [
        " ".join(f"{name[0]}{3 if ',' not in name else 2}s" for name in bar.split())
        for bar in steps
    ]
    chances = phrase_ends(part_of(" ".join(bars * 4) + " C3w"))
    joints = range(15, len(chances) - 1, 16)
    inside = [k for k in range(len(chances)) if k % 16 not in (14, 15, 0)]
    assert min(chances[k] for k in joints[1::2]) > max(chances[k] for k in inside)


# Slurs, marks, and what cannot be judged


def test_no_phrase_ends_inside_a_slur_however_long_the_note() -> None:
    chances = phrase_ends(part_of("C3s D3s E3w ~F3s E3s D3s C3w"))
    assert chances[2] <= 0.02


def test_a_breath_mark_is_a_phrase_end() -> None:
    chances = phrase_ends(part_of("C3q D3q, E3q F3q C3q D3q E3q F3q"))
    assert chances[1] >= 0.99


def test_one_note_has_no_gap_and_two_have_one() -> None:
    assert phrase_ends(part_of("C3w")) == ()
    assert len(phrase_ends(part_of("C3h D3h"))) == 1


def test_a_grace_note_does_not_end_a_phrase() -> None:
    part = part_of("C3q D3q E3h C3q D3q E3h C3s D3q. E3e F3h")
    notes = list(part.notes)
    notes[6] = replace(notes[6], is_grace=True)
    assert phrase_ends(replace(part, notes=tuple(notes)))[6] <= 0.02


def test_chances_are_the_same_wherever_the_zero_lies() -> None:
    song = held_out_songs()[0].part
    assert song.start < 0, "a pickup lies before zero"
    later = replace(
        song,
        notes=tuple(replace(n, onset=Beats(n.onset + 7)) for n in song.notes),
        bars=tuple(replace(bar, onset=Beats(bar.onset + 7)) for bar in song.bars),
    )
    assert phrase_ends(later) == pytest.approx(phrase_ends(song))


def test_ten_thousand_notes_get_their_chances() -> None:
    chances = phrase_ends(part_of(BAR_WITH_EIGHTH * 667))
    assert len(chances) == 667 * 15 - 1


def test_a_bar_without_end_takes_no_more_time_than_any_other() -> None:
    chances = phrase_ends(part_of("C3q D3q E3q G3q " * 300, metre=Metre(2000, 4)))
    assert len(chances) == 1199


NOTES = st.lists(
    st.tuples(st.sampled_from("CDEFGAB"), st.sampled_from("hqes"), st.booleans()),
    min_size=2,
    max_size=40,
)


@given(NOTES)
@settings(max_examples=60, deadline=None)
def test_chances_are_chances_and_the_key_does_not_matter(
    notes: list[tuple[str, str, bool]],
) -> None:
    words = [f"{'~' * slur}{step}3{length}" for step, length, slur in notes]
    part = part_of(" ".join(words))
    chances = phrase_ends(part)
    assert len(chances) == len(notes) - 1
    assert all(0 <= chance <= 1 for chance in chances)
    assert phrase_ends(transposed(part)) == chances


def transposed(part: Part) -> Part:
    """Play it a tone higher."""

    def up(note: Note) -> Note:
        pitch = note.sounding.moved(1, 2)
        return replace(note, written=pitch, sounding=pitch)

    return replace(part, notes=tuple(up(note) for note in part.notes))


def test_double_note_values_change_nothing() -> None:
    song = held_out_songs()[4].part
    metre = song.bars[0].metre
    assert metre.unit in (4, 8)
    twice = replace(
        song,
        notes=tuple(
            replace(n, onset=Beats(2 * n.onset), length=Beats(2 * n.length))
            for n in song.notes
        ),
        bars=tuple(
            replace(
                bar,
                onset=Beats(2 * bar.onset),
                length=Beats(2 * bar.length),
                metre=replace(metre, unit=metre.unit // 2),
            )
            for bar in song.bars
        ),
    )
    assert phrase_ends(twice) == pytest.approx(phrase_ends(song))
