"""Studies composed by seed, as they are due: for ears that must be tested on music.

Sixteen bars in a major key: two thirds sixteenths, eighths, a long note at each
phrase end, a breath every two bars, half of them with no rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from coach.rehearsal.hearing.due_part import DueBreath, DueNote, DuePart
from coach.score.tempo import Seconds

Style = Literal["tongued", "mixed", "slurred"]

MAJOR = (0, 2, 4, 5, 7, 9, 11)
BEAT_PATTERNS = (
    (0.25, 0.25, 0.25, 0.25),
    (0.25, 0.25, 0.25, 0.25),
    (0.25, 0.25, 0.25, 0.25),
    (0.5, 0.25, 0.25),
    (0.25, 0.25, 0.5),
    (0.5, 0.5),
)
"""Lengths in quarter notes that fill one beat."""

PHRASE_BEATS = 8
BREATH_S = 0.3
"""What a breath with no rest takes from the note before, as planned."""


@dataclass(frozen=True, slots=True)
class Study:
    """A study at a tempo."""

    due: DuePart
    """What is due."""

    phrases: tuple[tuple[int, int], ...]
    """First and last note of each phrase."""

    bpm: float
    """Quarter notes a minute."""


@dataclass(frozen=True, slots=True)
class Range:
    """What an instrument's studies reach, in sounding keys."""

    lowest: int = 40
    highest: int = 67
    tonic: int = 10
    """Pitch class of the key: 10 is B flat."""


TROMBONE = Range()


def compose_study(
    seed: int,
    style: Style,
    bpm: float,
    reach: Range = TROMBONE,
    phrase_count: int = 8,
) -> Study:
    """Compose a study; the same seed gives the same one."""
    draw = np.random.default_rng([seed, 1])
    scale = [
        key
        for key in range(reach.lowest, reach.highest + 1)
        if (key - reach.tonic) % 12 in MAJOR
    ]
    place = int(draw.integers(len(scale) // 3, 2 * len(scale) // 3))
    rows: list[tuple[float, float, int, bool]] = []
    phrases, breaths = [], []
    for phrase in range(phrase_count):
        first = len(rows)
        has_rest = phrase % 2 == 1
        start = float(phrase * PHRASE_BEATS)
        at = start
        last_long = float(draw.choice([1.0, 1.5, 2.0]))
        rest = float(draw.choice([0.5, 1.0])) if has_rest else 0.0
        lengths: list[float] = []
        while sum(lengths) < PHRASE_BEATS - 2:
            lengths += BEAT_PATTERNS[int(draw.integers(len(BEAT_PATTERNS)))]
        if last_long + rest < 2:
            lengths += [0.25] * round((2 - last_long - rest) / 0.25)
        lengths.append(PHRASE_BEATS - rest - sum(lengths))
        for k, length in enumerate(lengths):
            step = int(draw.choice([-4, -3, -2, -1, -1, 0, 1, 1, 2, 3, 4]))
            if not 0 <= place + step < len(scale):
                step = -step
            place += step
            can_slur = k > 0 and step != 0
            is_slurred = can_slur and (
                style == "slurred" or (style == "mixed" and bool(draw.random() < 0.5))
            )
            rows.append((at, length, scale[place], is_slurred))
            at += length
        phrases.append((first, len(rows) - 1))
        breaths.append((len(rows) - 1, has_rest))
    beat = 60.0 / bpm
    shortened = {after: BREATH_S for after, has_rest in breaths if not has_rest}
    notes = tuple(
        DueNote(
            due=Seconds(at * beat),
            end=Seconds((at + length) * beat - shortened.get(k, 0.0)),
            written_end=Seconds((at + length) * beat),
            midi=midi,
            loud=0.0,
            is_slurred=is_slurred,
        )
        for k, (at, length, midi, is_slurred) in enumerate(rows)
    )
    due = DuePart(
        notes=notes,
        breaths=tuple(
            DueBreath(after, notes[after].end, notes[after + 1].due)
            for after, _ in breaths[:-1]
        ),
        bar_starts=tuple(
            Seconds(4 * bar * beat) for bar in range(phrase_count * PHRASE_BEATS // 4)
        ),
        beat=Seconds(beat),
    )
    return Study(due, tuple(phrases), bpm)
