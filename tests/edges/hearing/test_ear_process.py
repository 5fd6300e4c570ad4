"""The listening process: what it says to nonsense, and when it is gone."""

from __future__ import annotations

import sys
from pathlib import Path
from queue import SimpleQueue
from typing import Any

import pytest

from coach.edges.hearing.ear_process import EarProcess
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.in_child.ear_child import GONE
from coach.errors import GearError
from coach.rehearsal.hearing.due_part import due_part
from tests.hand_made import part_of
from tests.hand_rehearsal import plan_by_hand

PATIENCE_S = 60.0
DUE = to_words(due_part(plan_by_hand(part_of("Bb2q C3q D3h"), [(0.9, 0.7)] * 3)))


def test_one_that_cannot_be_started_is_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/no/such/python")
    with pytest.raises(GearError, match="cannot be started"):
        EarProcess(print)


def test_it_answers_for_each_run_and_says_when_it_is_gone(tmp_path: Path) -> None:
    told: SimpleQueue[dict[str, Any] | None] = SimpleQueue()
    child = EarProcess(told.put)
    child.ask(do="keep", run_id=1, path=str(tmp_path / "run-1.wav"))
    assert told.get(timeout=PATIENCE_S) == {
        "run_id": 1,
        "error": [GONE, ""],
    }
    child.ask(do="begin", due=DUE, run_id=2, is_followed=False)
    child.ask(do="hear", run_id=2, due=DUE, clicks=[])
    assert told.get(timeout=PATIENCE_S) == {"run_id": 2, "nothing": True}
    child.end()
    assert told.get(timeout=PATIENCE_S) is None
