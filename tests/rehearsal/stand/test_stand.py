"""What lies on the stand knows which of its breaths are optional."""

from __future__ import annotations

from coach.planning.plan import tell_optional
from coach.rehearsal.run.mark_kinds import MarkKind
from tests.dry_music import unbroken
from tests.hand_made import played
from tests.hand_rehearsal import HandRehearsal, long


def optional_of(r: HandRehearsal) -> list[bool]:
    return [breath.is_optional for breath in r.conductor.plan.breaths.breaths]


def call_all_optional(r: HandRehearsal) -> None:
    """Let it be told that the air lasts without each breath."""
    plan = r.conductor.plan_in_time
    every = {breath.after_note for breath in plan.breaths.breaths}
    r.conductor.take_sure(tell_optional(plan, every))


def test_optional_breaths_are_told_and_stay_so_after_a_breath_more_or_less() -> None:
    r = HandRehearsal(unbroken())
    assert not any(optional_of(r))
    track = r.conductor.track
    call_all_optional(r)
    assert r.conductor.knows_optional
    assert all(optional_of(r))
    assert r.conductor.track == track
    assert r.conductor.gauge.plan is r.conductor.plan
    r.conductor.start()
    r.go_to(0.0)
    first, last = r.conductor.plan.breaths.breaths
    r.go_to(first.start)
    r.conductor.mark(MarkKind.MISSED_BREATH)
    after = {b.after_note: b.is_optional for b in r.conductor.plan.breaths.breaths}
    assert first.after_note not in after
    assert after.get(last.after_note) in (True, None)
    assert r.conductor.plan_in_time.breaths.breaths[0].after_note == first.after_note


def test_a_breath_missed_in_a_slow_run_leaves_the_breaths_of_the_goal() -> None:
    """No time is there to plan the goal once more."""
    r = HandRehearsal(long(), bpm=40)
    goal = r.conductor.plan.passage.goal_breaths
    r.conductor.start()
    r.go_to(0.0)
    first = r.conductor.plan.breaths.breaths[0]
    r.go_to(first.start)
    r.conductor.mark(MarkKind.MISSED_BREATH)
    after = r.conductor.plan
    assert first.after_note not in after.breaths.places
    assert after.passage.goal_breaths is goal
    assert any(breath.is_extra for breath in after.breaths.breaths)


def test_what_was_told_of_another_plan_is_not_taken() -> None:
    r = HandRehearsal(unbroken())
    told = r.conductor.tell_sure(r.conductor.plan_in_time)
    r.conductor.set_tempo(150)
    r.conductor.take_sure(told)
    assert not r.conductor.knows_optional


def test_with_room_too_it_is_told_what_is_optional_in_time() -> None:
    r = HandRehearsal(long(), room_beats=1.0)
    call_all_optional(r)
    in_time = r.conductor.plan_in_time.breaths.breaths
    assert all(breath.is_optional for breath in in_time)
    assert optional_of(r)
    assert all(optional_of(r))


def test_what_would_do_is_asked_for_what_lies_there() -> None:
    assert HandRehearsal(long()).conductor.ways_out() == ()


def test_parts_from_breath_to_breath_end_where_the_page_turns_back() -> None:
    """Both times through go on one breath, and each is a part of its own."""
    r = HandRehearsal(played("F3h G3h", [1, 1]), bpm=240.0, segment_by="breath")
    assert r.conductor.plan_in_time.breaths.breaths == ()
    assert len(r.conductor.plan.part.notes) == 4
    r.conductor.next_segment()
    assert len(r.conductor.plan.part.notes) == 2
