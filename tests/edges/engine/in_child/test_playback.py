"""The engine's schedule on a manual clock: exact to the message."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.edges.engine.engine_settings import EngineSettings
from coach.edges.engine.in_child.playback import Playback
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind, lay_take
from coach.rehearsal.gear.gear import ClickSent, Fact, ManualClock, TrackEnded
from coach.score.tempo import Seconds

SETTINGS = EngineSettings(
    slice_s=0.01,
    lead_s=0.25,
    ports_every_s=0.25,
    skip_late_s=0.125,
    midi_within_s=2.0,
    start_before_clock_s=0.0625,
    realtime_priority_steps=10,
    raised_priority_steps=11,
)
ZERO = 100.25
"""The clock stands at 100; a track that starts at 0 does so after the lead."""

GUIDE, DRONE = 0, 1


class RecordingPort:
    """Keeps what is sent, and when."""

    name = "recording"

    def __init__(self, clock: ManualClock) -> None:
        self.sent: list[tuple[float, str]] = []
        self._clock = clock

    def send(self, message: bytes) -> None:
        self.sent.append((float(self._clock.now()) - ZERO, message.hex(" ")))

    def take(self) -> list[tuple[float, str]]:
        """Give what was sent since the last look."""
        taken, self.sent = self.sent, []
        return taken


class Stage:
    """A playback on a manual clock with a port, and hands to move the clock."""

    def __init__(self, *, has_port: bool = True) -> None:
        self.clock = ManualClock(Seconds(100.0))
        self.facts: list[Fact] = []
        self.port = RecordingPort(self.clock)
        self.playback = Playback(self.clock, SETTINGS, self.facts.append)
        if has_port:
            self.playback.use_port(self.port)
            self.port.take()

    def go_to(self, run_time: float) -> list[tuple[float, str]]:
        """Let the track go on to a run time; give what was sent."""
        end = ZERO + run_time
        while (due := self.playback.step()) is not None and due <= end:
            self.clock.wait_until(due)
        self.clock.wait_until(Seconds(end))
        self.playback.step()
        return self.port.take()

    def told(self, kind: type) -> list[Fact]:
        """Give the facts of a kind."""
        return [fact for fact in self.facts if isinstance(fact, kind)]


def stroke(due: float, velocity: int = 100, length: float = 0.0625) -> Click:
    """Make a stroke of percussion."""
    return Click(Seconds(due), Seconds(length), SoundKind.BEAT, 9, 76, velocity)


def held(
    due: float, length: float, key: int = 46, kind: SoundKind = SoundKind.GUIDE
) -> Click:
    """Make a held note."""
    channel = DRONE if kind is SoundKind.DRONE else GUIDE
    return Click(Seconds(due), Seconds(length), kind, channel, key, 64)


def track(*clicks: Click, starts: float = 0.0, ends: float = 4.0) -> ClickTrack:
    """Make a track."""
    return ClickTrack(clicks, Seconds(starts), Seconds(ends))


def with_clocks(made: ClickTrack, *, position: int = 0) -> ClickTrack:
    """Add clocks at 60 quarters a minute, 24 a second."""
    count = round((made.ends - made.starts) * 24)
    clocks = tuple(Seconds(made.starts + k / 24) for k in range(count))
    return replace(made, clocks=clocks, song_position=position)


ON, OFF = "99 4c 64", "89 4c 00"
LET_GO_9 = ["b9 40 00", "b9 7b 00"]
LET_GO_0 = ["b0 40 00", "b0 7b 00"]


def test_each_sound_goes_out_at_its_due_time_and_is_ended() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0), stroke(1.0)))
    assert stage.go_to(2.0) == [(0.0, ON), (0.0625, OFF), (1.0, ON), (1.0625, OFF)]


def test_each_click_is_told_with_due_and_sent() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0), stroke(1.0)))
    stage.go_to(2.0)
    assert stage.told(ClickSent) == [
        ClickSent(Seconds(0.0), Seconds(0.0)),
        ClickSent(Seconds(1.0), Seconds(1.0)),
    ]


def test_a_late_clock_shows_in_what_was_sent_and_not_in_what_comes() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0), stroke(1.0), stroke(2.0)))
    stage.go_to(0.5)
    stage.clock.wait_until(Seconds(ZERO + 1.03125))
    stage.playback.step()
    stage.go_to(3.0)
    lateness = [
        float(fact.sent - fact.due)
        for fact in stage.facts
        if isinstance(fact, ClickSent)
    ]
    assert lateness == [0.0, 0.03125, 0.0]
    assert list(stage.playback.lateness) == [0.0, 0.03125, 0.0]


def test_a_sound_that_is_far_too_late_is_left_out() -> None:
    """After a laptop was shut, clicks must not come in a burst."""
    stage = Stage()
    stage.playback.play(track(stroke(0.0), stroke(1.0), stroke(2.0)))
    stage.go_to(0.5)
    stage.clock.wait_until(Seconds(ZERO + 1.5))
    stage.playback.step()
    assert stage.port.take() == []
    assert stage.facts[-1] == ClickSent(Seconds(1.0), Seconds(1.5), is_heard=False)
    assert stage.go_to(2.0) == [(2.0, ON)]


def test_a_shown_click_is_told_and_not_sounded() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0, velocity=0)))
    assert stage.go_to(1.0) == []
    assert stage.facts == [ClickSent(Seconds(0.0), Seconds(0.0), is_heard=False)]


def test_a_take_goes_to_no_port_and_its_end_is_told() -> None:
    stage = Stage()
    stage.playback.play(lay_take(Seconds(2.0), Seconds(3.0)))
    assert stage.go_to(0.5) == []
    assert stage.told(TrackEnded) == []
    assert [message for _, message in stage.go_to(1.5)] == LET_GO_0
    assert [fact.at for fact in stage.facts if isinstance(fact, TrackEnded)] == [3.0]


def test_without_a_port_clicks_are_told_all_the_same() -> None:
    stage = Stage(has_port=False)
    stage.playback.play(track(stroke(0.0), ends=1.0))
    stage.go_to(2.0)
    assert stage.facts == [
        ClickSent(Seconds(0.0), Seconds(0.0), is_heard=False),
        TrackEnded(Seconds(1.0), Seconds(0.0), sent=0),
    ]
    assert len(stage.playback.lateness) == 0


def test_the_end_of_the_track_ends_all_notes_and_is_told() -> None:
    stage = Stage()
    stage.playback.play(track(held(0.0, 9.0), ends=1.0))
    stage.go_to(0.5)
    assert stage.go_to(1.5) == [(1.0, message) for message in ("80 2e 00", *LET_GO_0)]
    assert stage.facts[-1] == TrackEnded(Seconds(1.0), Seconds(0.0), sent=1)
    assert stage.playback.origin is None
    assert stage.playback.step() is None


def test_the_track_is_over_after_all_that_is_due_with_its_end() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(1.0), ends=1.0))
    assert [message for _, message in stage.go_to(1.5)] == [ON, OFF, *LET_GO_9]


def test_a_stop_ends_all_notes_at_once_and_tells_no_end() -> None:
    stage = Stage()
    stage.playback.play(track(held(0.0, 3.0), stroke(0.5)))
    stage.go_to(0.53125)
    stage.playback.stop()
    assert [message for _, message in stage.port.take()] == [
        "80 2e 00",
        OFF,
        *LET_GO_0,
        *LET_GO_9,
    ]
    assert stage.told(TrackEnded) == []
    assert stage.go_to(4.0) == []
    stage.playback.stop()
    assert stage.port.take() == []


def test_a_new_track_ends_the_one_before_it() -> None:
    stage = Stage()
    stage.playback.play(track(held(0.0, 3.0)))
    stage.go_to(1.0)
    stage.playback.play(track(stroke(0.0)))
    assert [message for _, message in stage.port.take()] == ["80 2e 00", *LET_GO_0]


def test_a_track_starts_after_a_lead_and_not_before_gear_is_ready() -> None:
    stage = Stage()
    assert float(stage.playback.play(track(starts=-2.0))) == 100 + 0.25 + 2
    assert float(stage.playback.play(track(), ready_in=Seconds(0.5))) == 100.5


def test_a_key_that_is_struck_while_it_sounds_is_ended_first() -> None:
    stage = Stage()
    stage.playback.play(track(held(0.0, 2.0), held(1.0, 2.0)))
    assert stage.go_to(3.5) == [
        (0.0, "90 2e 40"),
        (1.0, "80 2e 00"),
        (1.0, "90 2e 40"),
        (3.0, "80 2e 00"),
    ]


def test_a_note_that_ends_when_another_begins_ends_first() -> None:
    stage = Stage()
    stage.playback.play(track(held(0.0, 1.0, key=46), held(1.0, 1.0, key=50)))
    assert [message for _, message in stage.go_to(1.0)] == [
        "90 2e 40",
        "80 2e 00",
        "90 32 40",
    ]


def test_programs_are_chosen_before_the_first_sound() -> None:
    stage = Stage()
    stage.playback.play(replace(track(held(0.0, 1.0)), programs=((0, 57), (1, 19))))
    assert [message for _, message in stage.go_to(0.0)] == [
        "c0 39",
        "c1 13",
        "90 2e 40",
    ]


def test_slow_gear_is_sent_to_early_and_told_as_heard() -> None:
    stage = Stage()
    stage.playback.delay = Seconds(0.5)
    stage.playback.play(track(stroke(0.0), stroke(1.0)))
    assert [time for time, message in stage.go_to(3.0) if message == ON] == [0.0, 1.0]
    assert float(stage.playback.origin or 0.0) == ZERO + 0.5
    assert stage.told(ClickSent)[0] == ClickSent(Seconds(0.0), Seconds(0.0))


def test_a_change_goes_on_in_the_same_time_and_leaves_the_past_alone() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0), stroke(1.0), stroke(2.0), stroke(3.0)))
    stage.go_to(1.5)
    faster = [stroke(k / 2) for k in range(8)]
    stage.playback.change(track(*faster))
    later = [(time, message) for time, message in stage.go_to(2.75) if message == ON]
    assert later == [(1.5, ON), (2.0, ON), (2.5, ON)]


def test_a_change_on_a_beat_does_not_sound_that_beat_twice() -> None:
    stage = Stage()
    clicks = (stroke(0.0), stroke(1.0), stroke(2.0))
    stage.playback.play(track(*clicks))
    stage.go_to(1.0)
    stage.playback.change(track(*clicks))
    assert [m for _, m in stage.go_to(2.0) if m == ON] == [ON]


def test_a_change_ends_notes_that_the_new_track_does_not_hold() -> None:
    stage = Stage()
    stage.playback.play(track(held(0.0, 3.0, key=46), held(0.0, 3.0, key=50)))
    stage.go_to(1.0)
    stage.playback.change(track(held(0.0, 2.0, key=46)))
    assert stage.port.take() == [(1.0, "80 32 00")]
    assert stage.go_to(3.5) == [(2.0, "80 2e 00")]


def test_a_drone_that_is_switched_on_begins_at_once() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0)))
    stage.go_to(1.0)
    stage.playback.change(track(stroke(0.0), held(0.0, 4.0, kind=SoundKind.DRONE)))
    assert stage.port.take() == [(1.0, "91 2e 40")]


def test_a_guide_that_is_switched_on_waits_for_its_next_note() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0)))
    stage.go_to(1.0)
    stage.playback.change(track(held(0.0, 2.0), held(2.0, 1.0, key=50)))
    assert stage.port.take() == []
    assert stage.go_to(2.0) == [(2.0, "90 32 40")]


def test_a_change_while_nothing_plays_is_nothing() -> None:
    stage = Stage()
    stage.playback.change(track(stroke(0.0)))
    assert stage.go_to(1.0) == []


def test_a_change_to_a_track_that_is_over_comes_to_its_end() -> None:
    stage = Stage()
    stage.playback.play(track(stroke(0.0)))
    stage.go_to(2.0)
    stage.playback.change(track(stroke(0.0), ends=1.0))
    stage.go_to(2.0)
    assert stage.told(TrackEnded) != []


def test_clocks_and_start_go_out_for_other_gear() -> None:
    stage = Stage()
    stage.playback.play(with_clocks(track(starts=-0.5, ends=0.5)))
    sent = stage.go_to(0.5)
    start = [(time, m) for time, m in sent if m in ("f2 00 00", "fa")]
    assert start == [(0.5 - 0.0625, "f2 00 00"), (0.5 - 0.0625, "fa")]
    assert [m for _, m in sent].count("f8") == 13
    assert stage.playback.lateness[0] == 0.0


def test_gear_is_stopped_with_the_track() -> None:
    stage = Stage()
    stage.playback.play(with_clocks(track(ends=1.0)))
    messages = [message for _, message in stage.go_to(1.0)]
    assert messages.count("f8") == 24
    assert messages[-1] == "fc"
    stage.playback.play(with_clocks(track(ends=1.0)))
    stage.go_to(1.5)
    stage.port.take()
    stage.playback.stop()
    assert [message for _, message in stage.port.take()] == ["fc"]


def test_a_clock_is_sent_before_the_click_of_the_same_moment() -> None:
    stage = Stage()
    stage.playback.play(with_clocks(track(stroke(0.0), ends=1.0)))
    messages = [message for _, message in stage.go_to(0.0)]
    assert messages == ["f2 00 00", "fa", "f8", ON]


def test_clocks_switched_on_in_the_middle_start_gear_on_the_next_sixteenth() -> None:
    """Song position counts sixteenths, six clocks each (MIDI 1.0)."""
    stage = Stage()
    stage.playback.play(track(stroke(0.0)))
    stage.go_to(1.1)
    stage.playback.change(with_clocks(track(stroke(0.0)), position=8))
    sent = stage.go_to(2.0)
    started = [(time, m) for time, m in sent if m[:2] in ("f2", "fb")]
    assert started == [(1.25 - 0.0625, "f2 0d 00"), (1.25 - 0.0625, "fb")]


def test_clocks_switched_off_in_the_middle_stop_gear() -> None:
    stage = Stage()
    stage.playback.play(with_clocks(track(stroke(0.0))))
    stage.go_to(1.0)
    stage.playback.change(track(stroke(0.0)))
    assert [message for _, message in stage.port.take()] == ["fc"]
    assert "f8" not in [message for _, message in stage.go_to(2.0)]


def test_clocks_that_go_on_in_a_changed_track_do_not_start_gear_twice() -> None:
    stage = Stage()
    playing = with_clocks(track(stroke(0.0)))
    stage.playback.play(playing)
    stage.go_to(1.01)
    stage.playback.change(playing)
    messages = [message for _, message in stage.go_to(2.0)]
    assert "fa" not in messages
    assert "fb" not in messages
    assert messages.count("f8") == 24


def test_gear_is_not_started_when_no_sixteenth_is_left() -> None:
    stage = Stage()
    stage.playback.play(track(ends=1.0))
    stage.go_to(0.97)
    stage.playback.change(with_clocks(track(ends=1.0)))
    assert all(message == "f8" for _, message in stage.go_to(0.99))


def test_a_port_that_comes_in_the_middle_gets_programs_and_the_next_sound() -> None:
    stage = Stage(has_port=False)
    made = replace(track(stroke(0.0), stroke(1.0)), programs=((0, 57),))
    stage.playback.play(made)
    stage.go_to(0.5)
    stage.playback.use_port(stage.port)
    messages = [message for _, message in stage.port.take()]
    assert len(messages) == 16 * 2 + 1
    assert messages[-1] == "c0 39"
    assert stage.go_to(1.0) == [(1.0, ON)]


def test_a_port_that_is_let_go_is_silent_first() -> None:
    stage = Stage()
    stage.playback.play(track(held(0.0, 3.0)))
    stage.go_to(1.0)
    stage.playback.use_port(None)
    assert [message for _, message in stage.port.take()] == ["80 2e 00", *LET_GO_0]
    assert stage.go_to(3.0) == []


def test_notes_of_an_engine_that_died_are_ended_when_the_port_is_there() -> None:
    stage = Stage(has_port=False)
    stage.playback.hush([(9, 76), (0, 46)])
    stage.playback.use_port(stage.port)
    messages = [message for _, message in stage.port.take()]
    assert messages[:2] == ["80 2e 00", OFF]
    assert len(messages) == 2 + 16 * 2
    stage.playback.hush()
    assert len(stage.port.take()) == 16 * 2


def test_clicks_that_a_sound_device_tells_of_are_counted() -> None:
    stage = Stage(has_port=False)
    stage.playback.tells_clicks = False
    stage.playback.play(track(stroke(0.0), ends=1.0))
    stage.go_to(0.5)
    stage.playback.count_sent(ClickSent(Seconds(0.0), Seconds(0.001)))
    stage.go_to(1.0)
    assert stage.facts == [TrackEnded(Seconds(1.0), Seconds(0.001), sent=1)]


notes = st.builds(
    Click,
    due=st.integers(0, 40).map(lambda k: Seconds(k / 8)),
    length=st.integers(1, 16).map(lambda k: Seconds(k / 8)),
    kind=st.sampled_from(SoundKind),
    channel=st.integers(0, 2),
    key=st.integers(60, 63),
    velocity=st.integers(0, 3),
)


def in_order(clicks: list[Click]) -> ClickTrack:
    """Make a track of clicks in any order."""
    return track(*sorted(clicks, key=lambda click: click.due), ends=6.0)


@settings(deadline=None)
@given(
    first=st.lists(notes, max_size=20),
    second=st.lists(notes, max_size=20),
    change_at=st.integers(0, 48).map(lambda k: k / 8),
    stop_at=st.integers(0, 60).map(lambda k: k / 8),
)
def test_no_note_hangs_whatever_is_changed_or_stopped_when(
    first: list[Click], second: list[Click], change_at: float, stop_at: float
) -> None:
    stage = Stage()
    stage.playback.play(in_order(first))
    sent = stage.go_to(change_at)
    stage.playback.change(in_order(second))
    sent += stage.go_to(max(change_at, stop_at))
    stage.playback.stop()
    sent += stage.port.take()
    sounding: set[str] = set()
    for _, message in sent:
        status, place = message[0], message[1:5]
        if status == "9":
            assert place not in sounding, "struck twice without an end"
            sounding.add(place)
        elif status == "8":
            sounding.discard(place)
    assert sounding == set()
    assert all(before <= after for (before, _), (after, _) in pairwise(sent))


@pytest.mark.parametrize("start", [0.0, -8.0])
def test_two_hours_of_clicks_do_not_drift(start: float) -> None:
    """Every due time is its own deadline: nothing adds up."""
    stage = Stage()
    clicks = [stroke(k * 0.37) for k in range(0, 20_000, 500)]
    origin = stage.playback.play(track(*clicks, starts=start, ends=1e5))
    while (due := stage.playback.step()) is not None:
        stage.clock.wait_until(due)
    sent = [fact for fact in stage.facts if isinstance(fact, ClickSent)]
    assert len(sent) == len(clicks)
    assert max(abs(fact.sent - fact.due) for fact in sent) < 1e-9
    assert origin > 0
