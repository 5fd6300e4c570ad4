"""Time without a sound."""

from __future__ import annotations

from coach.edges.engine.silent_player import SilentPlayer
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import ClickPlayer, Fact, ManualClock, TrackEnded
from coach.score.tempo import Seconds

TRACK = ClickTrack((), Seconds(-4.0), Seconds(8.0))


def test_the_count_in_begins_at_once() -> None:
    clock = ManualClock(Seconds(50.0))
    player: ClickPlayer = SilentPlayer(clock)
    assert player.run_time() is None
    player.play(TRACK)
    assert player.run_time() == -4.0
    clock.wait_until(Seconds(55.0))
    assert player.run_time() == 1.0


def test_the_end_is_told_once_and_nothing_was_sent() -> None:
    clock = ManualClock()
    player = SilentPlayer(clock)
    facts: list[Fact] = []
    player.listen(facts.append)
    player.play(TRACK)
    clock.wait_until(Seconds(12.0))
    assert player.run_time() is None
    assert player.run_time() is None
    assert facts == [TrackEnded(Seconds(8.0), Seconds(0.0), sent=0)]


def test_nobody_need_listen() -> None:
    clock = ManualClock()
    player = SilentPlayer(clock)
    player.play(TRACK)
    clock.wait_until(Seconds(99.0))
    assert player.run_time() is None


def test_a_changed_track_goes_on_from_here() -> None:
    clock = ManualClock()
    player = SilentPlayer(clock)
    player.change(TRACK)
    assert player.run_time() is None  # nothing played that could go on
    player.play(TRACK)
    clock.wait_until(Seconds(5.0))
    player.change(ClickTrack((), Seconds(-2.0), Seconds(100.0)))
    assert player.run_time() == 1.0
    clock.wait_until(Seconds(50.0))
    assert player.run_time() == 46.0


def test_stopped_is_stopped_and_says_so() -> None:
    player = SilentPlayer(ManualClock())
    player.play(TRACK)
    player.stop()
    assert player.run_time() is None
    player.play(TRACK)
    player.close()
    assert player.run_time() is None
    assert "silent" in player.says
