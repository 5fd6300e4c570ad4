"""One line of a MIDI track: chords, held-over notes, accompaniment."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import mido
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.edges.scores.in_child.formats.midi_line import Struck, snap, top_line
from tests.edges.scores.score_samples import lengths, midi_file, read, spelled

QUARTER = 480


def line(*notes: tuple[int, int, int]) -> tuple[list[tuple[int, int, int]], bool]:
    kept, is_thinned = top_line([Struck(*note) for note in notes], QUARTER)
    return [(note.on, note.off, note.key) for note in kept], is_thinned


def test_a_line_stays_as_it_is() -> None:
    notes = ((0, 480, 60), (480, 700, 62), (960, 1440, 60))
    assert line(*notes) == (list(notes), False)


def test_a_note_held_over_ends_where_the_next_starts() -> None:
    assert line((0, 500, 64), (480, 960, 60)) == ([(0, 480, 64), (480, 960, 60)], False)


def test_of_a_chord_the_top_note_is_kept() -> None:
    chord = ((0, 480, 60), (1, 480, 67), (2, 480, 64))
    assert line(*chord) == ([(1, 480, 67)], True)


def test_an_accompaniment_under_a_held_note_is_left_out() -> None:
    notes = ((0, 1920, 72), (480, 960, 48), (960, 1440, 48), (1920, 2400, 74))
    kept, is_thinned = line(*notes)
    assert [key for _, _, key in kept] == [72, 48, 74]
    assert is_thinned
    kept, _ = line((0, 1920, 72), (480, 960, 48), (800, 900, 48))
    assert [key for _, _, key in kept] == [72]


def test_a_tune_over_a_held_note_goes_on() -> None:
    kept, _ = line((0, 1920, 48), (480, 960, 72), (960, 1440, 74))
    assert kept == [(0, 480, 48), (480, 960, 72), (960, 1440, 74)]


def test_notes_are_moved_to_the_grid_without_overlap() -> None:
    notes = [Struck(5, 487, 60), Struck(476, 725, 62), Struck(722, 723, 64)]
    snap(notes, (4, 3), QUARTER)
    assert [(note.on, note.off) for note in notes] == [(0, 480), (480, 720), (720, 721)]


TICKS = st.integers(0, 5000)


@settings(deadline=None)
@given(
    st.lists(st.tuples(TICKS, st.integers(1, 2000), st.integers(30, 90)), max_size=20)
)
def test_what_is_kept_is_one_line_of_struck_keys(
    played: list[tuple[int, int, int]],
) -> None:
    notes = [Struck(on, on + length, key) for on, length, key in sorted(played)]
    starts = {(note.on, note.key) for note in notes}
    kept, is_thinned = top_line(notes, QUARTER)
    assert all(a.off <= b.on for a, b in pairwise(kept))
    assert all(note.on < note.off for note in kept)
    assert {(note.on, note.key) for note in kept} <= starts
    assert is_thinned == (len(kept) < len(notes))


def hit(key: int, time: int = 0, *, channel: int = 0, on: bool = True) -> mido.Message:
    kind = "note_on" if on else "note_off"
    return mido.Message(kind, note=key, velocity=64, time=time, channel=channel)


def test_a_legato_line_is_read_without_voices() -> None:
    """Each note is let go 30 ticks after the next one starts."""
    track = [hit(60)]
    for key in (62, 64, 65):
        track += [hit(key, 450), hit(key - (1 if key == 65 else 2), 30, on=False)]
    track.append(hit(65, 450, on=False))
    part = read(midi_file(track))
    assert spelled(part) == "C4 D4 E4 F4"
    assert not any("voices" in remark for remark in part.remarks)


def test_a_key_that_is_struck_again_ends_its_first_note() -> None:
    track = [hit(60), hit(60, 480), hit(60, 480, on=False)]
    part = read(midi_file(track))
    assert lengths(part) == [1, 1]


def repeated(*overlaps: int) -> list[mido.Message]:
    """Quarters of one pitch, each let go some ticks after the next one starts."""
    track, since = [hit(60)], 0
    for overlap in overlaps:
        track += [hit(60, QUARTER - since), hit(60, overlap, on=False)]
        since = overlap
    return [*track, hit(60, QUARTER - since, on=False)]


def test_repeated_notes_may_overlap_like_others() -> None:
    assert lengths(read(midi_file(repeated(20, 20, 60)))) == [1, 1, 1, 1]


def test_a_repeated_note_may_begin_before_the_last_one_is_let_go() -> None:
    """At one tick, in this order, as some programs write it."""
    assert lengths(read(midi_file(repeated(0, 0, 0)))) == [1, 1, 1, 1]


def test_notes_that_are_struck_again_and_let_go_once_keep_their_lengths() -> None:
    """No ends but the last one come: the next long note is not cut short by it."""
    track = [hit(60), hit(60, 480), hit(60, 480), hit(60, 960, on=False)]
    assert lengths(read(midi_file(track))) == [1, 1, 2]


def test_channels_of_one_track_are_lines_of_their_own() -> None:
    track = [
        *(hit(72), hit(48, channel=1)),
        *(hit(72, 960, on=False), hit(48, channel=1, on=False)),
    ]
    part = read(midi_file(track))
    assert "C5" in spelled(part)
    assert not any("sound together" in remark for remark in part.remarks)


def test_chords_in_a_midi_file_are_told() -> None:
    track = [hit(60), hit(64), hit(60, 480, on=False), hit(64, on=False)]
    part = read(midi_file(track))
    assert spelled(part) == "E4"
    assert any("the top one is taken" in remark for remark in part.remarks)
    assert part.notes[0].length == Fraction(1)
