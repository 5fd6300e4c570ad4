"""Who draws is not kept waiting by who plans."""

from __future__ import annotations

import sys

import pytest

from coach.wiring.terminal.thread_turns import TURN_S, take_turns


def test_threads_take_turns_more_often_than_usual() -> None:
    before = sys.getswitchinterval()
    try:
        take_turns()
        assert sys.getswitchinterval() == pytest.approx(TURN_S)
        assert before > TURN_S
    finally:
        sys.setswitchinterval(before)
