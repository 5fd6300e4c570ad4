"""Runs that the real listening process follows and begins, by sound that is fed to it.

Conductor, log, planner and the child are real; the sound is made by seed, and the clock
is moved by hand, so that nothing here depends on how fast the machine is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from coach.rehearsal.gear.gear import RunHeard
from coach.rehearsal.hearing.due_part import DuePart, due_part
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.following.told import (
    BreathTold,
    RunTold,
    StartBy,
    StartHeard,
)
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run_states import State
from coach.score.phrase import Part
from tests.fed_room import FedRoom
from tests.hand_made import part_of
from tests.hand_rehearsal import HandRehearsal
from tests.hearing_room.players import TONGUE_S, Habits, Played, perform
from tests.hearing_room.rooms import USUAL, pink, record
from tests.hearing_room.studies import Study
from tests.hearing_room.voices import LEAD_S, RATE_HZ, sing

Sound = NDArray[np.float32]

SEED = 11
GOOD = Habits(0.0, 0.0, wrong_share=0.0, dropped_share=0.0, fades=False, rushes=False)
BPM = 100.0
BREATH_S = 0.2
NO_REST = (
    "Bb2s D3s F3s D3s Eb3e G3e Bb3s G3s F3s A3s C4e A3e "
    "D3s F3s Bb3s F3s G3e Eb3e C3s Eb3s D3s F3s D4q "
    "Bb3s A3s G3s F3s Eb3e D3e C3s Bb2s C3s Eb3s G3e Eb3e "
    "D4s C4s Bb3s A3s G3e F3e Eb3s D3s C3s D3s C3q "
)
"""Four bars with nowhere to breathe but out of a note."""


@pytest.fixture
def room() -> Iterator[FedRoom]:
    room = FedRoom(RATE_HZ)
    yield room
    room.ear.close()
    assert not room.is_open


def part() -> Part:
    return part_of(NO_REST * 3)


def state_of(hand: HandRehearsal) -> State:
    return hand.conductor.state


def taken(due: DuePart, played: Played) -> Sound:
    """Record a performance in the usual room; it begins before the count-in."""
    study = Study(due, ((0, len(due.notes) - 1),), BPM)
    return record(sing(played, SEED), study, played, USUAL, SEED).samples


def breathe(due: DuePart, after: int, length_s: float | None) -> Played:
    """Play as planned, but with a breath of this length after a note, or with none."""
    study = Study(due, ((0, len(due.notes) - 1),), BPM)
    played = perform(study, SEED, GOOD)
    notes = list(played.notes)
    again = notes[after + 1]
    off = again.on - (TONGUE_S if length_s is None else length_s)
    notes[after] = replace(notes[after], off=off)
    others = [breath for breath in played.breaths if breath[0] != after]
    own = [] if length_s is None else [(after, off, again.on)]
    return replace(played, notes=tuple(notes), breaths=tuple(sorted(others + own)))


def piece(sound: Sound, begin: float, end: float) -> Sound:
    """Cut a stretch of run time out of a recording."""
    a, b = (round((time + LEAD_S) * RATE_HZ) for time in (begin, end))
    return sound[a:b]


def places(due: DuePart) -> tuple[int, int]:
    """Give a planned breath that may be left out, and an eighth far from any."""
    planned = [breath.after_note for breath in due.breaths]
    notes = due.notes
    turning = [k for k in planned if notes[k].midi != notes[k + 1].midi]
    eighths = [
        k
        for k in range(24, len(notes) - 8)
        if 0.28 < notes[k + 1].due - notes[k].due < 0.35
        and len({note.midi for note in notes[k - 1 : k + 2]}) == 3
        and all(abs(k - other) > 6 for other in planned)
    ]
    return turning[0], eighths[0]


@pytest.mark.parametrize("is_left_out", [True, False], ids=["left out", "taken"])
def test_a_breath_that_is_not_as_planned_is_noted_while_the_run_plays(
    room: FedRoom, is_left_out: bool
) -> None:
    following = FollowWishes(follows=True, stops=True)
    hand = HandRehearsal(
        part(), ear=room.ear, listens=True, following=following, bpm=BPM
    )
    conductor = hand.conductor
    due = due_part(conductor.plan)
    left_out, elsewhere = places(due)
    k = left_out if is_left_out else elsewhere
    sound = taken(due, breathe(due, k, None if is_left_out else BREATH_S))
    told_by = float(due.notes[k + 1].due) + 1.0
    conductor.start()
    begins, ends = float(conductor.track.starts), float(conductor.track.ends)
    room.sound(piece(sound, begins, told_by), begins, hand)
    assert state_of(hand) is State.PLAYING

    def is_it(fact: RunTold) -> bool:
        told = fact.told
        return isinstance(told, BreathTold) and told.after_note == k

    fact = room.wait_for(RunTold, hand, is_it)
    assert isinstance(fact.told, BreathTold)
    assert fact.told.is_taken is not is_left_out
    kind = MarkKind.MISSED_BREATH if is_left_out else MarkKind.BREATHED
    assert [(mark.kind, mark.by) for mark in conductor.marks] == [(kind, "microphone")]
    planned = {breath.after_note for breath in conductor.plan.breaths.breaths}
    assert (k in planned) is not is_left_out
    room.sound(piece(sound, told_by, ends), told_by, hand)
    assert state_of(hand) is State.ENDED
    room.sound(np.zeros(RATE_HZ, dtype=np.float32), ends)
    heard = room.wait_for(RunHeard, hand, lambda _: True)
    assert isinstance(heard.said, Heard), heard
    assert (
        k in {breath.after_note for breath in heard.said.breaths}
    ) is not is_left_out
    run = conductor.finish()
    assert [mark.by for mark in run.marks if mark.kind is kind] == ["microphone"]


def quiet(seconds: float) -> Sound:
    draw = np.random.default_rng([SEED, 7])
    noise = 3e-4 * pink(round(seconds * RATE_HZ), draw)
    return noise.astype(np.float32)


def note_in_the_room() -> Sound:
    """A player warms the horn up: one note of the etude, held for a second."""
    age = np.arange(RATE_HZ) / RATE_HZ
    hertz = 116.54  # B flat 2
    partials = [np.sin(2 * np.pi * n * hertz * age) / n for n in range(1, 13)]
    edges = np.clip(np.minimum(age, age[::-1]) / 0.03, 0.0, 1.0)
    return np.asarray(0.1 * np.sum(partials, axis=0) * edges, dtype=np.float32)


def knocks_in_the_room() -> Sound:
    draw = np.random.default_rng([SEED, 8])
    fall = np.exp(-np.arange(RATE_HZ // 10) / (0.008 * RATE_HZ))
    stroke = 0.2 * draw.normal(0.0, 1.0, len(fall)) * fall
    sound = np.zeros(RATE_HZ // 2)
    for at in (0, round(0.3 * RATE_HZ)):
        sound[at : at + len(stroke)] += stroke
    return sound.astype(np.float32)


@pytest.mark.parametrize(
    ("by", "asks"), [("note", note_in_the_room), ("knock", knocks_in_the_room)]
)
def test_a_sound_begins_a_run_which_is_heard_to_its_end(
    room: FedRoom, by: StartBy, asks: Callable[[], Sound]
) -> None:
    hand = HandRehearsal(
        part_of(NO_REST),
        ear=room.ear,
        listens=True,
        following=FollowWishes(start_by=by),
        bpm=BPM,
    )
    conductor = hand.conductor
    conductor.open_ear()
    assert room.is_open
    room.sound(np.concatenate([quiet(3.0), asks(), quiet(1.5)]), 0.0)
    assert state_of(hand) is State.READY
    room.wait_for(StartHeard, hand, lambda fact: fact.by == by)
    assert state_of(hand) is State.COUNTING_IN
    due = due_part(conductor.plan)
    study = Study(due, ((0, len(due.notes) - 1),), BPM)
    sound = taken(due, perform(study, SEED, GOOD))
    begins, ends = float(conductor.track.starts), float(conductor.track.ends)
    room.sound(piece(sound, begins, ends), begins, hand)
    assert state_of(hand) is State.ENDED
    room.sound(quiet(1.0), ends)
    heard = room.wait_for(RunHeard, hand, lambda _: True)
    assert isinstance(heard.said, Heard), heard
    found = [note.heard is not None for note in heard.said.notes]
    assert sum(found) >= 0.98 * len(found)
    assert heard.run_id == conductor.run_id
