"""What is heard of the click, and when it is gone."""

from __future__ import annotations

from coach.rehearsal.run.listening import Listening
from coach.score.tempo import Seconds

PATIENCE_S = 3.0
BEGUN = Listening(Seconds(100.0), Seconds(-4.0))


def test_a_click_that_is_heard_is_not_lost() -> None:
    heard = BEGUN.at(Seconds(1.0), Seconds(105.0))
    assert (heard.heard, heard.silent_since) == (1.0, None)
    assert not heard.is_lost(Seconds(1000.0), PATIENCE_S)


def test_a_click_is_lost_once_it_was_silent_for_too_long() -> None:
    silent = BEGUN.at(None, Seconds(101.0)).at(None, Seconds(103.5))
    assert (silent.heard, silent.silent_since) == (-4.0, 101.0)
    assert not silent.is_lost(Seconds(104.0), PATIENCE_S)
    assert silent.is_lost(Seconds(104.1), PATIENCE_S)


def test_a_click_that_comes_back_in_time_is_waited_for_anew() -> None:
    back = BEGUN.at(None, Seconds(101.0)).at(Seconds(2.0), Seconds(103.0))
    again = back.at(None, Seconds(103.5))
    assert not again.is_lost(Seconds(106.0), PATIENCE_S)
