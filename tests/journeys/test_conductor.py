"""Conducting runs: what a player does, and what comes of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from coach.edges.engine.silent_player import SilentPlayer
from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.errors import GearError, RunLogError, ScoreError
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import (
    ClickAwaited,
    ClickSent,
    GearLost,
    LevelHeard,
    PedalPressed,
    TrackEnded,
)
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import RunEnd
from coach.rehearsal.run.run_states import State
from coach.rehearsal.run.typed_words import read_words
from coach.score.etude_key import key_of
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import (
    HandRehearsal,
    learned_from,
    long,
    nothing_learned,
    short,
)


def log_of(rehearsal: HandRehearsal) -> list[tuple[bool, bool | None]]:
    """Tell which runs were completed, and clean if anything says so or not."""
    return [(run.is_completed, run.is_clean) for run in rehearsal.log.list_runs()]


# A run from its count-in to the word on it.


def test_a_run_counts_in_plays_ends_and_waits_for_a_word() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    assert r.tick() is State.COUNTING_IN
    assert r.conductor.glance().count == 1
    assert r.go_to(-0.01) is State.COUNTING_IN
    assert r.go_to(0.0) is State.PLAYING
    assert r.go_to(15.9) is State.PLAYING
    assert r.go_to(16.0) is State.ENDED
    assert r.conductor.glance().is_over
    run = r.conductor.finish(note="at last")
    assert r.conductor.state is State.READY
    assert (run.is_completed, run.is_clean, run.note) == (True, None, "at last")
    assert r.conductor.last_run == run
    assert r.conductor.run_id is None
    assert r.log.list_runs() == (run,)


def test_a_run_is_in_the_log_from_its_first_click_on() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    (run,) = r.log.list_runs()
    assert run.started == r.midnight
    assert run.id == r.conductor.run_id
    assert (run.from_bar, run.to_bar, run.bpm, run.is_whole) == (1, 4, 60, True)
    assert run.plan


def test_a_run_stopped_on_the_way_is_kept_as_cut_off() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(6.0)
    r.conductor.stop()
    assert r.conductor.state is State.ENDED
    assert r.player.run_time() is None
    assert r.conductor.glance().bar == 2
    run = r.conductor.finish()
    assert (run.is_completed, run.is_clean, run.reached_bar) == (False, False, 2)
    assert run.lasted == pytest.approx(6.0)


def test_a_run_stopped_in_its_count_in_needs_no_word() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(-2.0)
    r.conductor.stop()
    assert r.conductor.state is State.READY
    assert r.log.list_runs() == (), "nothing was played"


def test_a_word_is_only_taken_once_the_run_is_over() -> None:
    r = HandRehearsal(short())
    with pytest.raises(ValueError, match="no run waits"):
        r.conductor.finish()
    r.conductor.start()
    with pytest.raises(ValueError, match="no run waits"):
        r.conductor.finish()


def test_starting_anew_saves_the_run_that_waits() -> None:
    r = HandRehearsal(short())
    r.play_to_end()
    r.conductor.start()
    assert r.conductor.state is State.COUNTING_IN
    assert log_of(r) == [(True, None), (False, False)]
    assert r.conductor.marks == ()


def test_starting_while_a_run_plays_changes_nothing() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(3.0)
    r.conductor.start()
    assert r.conductor.glance().time == pytest.approx(3.0)
    assert len(r.log.list_runs()) == 1


def test_stopping_when_nothing_plays_changes_nothing() -> None:
    r = HandRehearsal(short())
    r.conductor.stop()
    assert r.conductor.state is State.READY


@pytest.mark.parametrize("at", [-2.0, 0.0, 5.0])
def test_again_cuts_off_and_counts_in_at_once(at: float) -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(at)
    r.conductor.again()
    assert r.conductor.state is State.COUNTING_IN
    assert r.conductor.glance().time == r.conductor.track.starts
    assert log_of(r) == [(False, False), (False, False)][at < 0 :]


def test_again_also_starts_from_rest() -> None:
    r = HandRehearsal(short(), runs_in_a_row=3)
    r.conductor.again()
    assert r.conductor.state is State.COUNTING_IN
    assert r.conductor.runs_left == 2


def test_before_a_run_the_first_beat_is_shown() -> None:
    glance = HandRehearsal(short()).conductor.glance()
    assert (glance.time, glance.bar, glance.is_over) == (0.0, 1, False)


def test_any_moment_can_be_looked_at() -> None:
    r = HandRehearsal(short())
    assert r.conductor.glance(Seconds(5.5)).bar == 2


def test_the_note_on_the_stand_is_that_of_the_whole_part() -> None:
    r = HandRehearsal(short(), from_bar=3, to_bar=4)
    first = r.conductor.first_note
    whole, segment = r.conductor.part, r.conductor.segment.part
    assert whole.notes[first].sounding == segment.notes[0].sounding
    assert whole.notes[first].bar == 3
    assert r.conductor.plan.part.bars[0].number == 3


# What the gear says.


def test_sounds_that_went_out_are_counted_with_the_latest_of_all() -> None:
    r = HandRehearsal(short())
    r.conductor.on_fact(ClickSent(Seconds(0.0), Seconds(0.0)))  # of no run
    r.conductor.start()
    r.conductor.on_fact(ClickSent(Seconds(-4.0), Seconds(-3.9995)))
    r.conductor.on_fact(ClickSent(Seconds(-3.0), Seconds(-2.998)))
    r.conductor.on_fact(ClickSent(Seconds(-2.0), Seconds(-1.0), is_heard=False))
    r.conductor.stop()
    run = r.conductor.last_run
    assert run is not None
    assert run.sent == 2
    assert run.worst_late == pytest.approx(0.002)


def test_the_end_of_the_track_tells_all_sounds() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.clock.wait_until(Seconds(r.clock.now() + 16.0))
    r.conductor.on_fact(TrackEnded(Seconds(16.0), Seconds(0.003), sent=20))
    run = r.conductor.finish()
    assert (run.is_completed, run.sent, run.worst_late) == (True, 20, 0.003)


def test_a_track_that_ends_too_early_is_cut_off() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(9.0)
    r.conductor.on_fact(TrackEnded(Seconds(9.0), Seconds(0.0), sent=9))
    assert r.conductor.state is State.ENDED
    assert not r.conductor.finish().is_completed


def test_the_end_of_an_earlier_track_ends_no_other() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.conductor.on_fact(TrackEnded(Seconds(16.0), Seconds(0.0), sent=9))
    assert r.conductor.state is State.COUNTING_IN


def test_a_run_that_nobody_looked_at_is_played_to_its_end_all_the_same() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    assert r.go_to(99.0) is State.ENDED
    assert r.conductor.finish().is_completed


def test_gear_that_is_lost_is_told_and_the_run_goes_on() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.conductor.on_fact(GearLost("The port is gone; the built-in click goes on."))
    assert "built-in click" in r.conductor.notice
    assert r.conductor.state is State.PLAYING


def test_a_click_that_is_waited_for_is_told_until_it_comes() -> None:
    r = HandRehearsal(short())
    r.conductor.on_fact(ClickAwaited("The count-in waits."))
    assert r.conductor.notice == "The count-in waits."
    r.conductor.on_fact(ClickAwaited(""))
    assert r.conductor.notice == ""


def test_what_only_others_need_is_passed_over() -> None:
    r = HandRehearsal(short())
    r.conductor.on_fact(LevelHeard(-20.0, is_overloaded=False))
    assert r.conductor.notice == ""


@pytest.mark.parametrize(("at", "state"), [(-2.0, State.READY), (5.0, State.ENDED)])
def test_a_click_that_has_gone_silent_cuts_the_run_off(at: float, state: State) -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    if at < 0:
        r.conductor.again()
    r.go_to(at)
    r.player.stop()
    r.clock.wait_until(Seconds(r.clock.now() + 60.0))  # nobody looked: no proof
    before = r.tick()
    r.clock.wait_until(Seconds(r.clock.now() + 2.0))
    assert r.tick() is before
    r.clock.wait_until(Seconds(r.clock.now() + 2.0))
    assert r.tick() is state
    assert "stopped" in r.conductor.notice
    assert ("kept as cut off" in r.conductor.notice) == (at > 0)
    last = r.conductor.last_run if at < 0 else r.log.list_runs()[-1]
    assert last is not None
    assert not last.is_completed
    assert last.lasted == pytest.approx(max(at, 0.0))


class BusyPlayer(SilentPlayer):
    """A player whose port cannot be opened."""

    def play(self, track: ClickTrack) -> None:
        """Fail as a busy port does."""
        raise GearError(f"No port for {track.ends:g} s.", "Close the other program.")


def test_a_click_that_cannot_start_leaves_all_as_it_was() -> None:
    r = HandRehearsal(short(), player=BusyPlayer)
    with pytest.raises(GearError, match="No port"):
        r.conductor.start()
    assert r.conductor.state is State.READY
    assert log_of(r) == []


# Marks.


def test_a_key_marks_the_beat_before_the_reaction() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(6.1)  # bar 2 beat 3
    mark = r.conductor.mark(MarkKind.RAN_OUT)
    assert mark is not None
    assert (mark.bar, mark.beat, mark.by) == (2, 2.0, "player")
    assert mark.at == pytest.approx(5.8)
    assert r.log.list_runs()[0].marks == (mark,)
    assert r.conductor.notice == "Ran out: bar 2, beat 2, 0.3 s before the key"


def test_a_mark_set_by_hand_is_where_it_was_set() -> None:
    r = HandRehearsal(short())
    r.play_to_end()
    mark = r.conductor.mark(MarkKind.RUSHED, Seconds(4.0))
    assert mark is not None
    assert (mark.bar, mark.beat, mark.at) == (2, 1.0, 4.0)
    assert r.conductor.notice == "Rushed: bar 2, beat 1"
    assert not r.conductor.finish().is_clean


def test_words_said_before_any_run_are_kept_with_none() -> None:
    r = HandRehearsal(short())
    assert r.conductor.take_words(read_words("lips tired")) == "lips tired"
    assert r.conductor.said_so_far == (None, "")
    r.play_to_end()
    assert r.conductor.said_so_far == (None, "")


def test_a_beat_that_is_marked_twice_has_one_mark_in_the_log() -> None:
    r = HandRehearsal(short())
    r.play_to_end()
    mark = r.conductor.mark(MarkKind.RAN_OUT, Seconds(4.0))
    assert r.conductor.mark(MarkKind.RAN_OUT, Seconds(4.4)) == mark
    assert r.conductor.notice == "Marked already: ran out, bar 2, beat 1"
    assert r.conductor.take_words(read_words("ran out 2.1")) == ""
    assert r.log.list_runs()[0].marks == (mark,) == r.conductor.marks
    r.conductor.take_back_mark()
    assert not r.log.list_runs()[0].marks
    assert not r.conductor.marks


def test_right_after_the_end_the_last_moment_is_marked() -> None:
    r = HandRehearsal(short())
    r.play_to_end()
    mark = r.conductor.mark(MarkKind.RAN_OUT)
    assert mark is not None
    assert mark.at == pytest.approx(15.0)  # the last note ends at 15 s


def test_nothing_is_marked_before_the_first_beat() -> None:
    r = HandRehearsal(short())
    assert r.conductor.mark(MarkKind.RUSHED) is None
    r.conductor.start()
    assert r.conductor.mark(MarkKind.RUSHED) is None
    assert "Nothing is played yet" in r.conductor.notice


def test_marks_are_in_order_of_time_and_the_newest_is_taken_back() -> None:
    r = HandRehearsal(short())
    r.play_to_end()
    late = r.conductor.mark(MarkKind.RUSHED, Seconds(9.0))
    early = r.conductor.mark(MarkKind.DRAGGED, Seconds(2.0))
    both = r.conductor.marks
    assert both == (early, late)
    r.conductor.take_back_mark()
    assert r.log.list_runs()[0].marks == (late,) == r.conductor.marks
    assert r.conductor.notice == "Taken back: dragged in bar 1"
    r.conductor.take_back_mark()
    r.conductor.take_back_mark()
    assert r.conductor.notice == "There is no mark to take back."


def test_any_mark_is_taken_back_and_the_others_stay() -> None:
    r = HandRehearsal(short())
    r.play_to_end()
    marks = [
        r.conductor.mark(kind, Seconds(time))
        for kind, time in ((MarkKind.RUSHED, 9.0), (MarkKind.DRAGGED, 2.0))
    ]
    r.conductor.take_back_mark(marks[0])
    assert r.conductor.notice.startswith("Taken back: rushed")
    assert r.log.list_runs()[0].marks == (marks[1],) == r.conductor.marks


def test_a_breath_is_taken_back_though_something_was_marked_since() -> None:
    r = playing_long(2.1)
    level = r.conductor.gauge.level_at(Seconds(2.1))
    breath = r.conductor.mark(MarkKind.BREATHED)
    fault = r.conductor.mark(MarkKind.RUSHED)
    assert r.conductor.gauge.level_at(Seconds(2.1)) > level
    r.conductor.take_back_mark(breath)
    assert r.conductor.gauge.level_at(Seconds(2.1)) == pytest.approx(level)
    assert r.conductor.marks == (fault,)
    r.conductor.take_back_mark()
    assert not r.log.list_runs()[0].marks
    assert r.conductor.gauge.level_at(Seconds(2.1)) == pytest.approx(level)


def test_the_last_runs_are_those_that_tell_something_but_this_one() -> None:
    r = HandRehearsal(short())
    for _ in range(4):
        r.play_to_end()
        r.conductor.finish(is_clean=True)
    r.play_to_end()
    r.conductor.finish()
    r.play_to_end()
    assert [run.id for run in r.conductor.last_runs(3)] == [2, 3, 4]


def test_leaving_for_good_keeps_the_run_and_plans_nothing() -> None:
    r = playing_long(2.1)
    r.conductor.breathed()
    plan = r.conductor.plan
    r.conductor.close()
    (run,) = r.log.list_runs()
    assert not run.is_completed
    assert r.conductor.plan is plan
    assert r.conductor.state is State.READY


def test_a_mark_of_a_breath_that_a_later_one_replaced_is_not_taken_back() -> None:
    r = playing_long(0.0)
    breath = r.conductor.plan.breaths.breaths[0]
    r.go_to(breath.start + 0.5 * breath.gap)
    missed = r.conductor.mark(MarkKind.MISSED_BREATH)
    r.conductor.mark(MarkKind.BREATHED)
    level = r.conductor.gauge.level_at(breath.next_note)
    r.conductor.take_back_mark(missed)
    assert r.conductor.notice == "There is no mark to take back."
    assert r.conductor.gauge.level_at(breath.next_note) == pytest.approx(level)
    assert [mark.kind for mark in r.conductor.marks] == [MarkKind.BREATHED]


def test_without_a_run_there_is_no_mark_to_take_back() -> None:
    r = HandRehearsal(short())
    r.conductor.take_back_mark()
    assert r.conductor.notice == "There is no mark to take back."
    assert r.conductor.marks == ()


def test_a_player_may_call_a_marked_run_clean() -> None:
    r = HandRehearsal(short())
    r.play_to_end()
    r.conductor.mark(MarkKind.RUSHED, Seconds(9.0))
    assert r.conductor.finish(is_clean=True).is_clean


def test_a_run_keeps_what_it_asked_of_the_lungs_in_the_log() -> None:
    r = HandRehearsal(long())
    r.play_to_end()
    plan = r.conductor.plan
    r.conductor.mark(MarkKind.RAN_OUT, Seconds(plan.breaths.breaths[3].start - 0.1))
    run = r.conductor.finish()
    (played,) = r.log.list_played(5, Like("", "tenor-trombone"))
    assert played.run == run
    assert len(played.evidence.notes) == len(plan.part.notes)
    assert [breath.after_note for breath in played.evidence.breaths] == [
        breath.after_note for breath in plan.breaths.breaths
    ]


# The pedal.


def pedal(at: float, action: str) -> PedalPressed:
    return PedalPressed(Seconds(at), action)  # type: ignore[arg-type]


def test_the_pedal_starts_and_stops() -> None:
    r = HandRehearsal(short())
    r.conductor.on_fact(pedal(1000.0, "start-stop"))
    assert r.go_to(0.0) is State.PLAYING
    r.conductor.on_fact(pedal(0.0, "start-stop"))
    assert r.tick() is State.ENDED
    r.conductor.on_fact(pedal(1001.0, "start-stop"))
    assert r.tick() is State.COUNTING_IN
    r.conductor.on_fact(pedal(-3.0, "again"))
    assert len(r.log.list_runs()) == 2, "nothing was played in the second"


def test_the_pedal_marks_running_out_less_the_reaction() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(9.0)
    r.conductor.on_fact(pedal(8.2, "mark"))
    r.go_to(16.0)
    r.conductor.on_fact(pedal(1023.0, "mark"))
    first, second = r.conductor.marks
    assert (first.kind, first.by) == (MarkKind.RAN_OUT, "pedal")
    assert first.at == pytest.approx(7.9)
    assert second.at == pytest.approx(15.0)


def test_the_pedal_tells_of_a_breath_when_it_is_taken() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(4.0)
    r.conductor.on_fact(pedal(3.95, "breathed"))
    (mark,) = r.conductor.marks
    assert (mark.kind, mark.by, mark.at) == (MarkKind.BREATHED, "pedal", 3.95)


# Breaths more and less.


def playing_long(at: float) -> HandRehearsal:
    """Play the long part up to a run time."""
    r = HandRehearsal(long(), bpm=60)
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(at)
    return r


def test_a_breath_that_was_not_planned_gives_air_at_once() -> None:
    r = playing_long(2.1)
    first = r.conductor.plan.breaths.breaths[0]
    assert first.start > 2.1
    without = r.conductor.gauge.level_at(Seconds(2.1))
    placements = r.conductor.plan.slide.placements
    r.conductor.breathed()
    (mark,) = r.conductor.marks
    assert (mark.kind, mark.bar, mark.beat) == (MarkKind.BREATHED, 1, 3.0)
    taken = [b for b in r.conductor.plan.breaths.breaths if b.start <= 2.1]
    assert [b.after_note for b in taken] == [7]
    assert r.conductor.plan.slide.placements == placements
    assert r.conductor.gauge.level_at(Seconds(2.1)) > without


def test_a_breath_that_was_missed_is_made_up_for_soon() -> None:
    r = playing_long(0.0)
    planned = r.conductor.plan.breaths.breaths
    first = planned[0]
    r.go_to(first.next_note + 0.01)
    before = r.conductor.glance().air
    r.conductor.mark(MarkKind.MISSED_BREATH)
    after = r.conductor.plan.breaths
    assert first.after_note not in {b.after_note for b in after.breaths}
    assert r.conductor.glance().air < before
    upcoming = r.conductor.glance().next_breath
    assert upcoming is not None
    assert upcoming.start <= planned[1].start
    (mark,) = r.conductor.marks
    assert (mark.kind, mark.at) == (MarkKind.MISSED_BREATH, first.start)


@pytest.mark.parametrize("share", [-0.9, 0.0, 0.5, 1.0])
def test_a_breath_can_be_missed_before_it_comes_and_while_it_goes_on(
    share: float,
) -> None:
    """In beats before it, or as a share of it: either way the air does not fill."""
    r = playing_long(0.0)
    breath = r.conductor.plan.breaths.breaths[0]
    beat = 60.0 / r.conductor.plan.bpm
    length = breath.next_note - breath.start
    r.go_to(breath.start + (share * beat if share < 0 else share * length))
    r.conductor.mark(MarkKind.MISSED_BREATH)
    assert r.conductor.notice.startswith("Breath missed")
    after = r.conductor.plan.breaths
    assert breath.after_note not in {b.after_note for b in after.breaths}
    level = r.conductor.gauge.level_at
    assert level(breath.next_note) <= level(breath.start) + 1e-9
    assert not r.conductor.gauge.glance(breath.start).is_breathing


def test_the_log_keeps_the_later_word_on_a_breath() -> None:
    r = playing_long(0.0)
    breath = r.conductor.plan.breaths.breaths[0]
    r.go_to(breath.next_note + 0.1)
    for kind in (MarkKind.MISSED_BREATH, MarkKind.BREATHED) * 2:
        r.conductor.mark(kind)
        assert [mark.kind for mark in r.conductor.marks] == [kind]
    r.conductor.stop()
    r.conductor.finish()
    (run,) = r.log.list_runs()
    assert [mark.kind for mark in run.marks] == [MarkKind.BREATHED]


def test_a_fault_that_is_marked_after_the_word_takes_it_back() -> None:
    r = playing_long(0.0)
    r.go_to(999.0)
    r.conductor.take_words(read_words("clean"))
    r.conductor.mark(MarkKind.MISSED, Seconds(1.0))
    assert r.conductor.said_so_far == (None, "")
    assert r.conductor.finish().is_clean is False


def test_the_key_of_a_breath_is_not_set_back_and_plans_anew() -> None:
    r = playing_long(2.1)
    level = r.conductor.gauge.level_at(Seconds(2.1))
    mark = r.conductor.mark(MarkKind.BREATHED)
    assert mark is not None
    assert mark.at == pytest.approx(2.1)
    assert r.conductor.gauge.level_at(Seconds(2.1)) > level


@pytest.mark.parametrize("share", [-0.9, 0.5, 1.1])
def test_a_missed_breath_that_is_taken_back_fills_the_air_again(share: float) -> None:
    r = playing_long(0.0)
    breath = r.conductor.plan.breaths.breaths[0]
    level = r.conductor.gauge.level_at(breath.next_note)
    r.go_to(breath.start + share * breath.gap)
    r.conductor.mark(MarkKind.MISSED_BREATH)
    assert r.conductor.gauge.level_at(breath.next_note) < level
    r.conductor.take_back_mark()
    assert r.conductor.notice.startswith("Taken back: missed the breath")
    assert r.conductor.gauge.level_at(breath.next_note) == pytest.approx(level)


def test_a_breath_that_is_taken_back_gives_no_air() -> None:
    r = playing_long(2.1)
    level = r.conductor.gauge.level_at(Seconds(2.1))
    r.conductor.breathed()
    assert r.conductor.gauge.level_at(Seconds(2.1)) > level
    r.conductor.take_back_mark()
    assert r.conductor.gauge.level_at(Seconds(2.1)) == pytest.approx(level)
    assert r.conductor.marks == ()


def test_what_has_passed_does_not_change_when_the_rest_is_planned_anew() -> None:
    r = playing_long(0.0)
    second = r.conductor.plan.breaths.breaths[1]
    r.go_to(second.next_note + 0.2)
    past = [b.after_note for b in r.conductor.plan.breaths.breaths[:2]]
    r.conductor.mark(MarkKind.MISSED_BREATH)
    now = r.conductor.glance().time
    kept = [b.after_note for b in r.conductor.plan.breaths.breaths if b.start <= now]
    assert kept == past[:1]


def test_the_next_run_is_planned_as_if_nothing_had_happened() -> None:
    r = playing_long(3.8)
    planned = r.conductor.plan
    r.conductor.breathed()
    assert r.conductor.plan.breaths != planned.breaths
    r.conductor.stop()
    r.conductor.finish()
    assert r.conductor.plan.breaths == planned.breaths


def test_no_breath_is_missed_before_one_was_due() -> None:
    r = playing_long(0.5)
    r.conductor.mark(MarkKind.MISSED_BREATH)
    assert r.conductor.notice == "No breath was due here: nothing is changed."
    assert r.conductor.marks == ()


def test_breaths_are_only_told_of_while_a_run_plays() -> None:
    r = HandRehearsal(long())
    r.conductor.breathed()
    assert r.conductor.notice == "No run is playing."
    r.conductor.start()
    r.conductor.mark(MarkKind.MISSED_BREATH)
    assert r.conductor.notice == "Nothing is played yet that could be marked."
    assert r.conductor.marks == ()


def test_a_breath_missed_is_said_after_the_run_and_taken_back() -> None:
    r = playing_long(0.0)
    planned = r.conductor.plan
    breath = planned.breaths.breaths[0]
    r.go_to(999.0)
    level = r.conductor.gauge.level_at(breath.next_note)
    r.conductor.mark(MarkKind.MISSED_BREATH, breath.start)
    assert r.conductor.gauge.level_at(breath.next_note) < level
    assert r.conductor.planned is planned
    assert r.conductor.state is State.ENDED
    r.conductor.take_back_mark()
    assert r.conductor.gauge.level_at(breath.next_note) == pytest.approx(level)
    assert r.conductor.marks == ()


def test_what_cannot_be_marked_of_what_is_typed_is_a_note() -> None:
    r = playing_long(0.0)
    r.go_to(999.0)
    said = read_words("missed the breath 1.1, rushed 2.1, ran out 99, sore")
    note = r.conductor.take_words(said)
    assert note == "sore, missed the breath bar 1, ran out bar 99"
    assert [mark.kind for mark in r.conductor.marks] == [MarkKind.RUSHED]


@pytest.mark.parametrize(
    ("words", "called"),
    [
        ("ran out 99", False),
        ("clean, ran out 99", True),
        ("breathed 99", None),
        ("sore", None),
    ],
)
def test_a_fault_that_cannot_be_marked_is_a_fault_all_the_same(
    words: str, called: bool | None
) -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(99.0)
    note = r.conductor.take_words(read_words(words))
    assert r.conductor.said_so_far == (called, note)


def test_bars_that_a_run_did_not_come_to_are_not_marked() -> None:
    r = playing_long(0.0)
    r.go_to(6.0)
    r.conductor.stop()
    note = r.conductor.take_words(read_words("rushed 2, dragged 3"))
    assert note == "dragged bar 3"
    assert [(mark.kind, mark.bar) for mark in r.conductor.marks] == [
        (MarkKind.RUSHED, 2)
    ]


def test_a_note_stays_until_there_is_another_or_nothing_is_said() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(99.0)
    notes = []
    for words in ("dizzy", "clean", "lips tired", ""):
        r.conductor.take_words(read_words(words))
        notes.append(r.conductor.said_so_far[1])
    assert notes == ["dizzy", "dizzy", "lips tired", ""]


def test_the_rung_counts_clean_runs_of_these_bars_at_this_tempo() -> None:
    r = HandRehearsal(short())
    assert r.conductor.rung().clean == 0
    for _ in range(2):
        r.conductor.start()
        r.go_to(99.0)
        waiting = {r.conductor.run_id: True}
        assert r.conductor.rung(waiting).clean == r.conductor.rung().clean + 1
        r.conductor.finish(True)
    assert r.conductor.rung().clean == 2
    r.conductor.step_tempo(-1)
    assert r.conductor.rung().clean == 0


def test_a_segment_of_one_note_has_no_place_to_breathe() -> None:
    r = HandRehearsal(part_of("Bb2w"))
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(2.0)
    r.conductor.breathed()
    assert [mark.kind for mark in r.conductor.marks] == [MarkKind.BREATHED]


def test_cues_move_with_the_breaths() -> None:
    r = HandRehearsal(long(), click=ClickWishes(cues=True))
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(3.8)
    before = r.conductor.track
    r.conductor.breathed()
    assert r.conductor.track != before
    assert r.conductor.glance().time == pytest.approx(3.8)


def test_when_the_rest_cannot_be_planned_the_old_plan_stays() -> None:
    r = playing_long(3.8)
    before = r.conductor.plan
    r.planner.fails = True
    r.conductor.breathed()
    assert r.conductor.plan is before
    assert r.conductor.notice.endswith("No plan fits.")
    assert len(r.conductor.marks) == 1


# Tempo, segment, click and edits.


def test_a_new_tempo_is_planned_at_once() -> None:
    r = HandRehearsal(long())
    slow = r.conductor.plan.breaths.breaths
    r.conductor.set_tempo(120)
    assert r.conductor.plan.bpm == 120
    assert len(r.conductor.plan.breaths.breaths) < len(slow)
    assert r.conductor.notice == "Tempo 120"
    r.conductor.step_tempo(-1)
    assert r.conductor.wishes.bpm == 116
    r.conductor.set_tempo(1e9)
    assert r.conductor.wishes.bpm == 400


def test_a_tempo_changed_in_a_run_waits_for_the_next() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.conductor.step_tempo(1)
    assert (r.conductor.wishes.bpm, r.conductor.plan.bpm) == (63, 60)
    r.go_to(16.0)
    assert r.conductor.plan.bpm == 60
    run = r.conductor.finish()
    assert run.bpm == 60
    assert r.conductor.plan.bpm == 63
    r.run_clean()
    assert r.log.list_runs()[-1].bpm == 63


def test_again_takes_what_was_asked_for_in_the_run() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.conductor.step_tempo(-1)
    r.conductor.again()
    assert r.conductor.plan.bpm == 58


def test_segments_are_chosen_by_bars_and_followed() -> None:
    r = HandRehearsal(long())
    r.conductor.set_segment(3, 4)
    assert r.conductor.notice == "Bars 3 to 4"
    assert (r.conductor.wishes.from_bar, r.conductor.wishes.to_bar) == (3, 4)
    assert r.conductor.segment.part.bars[0].number == 3
    r.conductor.next_segment()
    assert r.conductor.segment.from_bar == 5
    r.conductor.previous_segment()
    r.conductor.previous_segment()
    assert r.conductor.segment.from_bar == 1
    r.conductor.previous_segment()
    assert r.conductor.notice == "This is the first segment."
    r.conductor.set_segment(16, 16)
    assert r.conductor.notice == "Bar 16"
    r.conductor.next_segment()
    assert r.conductor.notice == "This is the last segment."
    r.conductor.set_whole()
    assert r.conductor.segment.is_whole


def test_from_the_whole_one_goes_to_the_parts_that_the_coach_works_on() -> None:
    r = HandRehearsal(long())
    r.conductor.next_segment()
    assert (r.conductor.segment.from_bar, r.conductor.segment.to_bar) == (1, 5)
    r.conductor.next_segment()
    assert (r.conductor.segment.from_bar, r.conductor.segment.to_bar) == (5, 9)
    r.conductor.previous_segment()
    r.conductor.previous_segment()
    assert r.conductor.notice == "This is the first segment."


def test_segments_go_from_breath_to_breath() -> None:
    r = HandRehearsal(long())
    breaths = r.conductor.plan.breaths.breaths
    r.conductor.set_wishes(replace(r.conductor.wishes, segment_by="breath"))
    r.conductor.next_segment()
    assert r.conductor.first_note == 0
    assert len(r.conductor.segment.part.notes) == breaths[0].after_note + 1
    r.conductor.next_segment()
    assert r.conductor.first_note == breaths[0].after_note + 1
    r.conductor.previous_segment()
    assert r.conductor.first_note == 0
    r.conductor.next_segment()
    r.conductor.set_wishes(replace(r.conductor.wishes, overlaps=True))
    assert r.conductor.first_note == breaths[0].after_note + 1
    first, last = breaths[0].after_note + 1, breaths[1].after_note
    assert len(r.conductor.segment.part.notes) == last - first + 2


def test_bars_that_are_not_there_change_nothing() -> None:
    r = HandRehearsal(short())
    before = r.conductor.plan
    with pytest.raises(ScoreError, match="has no bar 9"):
        r.conductor.set_segment(3, 9)
    r.conductor.start()
    with pytest.raises(ScoreError, match="has no bar 9"):
        r.conductor.set_wishes(replace(r.conductor.wishes, from_bar=3, to_bar=9))
    assert r.conductor.plan is before
    assert r.conductor.wishes.to_bar == 4


def test_wishes_may_name_other_bars() -> None:
    r = HandRehearsal(short())
    r.conductor.set_wishes(replace(r.conductor.wishes, from_bar=2, to_bar=3))
    assert r.conductor.segment.from_bar == 2


def test_how_often_and_how_long_to_rest_needs_no_new_plan() -> None:
    r = HandRehearsal(short())
    plans = len(r.planner.plans)
    wishes = replace(r.conductor.wishes, runs_in_a_row=5, is_ladder_on=True)
    r.conductor.set_wishes(wishes)
    assert r.conductor.wishes == wishes
    assert len(r.planner.plans) == plans


def test_a_notch_of_tempo_is_planned_from_the_plan_so_far_and_other_bars_are_not() -> (
    None
):
    r = HandRehearsal(short())
    so_far = r.conductor.plan
    r.conductor.step_tempo(1)
    assert r.planner.before == [None, so_far]
    r.conductor.set_wishes(replace(r.conductor.wishes, from_bar=2, to_bar=3))
    assert r.planner.before[-1] is None


def test_where_the_breaths_divide_the_part_is_worked_out_once() -> None:
    r = HandRehearsal(long(), segment_by="breath")
    r.conductor.next_segment()
    r.conductor.advice()
    plans = len(r.planner.plans)
    r.conductor.advice()  # what it looked ahead at is known too
    r.conductor.next_segment()
    assert len(r.planner.plans) == plans + 1  # of the segment alone
    r.conductor.step_tempo(1)
    r.conductor.next_segment()
    assert len(r.planner.plans) == plans + 4  # two segments, and the whole anew


def test_another_click_is_heard_at_once() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(0.0)
    r.go_to(5.0)
    beats = len(r.conductor.track.clicks)
    fine = replace(r.conductor.wishes, click=ClickWishes(subdivision=2))
    r.conductor.set_wishes(fine)
    assert len(r.conductor.track.clicks) == 2 * beats
    assert r.conductor.glance().time == pytest.approx(5.0)
    assert r.go_to(16.0) is State.ENDED


def test_edits_are_planned_and_saved_at_once() -> None:
    r = HandRehearsal(long())
    gap = 5
    edits = Edits(locks=Locks(must=frozenset({gap})))
    r.conductor.set_edits(edits)
    assert r.conductor.edits == edits
    assert gap in {b.after_note for b in r.conductor.plan.breaths.breaths}
    assert r.log.read_edits(key_of(long())) == edits


def test_edits_of_another_day_are_there_again() -> None:
    r = HandRehearsal(long())
    r.log.save_edits(key_of(long()), Edits(dynamic_shift=-1.0))
    same = HandRehearsal(long(), log=r.log)
    assert same.conductor.edits.dynamic_shift == -1.0
    assert same.planner.plans[0][1].dynamic_shift == -1.0


def test_another_etude_of_the_same_title_begins_with_nothing() -> None:
    r = HandRehearsal(long())
    r.conductor.set_edits(Edits(dynamic_shift=-1.0))
    r.run_clean()
    other = HandRehearsal(short(), log=r.log)
    assert other.conductor.edits == Edits()
    assert (
        other.conductor.review(nothing_learned()).runs,
        r.conductor.review(nothing_learned()).runs,
    ) == (0, 1)


def test_in_a_segment_edits_are_counted_from_its_first_note() -> None:
    r = HandRehearsal(long(), from_bar=2, to_bar=5)
    first = r.conductor.first_note
    r.conductor.set_edits(Edits(positions=((first + 2, "4"),)))
    assert r.planner.plans[-1][1].positions == ((2, "4"),)


# Runs in a row.


def test_runs_in_a_row_follow_after_their_rest() -> None:
    r = HandRehearsal(short(), runs_in_a_row=3, rest=Seconds(10.0))
    assert r.play_to_end() is State.RESTING
    assert (r.conductor.runs_left, r.conductor.rest_left) == (2, 10.0)
    r.clock.wait_until(Seconds(r.clock.now() + 9.0))
    assert r.tick() is State.RESTING
    assert r.conductor.rest_left == pytest.approx(1.0)
    r.clock.wait_until(Seconds(r.clock.now() + 1.0))
    assert r.tick() is State.COUNTING_IN
    assert (r.conductor.runs_left, r.conductor.rest_left) == (1, 0.0)
    r.go_to(0.0)
    assert r.go_to(16.0) is State.RESTING
    r.conductor.start()  # no rest wanted
    r.go_to(0.0)
    assert r.go_to(16.0) is State.ENDED
    assert r.conductor.words_wanted == (1, 3)
    r.conductor.finish(is_clean=False)
    assert r.conductor.words_wanted == (2, 3)
    r.conductor.finish()
    assert r.tick() is State.ENDED
    r.conductor.finish(is_clean=True, note="at last")
    assert r.tick() is State.READY
    assert log_of(r) == [(True, False), (True, None), (True, True)]
    assert [run.note for run in r.log.list_runs()] == ["", "", "at last"]


def test_what_is_marked_afterwards_stands_on_the_run_that_is_asked_about() -> None:
    r = HandRehearsal(short(), runs_in_a_row=2)
    r.play_to_end()
    r.conductor.mark(MarkKind.RUSHED)
    r.tick()
    r.go_to(0.0)
    assert r.go_to(16.0) is State.ENDED
    assert [mark.kind for mark in r.conductor.marks] == [MarkKind.RUSHED]
    r.conductor.mark(MarkKind.RAN_OUT, Seconds(6.0))
    r.conductor.finish()
    assert r.conductor.marks == ()
    r.conductor.mark(MarkKind.MISSED, Seconds(8.0))
    r.conductor.finish()
    assert [len(run.marks) for run in r.log.list_runs()] == [2, 1]
    assert log_of(r) == [(True, False), (True, False)]


def test_each_run_of_a_row_is_asked_about_as_it_was_played() -> None:
    r = HandRehearsal(short(), runs_in_a_row=2)
    r.play_to_end()
    r.conductor.set_tempo(80)
    r.tick()
    r.go_to(0.0)
    r.go_to(r.conductor.track.ends)
    assert r.conductor.plan.bpm == 60
    r.conductor.finish()
    assert r.conductor.plan.bpm == 80
    r.conductor.finish()
    assert r.conductor.plan.bpm == 80


@pytest.mark.parametrize("at", [-2.0, 6.0])
def test_stopped_in_a_row_the_runs_before_still_wait_for_their_word(at: float) -> None:
    r = HandRehearsal(short(), runs_in_a_row=3)
    r.play_to_end()
    r.tick()
    if at > 0:
        r.go_to(0.0)
    r.go_to(at)
    r.conductor.stop()
    assert r.tick() is State.ENDED
    assert r.conductor.words_wanted == (1, 1 if at < 0 else 2)
    r.conductor.finish(is_clean=True)
    r.conductor.leave()
    assert r.tick() is State.READY
    assert log_of(r)[0] == (True, True)
    assert [run.was_played for run in r.log.list_runs()] == [True] * (
        1 if at < 0 else 2
    )


def test_a_row_that_nobody_says_a_word_about_is_neither_clean_nor_not() -> None:
    r = HandRehearsal(short(), runs_in_a_row=3)
    r.play_to_end()
    for _ in range(2):
        r.tick()
        r.go_to(0.0)
        r.go_to(16.0)
    r.conductor.start()  # the next row: what waits is kept as it is
    r.conductor.leave()
    assert log_of(r)[:3] == [(True, None)] * 3
    told = r.conductor.review(learned_from(r.log))
    assert (told.runs, told.attended, told.best) == (3, 0, None)
    assert told.air.completed == 0
    assert "Nobody said" in r.conductor.advice().why


def test_left_in_a_rest_the_run_before_is_kept_without_a_word() -> None:
    r = HandRehearsal(short(), runs_in_a_row=2, rest=Seconds(10.0))
    r.play_to_end()
    r.conductor.leave()
    assert r.conductor.state is State.READY
    assert log_of(r) == [(True, None)]


def test_in_a_rest_the_run_just_played_can_still_be_marked() -> None:
    r = HandRehearsal(short(), runs_in_a_row=2, rest=Seconds(10.0))
    r.play_to_end()
    r.conductor.mark(MarkKind.RAN_OUT)
    r.conductor.again()
    assert log_of(r)[0] == (True, False)
    assert r.conductor.runs_left == 1


def test_stopping_in_a_rest_ends_the_row() -> None:
    r = HandRehearsal(short(), runs_in_a_row=2, rest=Seconds(10.0))
    r.play_to_end()
    r.conductor.stop()
    assert r.conductor.state is State.ENDED
    assert r.conductor.finish().is_completed
    assert r.conductor.runs_left == 0


def test_stopping_a_run_ends_the_row() -> None:
    r = HandRehearsal(short(), runs_in_a_row=3)
    r.conductor.start()
    r.go_to(0.0)
    r.conductor.stop()
    assert (r.conductor.state, r.conductor.runs_left) == (State.ENDED, 0)


def test_on_the_ladder_clean_runs_move_up_by_themselves() -> None:
    r = HandRehearsal(part_of("Bb2q C3q D3q Eb3q", bpm=96), bpm=63, runs_in_a_row=5)
    r.conductor.set_wishes(replace(r.conductor.wishes, is_ladder_on=True))
    r.conductor.start()
    said = []
    for _ in range(5):
        r.go_to(0.0)
        r.go_to(r.conductor.track.ends)
        r.tick()
        said.append(r.conductor.notice)
    r.conductor.finish()
    assert [run.bpm for run in r.log.list_runs()] == [63, 69, 76, 80, 84]
    assert said[0] == "Nothing was marked: up to 69."


def test_on_the_ladder_runs_with_marks_move_down() -> None:
    r = HandRehearsal(part_of("Bb2q C3q D3q Eb3q", bpm=96), bpm=63, runs_in_a_row=4)
    r.conductor.set_wishes(replace(r.conductor.wishes, is_ladder_on=True))
    r.conductor.start()
    for _ in range(3):
        r.go_to(0.0)
        r.go_to(2.0)
        r.conductor.mark(MarkKind.RUSHED)
        r.go_to(r.conductor.track.ends)
        r.tick()
    assert r.conductor.plan.bpm == 56
    assert "were not clean (rushed in bar 1): go down to 56" in r.conductor.notice


# Advice and review.


def test_advice_is_about_the_bars_and_the_tempo_at_hand() -> None:
    r = HandRehearsal(long(), from_bar=1, to_bar=4, bpm=60)
    assert "new" in r.conductor.advice().why
    for _ in range(3):
        r.run_clean()
    advice = r.conductor.advice()
    assert (advice.kind, advice.from_bar, advice.to_bar) == ("next", 5, 8)


def test_the_last_bars_are_followed_by_the_whole() -> None:
    r = HandRehearsal(long(), from_bar=13, to_bar=16, bpm=60)
    for _ in range(3):
        r.run_clean()
    assert r.conductor.advice().kind == "whole"


def test_a_review_sums_up_all_runs() -> None:
    r = HandRehearsal(long(), from_bar=1, to_bar=4, bpm=60)
    r.run_clean()
    r.midnight += timedelta(days=1)
    r.conductor.set_whole()
    r.play_to_end()
    r.conductor.mark(MarkKind.RAN_OUT, Seconds(26.0))
    r.conductor.finish()
    told = r.conductor.review(learned_from(r.log))
    assert (told.runs, told.goal_bpm) == (2, 60)
    assert told.best is not None
    assert not told.best.is_whole
    assert [
        (spot.bar, spot.times[MarkKind.RAN_OUT], spot.runs) for spot in told.marked
    ] == [(7, 1, 1)]
    assert told.trouble == (), "once may be chance"
    assert told.next == r.conductor.advice(), "one voice"
    assert told.air.ran_out == 1


# When the log fails.


class FullOnce(RunLogFile):
    """A log whose disk is full once, from when `is_full` is set."""

    is_full = False

    def add_mark(self, run_id: int, mark: Mark) -> None:
        """Fail once."""
        self._fail()
        super().add_mark(run_id, mark)

    def end(self, run_id: int, how: RunEnd) -> None:
        """Fail once."""
        self._fail()
        super().end(run_id, how)

    def _fail(self) -> None:
        if self.is_full:
            self.is_full = False
            raise RunLogError("The disk is full.", "Make room.")


def test_a_mark_that_cannot_be_saved_is_not_shown_as_saved() -> None:
    log = FullOnce(IN_MEMORY)
    r = HandRehearsal(short(), log=log)
    r.conductor.start()
    r.go_to(0.0)
    log.is_full = True
    with pytest.raises(RunLogError, match="full"):
        r.conductor.mark(MarkKind.RUSHED)
    assert r.conductor.marks == ()
    assert r.conductor.mark(MarkKind.RUSHED) is not None


def test_an_end_that_could_not_be_saved_is_saved_with_the_word() -> None:
    log = FullOnce(IN_MEMORY)
    r = HandRehearsal(short(), log=log)
    r.conductor.start()
    r.go_to(0.0)
    log.is_full = True
    with pytest.raises(RunLogError, match="full"):
        r.go_to(16.0)
    assert r.conductor.state is State.ENDED
    assert r.conductor.finish().is_completed


def test_who_runs_out_is_given_room_and_comes_back_to_playing_in_time() -> None:
    r = HandRehearsal(long(), bpm=36)
    conductor = r.conductor
    for _ in range(2):
        r.play_to_end()
        conductor.mark(MarkKind.RAN_OUT, Seconds(20.0))
        conductor.finish(is_clean=False)
    rooms = []
    for _ in range(4):
        advice = conductor.advice()
        assert (advice.from_bar, advice.to_bar, advice.bpm) == (1, 16, 36)
        conductor.follow(advice)
        rooms.append(conductor.room_beats)
        r.run_clean()
    assert rooms == [1.0, 1.0, 0.5, 0.5]
    back = conductor.advice()
    assert (back.kind, back.room_beats) == ("less-room", 0.0)
    conductor.follow(back)
    assert conductor.plan is conductor.plan_in_time
    assert "in time" in back.why
    kept = [run.how.room_beats for run in r.log.list_runs()]
    assert kept == [0.0, 0.0, 1.0, 1.0, 0.5, 0.5]


def test_a_tempo_that_was_asked_for_while_a_run_played_comes_next() -> None:
    r = HandRehearsal(short())
    r.conductor.start()
    r.go_to(1.0)
    r.conductor.step_tempo(1)
    asked = r.conductor.wishes.bpm
    r.go_to(99.0)
    told = r.conductor.advice({r.conductor.run_id: False})
    assert asked != r.conductor.plan.bpm
    assert (told.kind, told.bpm) == ("again", asked)
    assert "asked for while it played" in told.why
    r.conductor.finish(False)
    r.conductor.start()
    r.go_to(99.0)
    told = r.conductor.advice({r.conductor.run_id: False})
    assert "asked for" not in told.why
