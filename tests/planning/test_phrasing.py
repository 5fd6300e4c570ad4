"""Where a musician hears a phrase end."""

from __future__ import annotations

from fractions import Fraction

from coach.planning.phrasing import phrase_ends
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Metre, Part
from coach.score.tempo import Tempo, TempoMap, TempoMark, beats


def part_of(*lengths: str, slurred: tuple[int, ...] = ()) -> Part:
    at = Fraction(0)
    notes = []
    for k, length in enumerate(lengths):
        pitch = Pitch(3, "CDEFGAB"[k % 7])
        notes.append(
            Note(
                beats(at),
                beats(length),
                pitch,
                pitch,
                bar=1 + int(at // 4),
                beat=at % 4 + 1,
                is_slurred=k in slurred,
            )
        )
        at += Fraction(length)
    bars = tuple(
        Bar(k + 1, beats(4 * k), beats(4), Metre(4, 4)) for k in range(int(at // 4) + 1)
    )
    return Part(
        "Study",
        "Trombone",
        "",
        tuple(notes),
        bars,
        Tempo(60.0, beats(1)),
        TempoMap((TempoMark(beats(0), 60.0),)),
    )


def test_one_note_has_no_gap() -> None:
    assert phrase_ends(part_of("1")) == ()


def test_a_long_note_among_sixteenths_ends_a_phrase() -> None:
    ends = phrase_ends(part_of(*["1/4"] * 7, "1", *["1/4"] * 8))
    assert max(range(len(ends)), key=ends.__getitem__) == 7


def test_no_phrase_ends_inside_a_slur() -> None:
    ends = phrase_ends(part_of("1/4", "1/4", "2", "1/4", "1/4", slurred=(3,)))
    assert ends[2] < 0.1
