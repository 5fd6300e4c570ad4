"""The child that hears: what it makes of blocks in a run, and between runs."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from coach.edges.engine_wire import FRAME, pack_fact, unpack_words
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.heard_answer import read_told
from coach.edges.hearing.in_child.ear_child import EarChild
from coach.edges.hearing.recording_limits import read_recording_limits
from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.following.told import BreathTold, StartWish
from coach.score.tempo import Seconds
from tests.hearing_room.players import Habits
from tests.hearing_room.takes import Cast, performed

GOOD = Habits(wrong_share=0.0, dropped_share=0.0, fades=False, rushes=False)


@pytest.fixture
def said() -> list[dict[str, Any]]:
    return []


@pytest.fixture
def child(said: list[dict[str, Any]]) -> EarChild:
    def take(frame: bytes) -> None:
        said.append(unpack_words(frame[FRAME.size :]))

    return EarChild(read_recording_limits(), take)


def send(child: EarChild, sound: np.ndarray, rate_hz: float, began: float) -> None:
    """Let the child hear a sound in blocks of a twentieth of a second."""
    count = round(rate_hz / 20)
    for first in range(0, len(sound), count):
        samples = sound[first : first + count].astype("<f4").tobytes()
        at = Seconds(began + first / rate_hz)
        block = SoundHeard(at, rate_hz, samples, is_timed=True)
        child.add(pack_fact(block, 0)[FRAME.size :])


def test_breaths_are_told_while_the_run_is_taken_and_it_is_heard_after_all(
    child: EarChild, said: list[dict[str, Any]]
) -> None:
    one = performed(11, Cast("partials", bpm=120.0, habits=GOOD, phrase_count=2))
    take = one.taken(11)
    due = to_words(one.study.due)
    child.obey({"do": "change", "due": due})
    child.obey({"do": "begin", "due": due, "run_id": 7, "is_followed": True})
    half = len(take.samples) // 2
    began = float(take.sounding.began or 0.0)
    send(child, take.samples[:half], take.rate_hz, began)
    child.obey({"do": "change", "due": due})
    send(child, take.samples[half:], take.rate_hz, began + half / take.rate_hz)
    told = [read_told(answer) for answer in said]
    assert [answer["run_id"] for answer in said] == [7] * len(told)
    assert [t.after_note for t in told if isinstance(t, BreathTold)] == [
        breath.after_note for breath in one.study.due.breaths
    ]
    child.obey({"do": "hear", "run_id": 7, "due": due, "clicks": []})
    assert "heard" in said[-1]


def test_a_run_that_is_not_followed_has_nothing_told_of_it(
    child: EarChild, said: list[dict[str, Any]]
) -> None:
    one = performed(11, Cast("partials", bpm=120.0, habits=GOOD, phrase_count=2))
    words = {"due": to_words(one.study.due), "run_id": 7, "is_followed": False}
    child.obey({"do": "begin", **words})
    send(child, one.dry, 44_100.0, -4.5)
    child.obey({"do": "drop"})
    assert said == []


def test_two_knocks_are_told_between_runs(
    child: EarChild, said: list[dict[str, Any]]
) -> None:
    draw = np.random.default_rng(4)
    sound = draw.normal(0.0, 3e-4, 4 * 16_000)
    for at in (2.0, 2.3):
        begin = round(at * 16_000)
        fall = np.exp(-np.arange(1600) / 120.0)
        sound[begin : begin + 1600] += 0.2 * draw.normal(0.0, 1.0, 1600) * fall
    child.obey({"do": "pass-over"})
    send(child, sound, 16_000.0, 0.0)
    assert said == [], "nobody waits for a start"
    child.obey({"do": "await", "wish": to_words(StartWish("knock", 40, 60))})
    send(child, sound, 16_000.0, 0.0)
    assert said == [{"start": "knock"}]
    send(child, sound[:16_000], 16_000.0, 0.0)
    child.obey({"do": "pass-over"})
    send(child, sound[20_000:44_000], 16_000.0, 0.0)
    assert len(said) == 1
