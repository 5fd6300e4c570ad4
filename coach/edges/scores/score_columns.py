"""A part as plain columns of numbers and words, for JSON, and back.

Columns load ten times faster than rows.  Places and lengths are whole numbers of
ticks; the ticks of a quarter note are chosen so that every one is exact.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from math import lcm
from typing import Any, TypeVar

from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part, RehearsalMark
from coach.score.tempo import Beats, Tempo, TempoMap, TempoMark

Columns = dict[str, Any]
Value = TypeVar("Value")

FLAGS = ("is_slurred", "is_grace", "has_fermata")


def part_to_columns(part: Part) -> Columns:
    """Lay a part out in columns."""
    ticks = _ticks_of(part)

    def to_ticks(values: Iterable[Fraction]) -> list[int]:
        return [int(value * ticks) for value in values]

    notes, bars = part.notes, part.bars
    return {
        "ticks": ticks,
        "title": part.title,
        "name": part.name,
        "key_name": part.key_name,
        "transposition": part.transposition,
        "remarks": list(part.remarks),
        "left_out": list(part.left_out),
        "is_tempo_guessed": part.is_tempo_guessed,
        "tempo": [part.tempo.bpm, *to_ticks([part.tempo.beat])],
        "speeds": {
            "at": to_ticks(mark.at for mark in part.tempo_map.marks),
            "qpm": [mark.quarters_per_minute for mark in part.tempo_map.marks],
        },
        "boxes": {
            "at": to_ticks(mark.at for mark in part.rehearsal_marks),
            "text": [mark.text for mark in part.rehearsal_marks],
        },
        "bars": {
            "number": [bar.number for bar in bars],
            "onset": to_ticks(bar.onset for bar in bars),
            "length": to_ticks(bar.length for bar in bars),
            "first_beat": to_ticks(bar.first_beat for bar in bars),
            "fifths": [bar.fifths for bar in bars],
            "clef": _pack([bar.clef for bar in bars]),
            "metre": _pack([_metre_row(bar.metre) for bar in bars]),
        },
        "notes": {
            "onset": to_ticks(note.onset for note in notes),
            "length": to_ticks(note.length for note in notes),
            "beat": to_ticks(note.beat for note in notes),
            "bar": [note.bar for note in notes],
            "written": _pack([_pitch_row(note.written) for note in notes]),
            "sounding": _pack([_pitch_row(note.sounding) for note in notes]),
            "loud_start": [note.loud_start for note in notes],
            "loud_end": [note.loud_end for note in notes],
            "signs": _pack([sorted(note.articulations) for note in notes]),
            "breath_mark": _pack([note.breath_mark for note in notes]),
            "tuplet": _pack([list(note.tuplet or ()) for note in notes]),
            "position": _pack([note.marked_position for note in notes]),
            **{flag: [int(getattr(note, flag)) for note in notes] for flag in FLAGS},
        },
    }


def part_from_columns(columns: Columns) -> Part:
    """Make a part of columns; a built-in exception when they do not fit together."""
    ticks = int(columns["ticks"])

    def places(values: Sequence[int]) -> list[Fraction]:
        known: dict[int, Fraction] = {}
        return [_remember(known, value, ticks) for value in values]

    speeds, boxes = columns["speeds"], columns["boxes"]
    bpm, beat = columns["tempo"]
    return Part(
        title=str(columns["title"]),
        name=str(columns["name"]),
        source="",
        notes=tuple(_notes(columns["notes"], places)),
        bars=tuple(_bars(columns["bars"], places)),
        tempo=Tempo(float(bpm), Beats(places([beat])[0])),
        tempo_map=TempoMap(
            tuple(
                TempoMark(Beats(at), float(qpm))
                for at, qpm in zip(places(speeds["at"]), speeds["qpm"], strict=True)
            )
        ),
        key_name=str(columns["key_name"]),
        transposition=int(columns["transposition"]),
        rehearsal_marks=tuple(
            RehearsalMark(Beats(at), str(text))
            for at, text in zip(places(boxes["at"]), boxes["text"], strict=True)
        ),
        remarks=tuple(map(str, columns["remarks"])),
        left_out=tuple(map(str, columns["left_out"])),
        is_tempo_guessed=bool(columns["is_tempo_guessed"]),
    )


Places = Callable[[Sequence[int]], list[Fraction]]


def _notes(columns: Columns, places: Places) -> Iterable[Note]:
    """Make notes of their columns."""
    return map(
        Note,
        places(columns["onset"]),
        places(columns["length"]),
        _unpack(columns["written"], _pitch),
        _unpack(columns["sounding"], _pitch),
        columns["bar"],
        places(columns["beat"]),
        columns["loud_start"],
        columns["loud_end"],
        map(bool, columns["is_slurred"]),
        _unpack(columns["signs"], frozenset),
        map(bool, columns["is_grace"]),
        map(bool, columns["has_fermata"]),
        _unpack(columns["breath_mark"], str),
        _unpack(columns["tuplet"], lambda row: tuple(row) if row else None),
        _unpack(columns["position"], str),
    )


def _bars(columns: Columns, places: Places) -> Iterable[Bar]:
    """Make bars of their columns."""
    return map(
        Bar,
        columns["number"],
        places(columns["onset"]),
        places(columns["length"]),
        _unpack(
            columns["metre"],
            lambda row: Metre(row[0], row[1], tuple(row[3:]), bool(row[2])),
        ),
        columns["fifths"],
        _unpack(columns["clef"], str),
        places(columns["first_beat"]),
    )


def _ticks_of(part: Part) -> int:
    """Find how many ticks of a quarter note make every place a whole number."""
    fractions: list[Fraction] = [part.tempo.beat]
    fractions += [mark.at for mark in part.tempo_map.marks]
    fractions += [mark.at for mark in part.rehearsal_marks]
    for bar in part.bars:
        fractions += [bar.onset, bar.length, bar.first_beat]
    for note in part.notes:
        fractions += [note.onset, note.length, note.beat]
    return lcm(*{fraction.denominator for fraction in fractions})


def _remember(known: dict[int, Fraction], value: int, ticks: int) -> Fraction:
    """Make a fraction of ticks; the same one for the same ticks."""
    fraction = known.get(value)
    if fraction is None:
        fraction = known[value] = Fraction(value, ticks)
    return fraction


def _pitch_row(pitch: Pitch) -> list[object]:
    """Lay a pitch out in a row."""
    return [pitch.octave, pitch.step, pitch.alter]


def _pitch(row: Sequence[Any]) -> Pitch:
    return Pitch(int(row[0]), str(row[1]), int(row[2]))


def _metre_row(metre: Metre) -> list[int]:
    """Lay a time signature out as numbers."""
    return [metre.count, metre.unit, int(metre.is_free), *metre.groups]


def _pack(values: Sequence[Any]) -> Columns:
    """Keep each different value once, and which one each row has."""
    order: dict[str, int] = {}
    kinds: list[Any] = []
    rows: list[int] = []
    for value in values:
        text = repr(value)
        if text not in order:
            order[text] = len(kinds)
            kinds.append(value)
        rows.append(order[text])
    return {"kinds": kinds, "rows": rows}


def _unpack(packed: Columns, make: Callable[[Any], Value]) -> list[Value]:
    """Give every row its value; equal rows share one."""
    kinds = [make(kind) for kind in packed["kinds"]]
    return [kinds[row] for row in packed["rows"]]
