"""What may be heard beside the click: the line, the tonic."""

from __future__ import annotations

import warnings
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from coach.edges.scores.score_files import read_part
from coach.planning.breathing.breaths import Breath
from coach.rehearsal.click.guide import drone_notes, guide_notes
from coach.score.phrase import Part
from coach.score.tempo import Seconds, TempoMap, TempoMark, beats
from tests.hand_made import part_of

LOW_B_FLAT = 46
"""MIDI 1.0: middle C is 60, so that B flat 2 is 46."""


def breath(after_note: int, start: float, next_note: float) -> Breath:
    """Make a breath after a note."""
    return Breath(
        after_note=after_note,
        start=Seconds(start),
        next_note=Seconds(next_note),
        taken=Seconds(next_note - start),
        is_on_rest=False,
        kind="catch",
        air_before=0.5,
        air_after=0.9,
        is_marked=False,
        is_locked=False,
        say_why=lambda: "by hand",
    )


def heard(part: Part, **given: object) -> list[tuple[float, float, int]]:
    """Give start, end and key of each guide note."""
    notes = guide_notes(part, part.tempo_map, **given)  # type: ignore[arg-type]
    return [(note.start, note.end, note.key) for note in notes]


def test_the_line_sounds_as_written_and_rests_are_silent() -> None:
    assert heard(part_of("Bb2q rq D3h")) == [(0, 1, 46), (2, 4, 50)]


def test_the_note_before_a_breath_gives_the_time() -> None:
    line = part_of("Bb2h D3h")
    assert heard(line, breaths=[breath(0, 1.6, 2.0)]) == [(0, 1.6, 46), (2, 4, 50)]


def test_planned_ends_go_before_written_ones() -> None:
    ends = [Seconds(1.5), Seconds(3.5)]
    assert heard(part_of("Bb2h D3h"), ends=ends) == [(0, 1.5, 46), (2, 3.5, 50)]


def test_a_note_that_gives_all_its_time_is_left_out() -> None:
    line = part_of("Bb2h D3h")
    assert heard(line, breaths=[breath(0, 0.0, 2.0)]) == [(2, 4, 50)]


def test_the_guide_sounds_at_sounding_pitch() -> None:
    """A trumpet's written C sounds as B flat."""
    line = part_of("C4q")
    trumpet = replace(line.notes[0], sounding=part_of("Bb3q").notes[0].sounding)
    assert heard(replace(line, notes=(trumpet,)))[0][2] == 58


def test_notes_beyond_what_midi_can_say_stay_within_it() -> None:
    line = part_of("C4q")
    pitch = replace(line.notes[0].sounding, octave=12)
    note = replace(line.notes[0], sounding=pitch)
    assert heard(replace(line, notes=(note,)))[0][2] == 127


def test_the_guide_follows_a_change_of_tempo() -> None:
    line = part_of("Bb2q D3q F3q")
    faster = TempoMap((TempoMark(beats(0), 60.0), TempoMark(beats(1), 120.0)))
    notes = guide_notes(line, faster)
    assert [(float(n.start), float(n.end)) for n in notes] == [
        (0, 1),
        (1, 1.5),
        (1.5, 2),
    ]


def drone_key(key_name: str, fifths: int) -> int:
    """Give the drone of a key, from B flat 2 up."""
    part = part_of("Bb2w")
    bars = tuple(replace(bar, fifths=fifths) for bar in part.bars)
    part = replace(part, bars=bars, key_name=key_name)
    notes = drone_notes(part, part.tempo_map, Seconds(-4.0), LOW_B_FLAT)
    assert len(notes) == 1
    assert (float(notes[0].start), float(notes[0].end)) == (-4, 4)
    return notes[0].key


@pytest.mark.parametrize(
    ("key_name", "fifths", "key"),
    [
        ("B flat major", -2, 46),
        ("G minor", -2, 55),
        ("C major", 0, 48),
        ("A minor", 0, 57),
        ("F sharp minor", 3, 54),
        ("F# major", 6, 54),
        ("Bb minor", -5, 46),
        ("E flat major", -3, 51),
        ("D dorian", 0, 50),
        ("", 2, 50),
        ("unknown", -1, 53),
    ],
)
def test_the_drone_is_the_tonic(key_name: str, fifths: int, key: int) -> None:
    """Circle of fifths: a signature of so many sharps or flats has one major tonic."""
    assert drone_key(key_name, fifths) == key


def test_the_drone_follows_a_change_of_key_and_keeps_the_mode() -> None:
    part = part_of("G2w A2w")
    first, second = part.bars
    bars = (replace(first, fifths=-2), replace(second, fifths=0))
    part = replace(part, bars=bars, key_name="G minor")
    notes = drone_notes(part, part.tempo_map, Seconds(0.0), LOW_B_FLAT)
    assert [(float(n.start), n.key % 12) for n in notes] == [(0, 7), (4, 9)]
    assert [float(n.end) for n in notes] == [4, 8]


def test_guide_notes_fall_where_another_toolkit_has_them() -> None:
    """A concertino with ten changes of tempo, against music21's `secondsMap`.

    Source: music21 10.5 (M. S. Cuthbert), `Stream.secondsMap`, on its own corpus file
    ``weber/concertino_clarinet.mxl`` (1822, public domain).  It has no time for grace
    notes, so these are left out, and the notes that give them their time.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import music21

        path = Path(music21.__file__).parent / "corpus/weber/concertino_clarinet.mxl"
        score: Any = music21.converter.parse(path)
        line = score.parts[0].stripTies().flatten()
        theirs = [
            (entry["offsetSeconds"], entry["durationSeconds"])
            for entry in line.secondsMap
            if isinstance(entry["element"], music21.note.Note)
            and not entry["element"].duration.isGrace
        ]
    part = read_part(path)
    guide = guide_notes(part, part.tempo_map)
    ours = [
        (held.start, held.end - held.start, is_beside_grace)
        for held, note, is_beside_grace in zip(
            guide, part.notes, beside_grace(part), strict=True
        )
        if not note.is_grace
    ]
    assert len(part.tempo_map.marks) > 5
    assert len(ours) == len(theirs)
    compared = [
        ((start, length), other)
        for (start, length, is_beside_grace), other in zip(ours, theirs, strict=True)
        if not is_beside_grace
    ]
    assert len(compared) > 1000
    for mine, other in compared:
        assert mine == pytest.approx(other, abs=1e-6)


def beside_grace(part: Part) -> list[bool]:
    """Tell of each note whether a grace note takes time from it."""
    is_grace = [False, *(note.is_grace for note in part.notes), False]
    return [is_grace[k] or is_grace[k + 2] for k in range(len(part.notes))]
