"""Players by seed: what really sounded of a study, with every fault known."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.due_part import DueNote
from tests.hearing_room.studies import Study

Numbers = NDArray[np.float64]

WRONG_BY = (-7, -5, -2, -1, 1, 2, 5, 7)
"""Semitones: a step, or a missed partial."""

LEAST_IOI_S = 0.055
TONGUE_S = 0.03
"""A note stops where the tongue begins the next, which is heard so much later: voices
take 8 to 47 ms to speak."""


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One note that sounded."""

    note: int
    """Index of the note on the page."""

    on: float
    """When it was heard to begin, in run time."""

    off: float
    """When it stopped."""

    midi: int
    """What sounded."""

    level_db: float
    """How loud, against the others."""

    cents: float
    """How sharp."""

    is_slurred: bool
    """Begun by a change of pitch alone."""


@dataclass(frozen=True, slots=True)
class Played:
    """A performance and what was wrong with it."""

    notes: tuple[PlayedNote, ...]
    """In order of time; restarts play a note twice."""

    dropped: tuple[int, ...] = ()
    """Left out by the player."""

    wrong: tuple[int, ...] = ()
    """Played at another pitch."""

    breaths: tuple[tuple[int, float, float], ...] = ()
    """(after which note, start, end)."""

    late_entries: tuple[int, ...] = ()
    """Late after a breath by 50 ms or more."""

    ran_out: tuple[int, float] | None = None
    """Note that gave out, and when."""

    sagging: tuple[int, ...] = ()
    """Phrases that sag."""

    unplayed: tuple[int, ...] = ()
    """After a stop."""

    last_on: dict[int, float] = field(default_factory=dict)
    """When each note began; of several times through, the last."""


@dataclass(frozen=True, slots=True)
class Habits:
    """How a player plays."""

    jitter_s: float = 0.010
    wander_s: float = 0.008
    cents: float = 9.0
    off_pitch_cents: float = 0.0
    wrong_share: float = 0.02
    dropped_share: float = 0.012
    fades: bool = True
    rushes: bool = True


def perform(study: Study, seed: int, habits: Habits | None = None) -> Played:
    """Play a study with faults; the same seed plays the same."""
    habits = habits or Habits()
    draw = np.random.default_rng([seed, 2])
    due = study.due.notes
    count = len(due)
    behind = _behind(study, draw, habits)
    late, cut = _draw_breaths(study, behind, draw)
    on = np.array([note.due for note in due]) + behind
    for k in range(1, count):
        on[k] = max(on[k], on[k - 1] + LEAST_IOI_S)
    level = draw.normal(0.0, 0.7, count)
    sagging = int(draw.integers(0, len(study.phrases) - 1)) if habits.fades else -1
    if habits.fades:
        _slope(level, study.phrases[sagging], -6.0)
        _slope(level, study.phrases[-1], -17.0)
    wrong, dropped = _faults(study, draw, habits)
    notes: list[PlayedNote] = []
    breaths: list[tuple[int, float, float]] = []
    for k, note in enumerate(due):
        if k in dropped:
            continue
        off = _stops(k, due, on, dropped)
        if k in cut:
            has_rest = note.written_end + 0.01 < due[k + 1].due
            whole = float(on[k] + note.written_end - note.due)
            off = float(on[k + 1]) - cut[k]
            off = max(min(off, whole) if has_rest else off, float(on[k]) + 0.08)
            breaths.append((k, off, float(on[k + 1])))
        if habits.fades and k == count - 1:
            off = float(on[k] + (off - on[k]) / 3)
        notes.append(
            PlayedNote(
                note=k,
                on=float(on[k]),
                off=off,
                midi=note.midi + wrong.get(k, 0),
                level_db=float(level[k]),
                cents=habits.off_pitch_cents + float(draw.normal(0, habits.cents)),
                is_slurred=_is_slurred(k, due, dropped, wrong, notes),
            )
        )
    return Played(
        notes=tuple(notes),
        dropped=tuple(sorted(dropped)),
        wrong=tuple(sorted(wrong)),
        breaths=tuple(breaths),
        late_entries=tuple(late),
        ran_out=(count - 1, notes[-1].off) if habits.fades else None,
        sagging=(sagging,) if habits.fades else (),
        last_on={note.note: note.on for note in notes},
    )


def _draw_breaths(
    study: Study, behind: Numbers, draw: np.random.Generator
) -> tuple[list[int], dict[int, float]]:
    """Draw who comes late after a breath, and how long each breath takes."""
    late: list[int] = []
    cut: dict[int, float] = {}
    for breath in study.due.breaths:
        k = breath.after_note
        if draw.random() < 0.5:
            lateness = float(draw.uniform(0.05, 0.15))
            late.append(k + 1)
            for j, share in enumerate((1.0, 0.6, 0.3)):
                if k + 1 + j < len(behind):
                    behind[k + 1 + j] += lateness * share
        cut[k] = float(draw.uniform(0.16, 0.42))
    return late, cut


def _stops(k: int, due: Sequence[DueNote], on: Numbers, dropped: set[int]) -> float:
    """Tell when a note stops that no breath follows."""
    after = k + 1
    if after == len(due):
        return float(on[k] + due[k].end - due[k].due)
    if after not in dropped:
        return float(on[after]) - (0.0 if due[after].is_slurred else TONGUE_S)
    if due[after].is_slurred and after + 1 < len(due):
        held = 0.0 if due[after + 1].is_slurred else TONGUE_S
        return float(on[after + 1]) - held
    return float(on[after])


