"""The ear of a run: which blocks make a take, and when it is heard.

The child is played by the test; the real one is in the tests of commands and screens.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from coach.edges.engine_wire import FRAME, read_block
from coach.edges.hearing import run_ear
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.heard_answer import lay_said, lay_told
from coach.edges.hearing.run_ear import LOST, NO_TAKE, STOPPED, RunEar
from coach.edges.hearing.take_settings import read_take_settings
from coach.rehearsal.click.clicks import lay_take
from coach.rehearsal.gear.gear import RunHeard, SoundHeard, TakeKept, TakeSilent
from coach.rehearsal.hearing.due_part import due_part
from coach.rehearsal.hearing.following.told import (
    BreathTold,
    LoudnessTold,
    RunTold,
    StartHeard,
    StartWish,
    StopTold,
)
from coach.rehearsal.hearing.heard import Refusal, Refused
from coach.rehearsal.hearing.take import TakenClick
from coach.score.tempo import Seconds
from tests.hand_heard import heard_of
from tests.hand_made import part_of
from tests.hand_rehearsal import plan_by_hand
from tests.hand_room import HandRoom
from tests.jack_stand import wait_until

DUE = due_part(plan_by_hand(part_of("Bb2q C3q D3h"), [(0.9, 0.7)] * 3))
ENDS = Seconds(4.0)
RATE = 48_000.0
BLOCK_S = 0.05


class HandChild:
    """A child that keeps what it is asked."""

    born: list[HandChild]

    def __init__(self, tell: Callable[[dict[str, Any] | None], None]) -> None:
        self.tell = tell
        self.asked: list[dict[str, Any]] = []
        self.blocks: list[SoundHeard] = []
        self.is_over = False
        self.born.append(self)

    def ask(self, **words: Any) -> None:
        self.asked.append(words)

    def send(self, frame: bytes) -> None:
        self.blocks.append(read_block(frame[FRAME.size :]))

    def end(self) -> None:
        self.is_over = True

    @property
    def does(self) -> list[str]:
        return [words["do"] for words in self.asked]


class BlockRoom(HandRoom):
    """A room in which silence is heard, block by block."""

    def sound(self, at: float, now: float | None) -> None:
        """Let a block be heard."""
        self.time = None if now is None else Seconds(now)
        samples = np.zeros(round(BLOCK_S * RATE), "<f4").tobytes()
        for tell in self.tellers:
            tell(SoundHeard(Seconds(at), RATE, samples, is_timed=True))

    def sound_through(self, begin: float, end: float) -> None:
        """Let a stretch of a run be heard, a fifth of a second late."""
        for k in range(round((end - begin) / BLOCK_S)):
            self.sound(begin + k * BLOCK_S, begin + k * BLOCK_S + 0.2)


@pytest.fixture
def children(monkeypatch: pytest.MonkeyPatch) -> list[HandChild]:
    HandChild.born = []
    monkeypatch.setattr(run_ear, "EarProcess", HandChild)
    return HandChild.born


@pytest.fixture
def room() -> BlockRoom:
    return BlockRoom()


def ear_in(room: BlockRoom, **changes: Any) -> RunEar:
    return RunEar(room, replace(read_take_settings(), **changes))


@pytest.mark.usefixtures("children")
def test_the_microphone_is_open_only_while_it_is_wanted(room: BlockRoom) -> None:
    ear = ear_in(room)
    ear.open()
    ear.open()
    assert (room.is_open, len(room.tellers)) == (True, 1)
    ear.close()
    ear.close()
    assert (room.is_open, room.tellers) == (False, [])


def test_a_run_is_taken_and_heard_once_its_last_note_is_over(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room)
    ear.begin(7, DUE, is_followed=False)
    (child,) = children
    begun = {"do": "begin", "due": to_words(DUE), "run_id": 7, "is_followed": False}
    assert child.asked == [begun]
    room.sound(8000.0, None)
    room.sound(8000.05, -4.1)
    assert child.blocks == [], "the engine's clock is not run time"
    room.sound_through(-4.0, 3.5)
    clicks = (TakenClick(Seconds(-4.0), 0),)
    ear.hear(7, DUE, clicks, ENDS)
    assert child.does == ["begin"]
    for k in range(20):
        room.sound(9000.0 + k * BLOCK_S, None)
    assert child.does == ["begin", "hear"]
    assert child.asked[-1]["run_id"] == 7
    assert child.asked[-1]["clicks"] == [{"at": -4.0, "kind": 0}]
    ends = [block.at for block in child.blocks]
    assert ends == pytest.approx([-4.0 + k * BLOCK_S for k in range(len(ends))])
    assert ends[-1] + BLOCK_S == pytest.approx(4.15, abs=BLOCK_S)
    child.tell({"run_id": 7, **lay_said(heard_of(DUE))})
    assert room.told == [RunHeard(7, heard_of(DUE))]


def test_a_run_that_was_cut_off_is_heard_as_far_as_it_went(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room)
    ear.begin(7, DUE, is_followed=False)
    room.sound_through(-4.0, 2.0)
    ear.hear(7, DUE, (), Seconds(1.5))
    assert children[0].does == ["begin", "hear"]
    children[0].tell({"run_id": 7, **lay_said(Refused(Refusal.SILENT))})
    assert room.told == [RunHeard(7, Refused(Refusal.SILENT))]


def test_a_microphone_that_falls_silent_is_not_waited_for(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room, patience_s=0.01)
    ear.begin(7, DUE, is_followed=False)
    ear.hear(7, DUE, (), ENDS)
    wait_until(lambda: "hear" in children[0].does)
    children[0].tell({"run_id": 7, "nothing": True})
    assert room.told == [RunHeard(7, None, NO_TAKE, has_take=False)]


def test_the_next_run_of_a_row_waits_for_nobody(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room)
    ear.begin(7, DUE, is_followed=False)
    room.sound_through(-4.0, 3.9)
    ear.hear(7, DUE, (), ENDS)
    ear.begin(8, DUE, is_followed=False)
    assert children[0].does == ["begin", "hear", "begin"]
    ear.drop()
    room.sound_through(-4.0, -3.0)
    assert len(children[0].blocks) == round(7.9 / BLOCK_S)
    ear.hear(8, DUE, (), ENDS)
    assert children[0].does == ["begin", "hear", "begin", "drop"]
    assert room.told == [RunHeard(8, None, NO_TAKE, has_take=False)]


def test_a_take_is_kept_when_the_player_says_so_or_always_does(
    room: BlockRoom, children: list[HandChild], home: Path
) -> None:
    ear = ear_in(room, keeps=True)
    ear.begin(7, DUE, is_followed=False)
    room.sound_through(-4.0, 4.5)
    ear.hear(7, DUE, (), ENDS)
    child = children[0]
    child.tell({"run_id": 7, **lay_said(heard_of(DUE))})
    path = str(home / "takes" / "run-7.wav")
    assert child.asked[-1] == {"do": "keep", "run_id": 7, "path": path}
    child.tell({"run_id": 7, "kept": path, "bytes_count": 8_640_044})
    assert room.told[-1] == TakeKept(f"Kept as {path}, 8.6 MB.")
    child.tell({"run_id": 7, "error": ["The disk is full.", "Make room."]})
    assert room.told[-1] == TakeKept("The disk is full. Make room.")


def heard(room: BlockRoom, children: list[HandChild]) -> tuple[RunEar, HandChild]:
    """Give an ear that has heard a run."""
    ear = ear_in(room)
    ear.begin(7, DUE, is_followed=False)
    room.sound_through(-4.0, 4.5)
    ear.hear(7, DUE, (), ENDS)
    child = children[-1]
    child.tell({"run_id": 7, **lay_said(heard_of(DUE))})
    room.told.clear()
    return ear, child


BLOCK = SoundHeard(Seconds(1.0), RATE, bytes(4800))


def test_a_take_is_played_in_the_time_of_its_run(
    room: BlockRoom, children: list[HandChild], home: Path
) -> None:
    ear, child = heard(room, children)
    ear.play(7, Seconds(1.0))
    path = str(home / "takes" / "run-7.wav")
    asked = {"do": "give", "run_id": 7, "path": path, "since": 1.0}
    assert child.asked[-1] == asked
    child.tell({"block": BLOCK})
    child.tell({"block": BLOCK})
    assert (room.held, room.played) == ([BLOCK, BLOCK], [])
    child.tell({"run_id": 7, "begins": 1.0, "ends": 3.5})
    assert room.played == [lay_take(Seconds(1.0), Seconds(3.5))]
    assert room.played[0].is_take
    ear.hush()
    assert room.held == []
    assert room.told == []


@pytest.mark.parametrize("goes_on", [True, False])
def test_a_take_that_is_wanted_no_more_is_not_played(
    room: BlockRoom, children: list[HandChild], goes_on: bool
) -> None:
    ear, child = heard(room, children)
    ear.play(7, Seconds(1.0))
    if goes_on:
        ear.begin(8, DUE, is_followed=False)
    else:
        ear.hush()
    child.tell({"block": BLOCK})
    child.tell({"run_id": 7, "begins": 1.0, "ends": 3.5})
    assert (room.held, room.played) == ([], [])


def test_why_a_take_cannot_be_played_is_told(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear, child = heard(room, children)
    ear.play(7, Seconds(1.0))
    child.tell({"run_id": 7, "silent": "It is gone."})
    assert room.told == [TakeSilent("It is gone.")]
    ear.close()
    ear.play(7, Seconds(1.0))
    assert room.told[-1] == TakeSilent(LOST)


def test_a_take_is_thrown_away_with_its_file(
    room: BlockRoom, children: list[HandChild], home: Path
) -> None:
    ear, child = heard(room, children)
    path = home / "takes" / "run-7.wav"
    path.parent.mkdir()
    path.write_bytes(b"sound")
    ear.throw_away(7)
    assert not path.exists()
    assert child.asked[-1] == {"do": "throw", "run_id": 7}
    assert room.told == [TakeKept("The recording of this run is thrown away.")]
    ear.throw_away(7)
    path.mkdir()
    ear.throw_away(7)
    assert "cannot be thrown away" in room.told[-1].message  # type: ignore[union-attr]


def test_trouble_in_the_child_is_told_of_the_run(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room)
    ear.begin(7, DUE, is_followed=False)
    room.sound_through(-4.0, 4.5)
    ear.hear(7, DUE, (), ENDS)
    children[0].tell({"run_id": 7, "error": ["Too long.", ""]})
    assert room.told == [RunHeard(7, None, "Too long.")]


def test_a_child_that_dies_is_told_of_and_another_hears_the_next_run(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room)
    ear.begin(7, DUE, is_followed=False)
    room.sound_through(-4.0, 4.5)
    ear.hear(7, DUE, (), ENDS)
    ear.begin(8, DUE, is_followed=False)
    children[0].tell(None)
    ear.hear(8, DUE, (), ENDS)
    assert room.told == [
        RunHeard(7, None, STOPPED, has_take=False),
        RunHeard(8, None, NO_TAKE, has_take=False),
    ]
    ear.begin(9, DUE, is_followed=False)
    assert len(children) == 2
    assert len(room.tellers) == 1
    children[0].tell({"run_id": 7, "nothing": True})
    assert len(room.told) == 2, "what an older child says is nobody's business"
    ear.close()
    assert children[1].is_over


def test_what_is_heard_while_a_run_plays_is_told_of_that_run_alone(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room)
    ear.begin(7, DUE, is_followed=True)
    (child,) = children
    assert child.asked[-1]["is_followed"]
    every = (
        BreathTold(1, Seconds(2.0), is_taken=False),
        StopTold(Seconds(3.0)),
        LoudnessTold(Seconds(3.0), 1.5),
    )
    for told in every:
        child.tell({"run_id": 6, **lay_told(told)})
        child.tell({"run_id": 7, **lay_told(told)})
    assert room.told == [RunTold(7, told) for told in every]
    ear.change(DUE)
    assert child.asked[-1] == {"do": "change", "due": to_words(DUE)}
    room.sound_through(-4.0, 2.0)
    ear.hear(7, DUE, (), ENDS)
    ear.change(DUE)
    assert child.does == ["begin", "change"], "what was due in a run that is over stays"


def test_the_room_is_listened_to_for_a_start_between_runs(
    room: BlockRoom, children: list[HandChild]
) -> None:
    ear = ear_in(room)
    wish = StartWish("knock", 40, 60)
    ear.await_start(wish)
    assert children == []
    ear.open()
    ear.await_start(wish)
    (child,) = children
    assert child.asked == [{"do": "await", "wish": to_words(wish)}]
    room.sound(8000.0, None)
    assert len(child.blocks) == 1
    ear.pass_over()
    assert child.does == ["await", "pass-over"]
    child.tell({"start": "knock"})
    ear.begin(7, DUE, is_followed=False)
    ear.pass_over()
    child.tell({"start": "knock"})
    assert room.told == [StartHeard("knock")], "a run that plays is not begun"
    child.tell(None)
    ear.begin(8, DUE, is_followed=False)
    assert children[1].does == ["await", "begin"]
    ear.drop()
    ear.await_start(StartWish("", 40, 60))
    room.sound(8000.0, None)
    assert children[1].blocks == [], "nobody waits for a start"
