"""An engine that hangs is told from one that is busy, or starts slowly."""

from __future__ import annotations

import threading

from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.edges.engine.engine_watchdog import Heartbeat, Watchdog, WatchdogSettings
from tests.jack_stand import PATIENCE_S, wait_until

SETTINGS = WatchdogSettings(every_s=0.005, missed_count=4, starting_count=75)


def asked(pulse: Heartbeat, most: int = 1000) -> int:
    """Ask until it counts as hanging; tell how many questions were open then."""
    return next(k for k in range(most) if not pulse.ask())


def test_an_engine_at_work_that_falls_silent_hangs() -> None:
    pulse = Heartbeat(SETTINGS)
    pulse.answer()
    assert asked(pulse) == 4


def test_an_engine_that_starts_may_take_its_time() -> None:
    assert asked(Heartbeat(SETTINGS)) == 75


def test_an_engine_that_opens_gear_is_given_as_long_as_a_start() -> None:
    pulse = Heartbeat(SETTINGS)
    pulse.answer()
    pulse.is_slow = True
    pulse.answer()
    assert asked(pulse) == 75
    pulse.is_slow = False
    assert asked(pulse) == 0


@given(st.lists(st.integers(0, 4), max_size=20))
def test_one_answer_to_any_question_is_a_sign_of_life(open_before: list[int]) -> None:
    """A busy engine may answer the first of four questions only."""
    pulse = Heartbeat(SETTINGS)
    pulse.answer()
    for questions in open_before:
        assert all(pulse.ask() for _ in range(questions))
        pulse.answer()
    assert asked(pulse) == 4


class PaperEngine:
    """An engine that answers, or does not, as a test has it."""

    def __init__(self) -> None:
        self.answers = True
        self.was_asked = threading.Event()
        self.hangs = threading.Event()
        self.watch = Watchdog(SETTINGS, self.ask, self.hangs.set)
        self.watch.answer()

    def ask(self) -> None:
        self.was_asked.set()
        if self.answers:
            self.watch.answer()


def test_nobody_is_asked_while_nothing_plays() -> None:
    engine = PaperEngine()
    quiet_s = 10 * SETTINGS.every_s
    assert not engine.was_asked.wait(quiet_s)
    engine.watch.watch(True)
    assert engine.was_asked.wait(PATIENCE_S)
    engine.watch.watch(False)
    engine.watch.end()
    engine.watch.thread.join(PATIENCE_S)
    assert not engine.watch.thread.is_alive()
    assert not engine.hangs.is_set()


def test_a_hang_is_told_once_and_ends_the_watch() -> None:
    engine = PaperEngine()
    engine.watch.watch(True)
    assert engine.was_asked.wait(PATIENCE_S)
    assert not engine.hangs.is_set()
    engine.answers = False
    assert engine.hangs.wait(PATIENCE_S)
    wait_until(lambda: not engine.watch.thread.is_alive())


def test_a_hang_is_told_within_a_second_and_a_start_is_given_ten() -> None:
    shipped = read_settings(WatchdogSettings, "click", "watchdog")
    assert shipped.every_s * (shipped.missed_count + 1) <= 1.0
    assert shipped.every_s * shipped.starting_count >= 10.0