def _is_slurred(
    k: int,
    due: Sequence[DueNote],
    dropped: set[int],
    wrong: dict[int, int],
    notes: Sequence[PlayedNote],
) -> bool:
    """Tell whether a note is begun by a change of pitch alone."""
    if not due[k].is_slurred or not notes:
        return False
    if k - 1 in dropped and not due[k - 1].is_slurred:
        return False
    return notes[-1].midi != due[k].midi + wrong.get(k, 0)


def _behind(study: Study, draw: np.random.Generator, habits: Habits) -> Numbers:
    """Draw how far behind each note is, breaths apart."""
    count = len(study.due.notes)
    behind = draw.normal(0.0, habits.jitter_s, count)
    wander = np.zeros(count)
    for k in range(1, count):
        wander[k] = 0.9 * wander[k - 1] + draw.normal(0.0, habits.wander_s * 0.44)
    behind += wander
    if habits.rushes:
        phrases = draw.permutation(len(study.phrases) - 1)[:3]
        for k, phrase in enumerate(phrases):
            first, last = study.phrases[int(phrase)]
            length = min(last - first, int(draw.integers(8, 16)))
            begin = int(draw.integers(first, last - length + 1))
            far = draw.uniform(0.055, 0.11) if k < 2 else -draw.uniform(0.05, 0.1)
            shape = np.minimum(1.0, np.linspace(0.2, 2.0, length))
            behind[begin : begin + length] -= far * shape
            back = min(3, count - begin - length)
            behind[begin + length : begin + length + back] -= (
                far * np.array([0.6, 0.3, 0.1])[:back]
            )
    return behind


def _slope(level: Numbers, phrase: tuple[int, int], by_db: float) -> None:
    """Let a phrase sink."""
    first, last = phrase
    level[first : last + 1] += np.linspace(0.0, by_db, last + 1 - first)


def _faults(
    study: Study, draw: np.random.Generator, habits: Habits
) -> tuple[dict[int, int], set[int]]:
    """Draw wrong and dropped notes, none beside another, none at a breath."""
    count = len(study.due.notes)
    kept = {k for pair in study.phrases for k in pair}
    wrong: dict[int, int] = {}
    dropped: set[int] = set()
    for k in range(1, count - 1):
        chance = draw.random()
        by = int(draw.choice(WRONG_BY))
        taken = {*wrong, *dropped}
        if k in kept or k - 1 in taken:
            continue
        neighbours = {study.due.notes[j].midi for j in (k - 1, k + 1)}
        if chance < habits.wrong_share:
            if study.due.notes[k].midi + by not in neighbours:
                wrong[k] = by
        elif chance < habits.wrong_share + habits.dropped_share:
            dropped.add(k)
    return wrong, dropped


def warp(played: Played, offset_s: float = 0.0, speed: float = 1.0) -> Played:
    """Play the same as a whole late, or faster than the click."""
    return move(played, lambda t: t / speed + offset_s)


def lose_beat(played: Played, at: float, beat: float) -> Played:
    """Come in a beat late from a moment on."""
    return move(played, lambda t: t + (beat if t >= at else 0.0))


def stop(played: Played, share: float) -> Played:
    """Stop after a share of the notes."""
    kept = played.notes[: int(len(played.notes) * share)]
    there = {note.note for note in kept}
    last = kept[-1].on
    return replace(
        played,
        notes=kept,
        unplayed=tuple(n.note for n in played.notes if n.note not in there),
        dropped=tuple(k for k in played.dropped if k < kept[-1].note),
        wrong=tuple(k for k in played.wrong if k in there),
        breaths=tuple(b for b in played.breaths if b[2] <= last),
        late_entries=tuple(k for k in played.late_entries if k in there),
        ran_out=None,
        last_on={note.note: note.on for note in kept},
    )


def restart(played: Played, stop_at: int, again_from: int, pause_s: float) -> Played:
    """Stop at a note and begin again at an earlier one, after a pause."""
    first = [note for note in played.notes if note.note <= stop_at]
    rest = [note for note in played.notes if note.note >= again_from]
    shift = first[-1].off + pause_s - rest[0].on
    again = [
        replace(
            note,
            on=note.on + shift,
            off=note.off + shift,
            is_slurred=note.is_slurred and k > 0,
        )
        for k, note in enumerate(rest)
    ]
    notes = (*first, *again)
    return replace(
        played,
        notes=notes,
        breaths=(),
        late_entries=(),
        ran_out=None,
        last_on={note.note: note.on for note in notes},
    )


def move(played: Played, move: Callable[[float], float]) -> Played:
    """Move every time of a performance."""
    notes = tuple(
        replace(note, on=move(note.on), off=move(note.off)) for note in played.notes
    )
    return replace(
        played,
        notes=notes,
        breaths=tuple((k, move(a), move(b)) for k, a, b in played.breaths),
        ran_out=played.ran_out and (played.ran_out[0], move(played.ran_out[1])),
        last_on={note.note: note.on for note in notes},
    )
