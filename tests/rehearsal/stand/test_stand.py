"""What lies on the stand knows which of its breaths are optional."""

from __future__ import annotations

from coach.rehearsal.run.mark_kinds import MarkKind
from tests.dry_music import unbroken
from tests.hand_rehearsal import HandRehearsal, long


def sure_of(r: HandRehearsal) -> list[bool]:
    return [breath.is_sure for breath in r.conductor.plan.breaths.breaths]


def tell(r: HandRehearsal) -> None:
    conductor = r.conductor
    conductor.take_sure(conductor.tell_sure(conductor.plan_in_time))


def test_optional_breaths_are_told_and_stay_so_after_a_breath_more_or_less() -> None:
    r = HandRehearsal(unbroken())
    assert all(sure_of(r))
    track = r.conductor.track
    tell(r)
    assert r.conductor.knows_optional
    assert not any(sure_of(r))
    assert r.conductor.track == track
    assert r.conductor.gauge.plan is r.conductor.plan
    r.conductor.start()
    r.go_to(0.0)
    first, last = r.conductor.plan.breaths.breaths
    r.go_to(first.start)
    r.conductor.mark(MarkKind.MISSED_BREATH)
    after = {b.after_note: b.is_sure for b in r.conductor.plan.breaths.breaths}
    assert first.after_note not in after
    assert after.get(last.after_note) in (False, None)
    assert r.conductor.plan_in_time.breaths.breaths[0].after_note == first.after_note


def test_what_was_told_of_another_plan_is_not_taken() -> None:
    r = HandRehearsal(unbroken())
    told = r.conductor.tell_sure(r.conductor.plan_in_time)
    r.conductor.set_tempo(150)
    r.conductor.take_sure(told)
    assert not r.conductor.knows_optional


def test_with_room_too_it_is_told_what_is_optional_in_time() -> None:
    r = HandRehearsal(long(), room_beats=1.0)
    tell(r)
    in_time = r.conductor.plan_in_time.breaths.breaths
    assert sure_of(r) == [breath.is_sure for breath in in_time]


def test_what_would_do_is_asked_for_what_lies_there() -> None:
    assert HandRehearsal(long()).conductor.ways_out() == ()
