"""A rehearsal looks ahead for advice, and begins as is advised."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.prompts import place_of_breath
from coach.planning.edits import Edits
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import A_BEAT
from coach.rehearsal.stand.looking_ahead import LookingAhead
from coach.rehearsal.stand.segment_choice import choose_bars
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.tempo import Seconds
from coach.wiring.rehearsal_numbers import read_rehearsal_settings
from tests.hand_rehearsal import (
    HandPlanner,
    HandRehearsal,
    long,
    nothing_learned,
    short,
)
from tests.score.whole_notes import make_part

ALL = frozenset[str]({"bars", "tempo"})


def opened(**wishes: Any) -> HandRehearsal:
    """Open sixteen bars, at 60 as the page has it."""
    return HandRehearsal(long(), **wishes)


def begun(r: HandRehearsal) -> tuple[int, int, float]:
    told = r.conductor.opening()
    r.conductor.begin_as_advised()
    wishes: RunWishes = r.conductor.wishes
    assert replace(told, is_open=frozenset()) == wishes, "as was told before"
    assert (r.conductor.segment.from_bar, r.conductor.plan.bpm) == (
        wishes.from_bar,
        wishes.bpm,
    )
    return wishes.from_bar, wishes.to_bar, wishes.bpm


def test_an_etude_that_is_new_begins_below_its_goal_and_says_why() -> None:
    r = opened(is_open=ALL)
    from_bar, to_bar, bpm = begun(r)
    assert (from_bar, to_bar) == (1, 16)
    assert bpm < 60
    assert r.conductor.notice.startswith("These bars are new: begin at")


def test_with_room_an_etude_that_is_new_begins_as_slowly_as_in_time() -> None:
    """Room is for what does not go in time yet: no reason to begin at the goal."""
    in_time, with_room = opened(is_open=ALL), opened(is_open=ALL, room_beats=A_BEAT)
    bars = begun(with_room)
    assert bars == begun(in_time)
    assert bars[2] < 60
    assert with_room.conductor.notice.startswith(
        f"Begin with a beat of room at each breath, at {bars[2]:g}."
    )
    asked = opened(room_beats=A_BEAT, bpm=55.0)
    assert begun(asked) == (1, 16, 55)
    some = {"from_bar": 5, "to_bar": 8, "is_open": frozenset({"tempo"})}
    assert begun(opened(**some, room_beats=A_BEAT)) == begun(opened(**some))


def test_what_is_asked_for_is_not_changed() -> None:
    assert begun(opened()) == (1, 16, 60)
    assert begun(opened(bpm=50.0)) == (1, 16, 50)
    first, last, bpm = begun(opened(from_bar=5, to_bar=8, is_open=frozenset({"tempo"})))
    assert (first, last) == (5, 8)
    assert bpm < 60


@pytest.mark.parametrize("ask", ["tempo", "bars"])
def test_whoever_asks_on_the_way_has_asked(ask: str) -> None:
    r = opened(is_open=ALL)
    if ask == "tempo":
        r.conductor.set_tempo(50)
        assert begun(r) == (1, 16, 50)
    else:
        r.conductor.set_segment(5, 8)
        assert begun(r) == (5, 8, 60)


def test_what_stands_there_is_planned_for_other_air_where_a_run_has_taught_it() -> None:
    r = opened()
    before = r.conductor.plan_in_time
    r.planner.player = measured(2.4)
    assert r.conductor.lay().stand.in_time is before, "nobody has said so"
    r.conductor.plan_for_other_air()
    laid = r.conductor.lay()
    assert r.conductor.plan_in_time is before
    r.conductor.put_up(laid)
    assert r.conductor.plan_in_time.player.capacity_l == 2.4


def test_a_rehearsal_goes_on_with_the_bars_that_were_played_last() -> None:
    r = opened(from_bar=5, to_bar=8, bpm=40.0)
    r.run_clean()
    again = HandRehearsal(long(), log=r.log, is_open=ALL)
    assert begun(again) == (5, 8, 44)
    assert again.conductor.notice == r.conductor.advice().why


def test_room_to_breathe_is_gone_on_with_another_time() -> None:
    """Rehearsal and review say so alike, though nobody asked for room."""
    r = opened(from_bar=5, to_bar=8, bpm=40.0, room_beats=1.0)
    r.run_clean()
    again = HandRehearsal(long(), log=r.log, is_open=ALL)
    told = again.conductor.review(nothing_learned()).next
    assert begun(again) == (5, 8, 40)
    assert again.conductor.wishes.room_beats == told.room_beats == 1.0
    assert again.conductor.notice == told.why == r.conductor.advice().why


def test_each_stretch_is_planned_once() -> None:
    r = opened()
    ask = r.conductor._standing(r.conductor._requests.choice).outlook.ask
    whole = ask((1, 16), 60.0)
    plans = len(r.planner.plans)
    assert plans == 1  # it lay on the stand
    assert ask((1, 4), 50.0) is ask((1, 4), 50.0)
    assert len(r.planner.plans) == plans + 1
    r.conductor.set_edits(Edits(dynamic_shift=2.0))
    ask = r.conductor._standing(r.conductor._requests.choice).outlook.ask
    louder = ask((1, 16), 60.0)
    assert whole is not None
    assert louder is not None
    assert louder.lowest_air < whole.lowest_air


def test_bars_that_cannot_be_planned_or_are_too_many_are_not_looked_at() -> None:
    r = opened()
    ask = r.conductor._standing(r.conductor._requests.choice).outlook.ask
    assert ask((1, 99), 60.0) is None
    r.planner.fails = True
    assert ask((1, 2), 60.0) is None
    many = opened()
    settings = many.conductor._settings
    ahead = many.conductor._ahead
    ahead._ladder = replace(settings.ladder, most_notes_ahead_count=20)
    ask = many.conductor._standing(many.conductor._requests.choice).outlook.ask
    assert ask((1, 1), 50.0) is not None
    assert ask((1, 4), 50.0) is None


def test_other_etudes_are_those_of_another_name() -> None:
    r = opened(bpm=40.0)
    for _ in range(2):
        r.run_clean()
    elsewhere = r.conductor._standing(r.conductor._requests.choice).outlook.elsewhere
    assert elsewhere() is None
    other = HandRehearsal(short(), log=r.log)
    look = other.conductor._standing(other.conductor._requests.choice).outlook
    found = look.elsewhere()
    assert found is not None
    assert found.clean_per_s == pytest.approx(2.67, abs=0.1)


def following(r: HandRehearsal, bars: tuple[int, int]) -> tuple[int, int] | None:
    choice = choose_bars(r.conductor.part, *bars)
    return r.conductor._standing(choice).following


def test_after_a_part_the_next_part_comes_and_after_other_bars_as_many() -> None:
    r = opened()
    parts = r.conductor._requests.parts()
    assert len(parts) > 2
    assert [following(r, part) for part in parts] == [*parts[1:], None]
    assert following(r, (1, 2)) == (3, 4)
    assert following(r, (1, 16)) is None


def parts_and_joins(r: HandRehearsal) -> list[tuple[int, int]]:
    """Begin, and give what comes one after another as each is done."""
    bars = begun(r)[:2]
    seen = [bars]
    while (further := following(r, bars)) is not None:
        seen.append(further)
        bars = further
    return seen


def test_parts_may_be_joined_from_the_end() -> None:
    """Each time the part before is put in front, until all of it is played."""
    r = opened(is_open=ALL, is_from_end=True)
    parts = r.conductor._requests.parts()
    joined = [(first, 16) for first, _ in reversed(parts[:-1])]
    assert parts_and_joins(r) == [parts[-1], *joined]
    assert r.conductor.notice.startswith("From the end: begin with bars")
    assert following(r, (2, 3)) is None


def test_one_who_asks_at_the_stand_to_join_from_the_end_gets_the_last_part() -> None:
    r = opened()
    parts = r.conductor._requests.parts()
    r.conductor.set_wishes(replace(r.conductor.wishes, is_from_end=True))
    assert (r.conductor.segment.from_bar, r.conductor.segment.to_bar) == parts[-1]
    assert r.conductor.wishes.bpm < 60, "it is new"
    assert following(r, parts[-1]) == (parts[-2][0], 16)
    r.conductor.set_wishes(replace(r.conductor.wishes, is_from_end=False))
    assert (r.conductor.segment.from_bar, r.conductor.segment.to_bar) == parts[-1]
    assert following(r, parts[0]) == parts[1]
    bars = replace(r.conductor.wishes, from_bar=1, to_bar=4, is_from_end=True)
    r.conductor.set_wishes(bars)
    assert r.conductor.segment.to_bar == 4, "bars that are asked for come first"


def test_the_page_of_one_part_has_no_last_part_to_go_to() -> None:
    r = HandRehearsal(short())
    assert len(r.conductor._requests.parts()) == 1
    before = r.conductor.segment
    r.conductor.set_wishes(replace(r.conductor.wishes, is_from_end=True))
    assert r.conductor.segment == before


PAGE = list(range(1, 17))


@pytest.mark.parametrize(
    "played",
    [[*PAGE, *PAGE[:8]], [*PAGE[:6], *PAGE], [*PAGE[:10], *PAGE[2:6], *PAGE[12:]]],
)
def test_the_whole_is_all_of_the_page_wherever_it_ends(played: list[int]) -> None:
    """Da capo al fine, a repeat, dal segno al coda."""
    r = HandRehearsal(make_part(played), is_open=ALL)
    assert begun(r)[:2] == (1, 16)
    assert len(r.conductor.segment.part.bars) == len(played)
    parts = r.conductor._requests.parts()
    assert (parts[0][0], parts[-1][1]) == (1, 16)
    assert all(a[1] <= b[0] < b[1] for a, b in pairwise(parts))
    r = HandRehearsal(make_part(played), is_open=ALL, is_from_end=True)
    assert begun(r)[:2] == parts[-1]


class QuickLearner(HandPlanner):
    """Learns at once that the lungs are small."""

    learned = 0

    def learn(self) -> None:
        """Count, and plan for little air."""
        self.learned += 1
        self.player = measured(2.4)


def test_what_runs_that_ran_out_have_taught_changes_the_next_plan_and_is_told() -> None:
    planner = QuickLearner()
    r = HandRehearsal(long(), planner=planner)
    conductor = r.conductor
    at = Seconds(40.0)
    r.play_to_end()
    conductor.mark(MarkKind.RAN_OUT, at)
    conductor.finish(is_clean=False)
    r.play_to_end()
    conductor.mark(MarkKind.RAN_OUT, at)
    assert planner.learned == 0, "once may be chance"
    words = {conductor.run_id: False}
    advice = conductor.advice(words)
    assert (advice.kind, planner.learned) == ("breathe", 1)
    assert "your air is learned to be less" in advice.why
    assert conductor.advice(words) == advice, "however often it is asked for"
    assert planner.learned == 1
    assert conductor.plan_in_time.player.capacity_l == 4.8, "what was played stands"
    conductor.finish(is_clean=False)
    conductor.follow(advice)
    after = conductor.plan_in_time
    assert after.player.capacity_l == 2.4
    places = (
        place_of_breath(after.part, after.tempo_map, breath)
        for breath in after.breaths.breaths
    )
    assert any(f"now a breath {place}. " in advice.why for place in places)


def test_what_else_is_asked_anew_of_the_same_run_teaches_nothing_more() -> None:
    planner = QuickLearner()
    r = HandRehearsal(long(), planner=planner)
    ahead = LookingAhead(
        long(), planner, r.log, read_rehearsal_settings().ladder, acceleration_mps2=20.0
    )
    look = ahead.outlook(
        r.conductor.etude, r.conductor.like, Edits(), r.conductor.plan_in_time
    )
    one, other = (look.ask_anew((1, last), 60.0) for last in (16, 8))
    assert one is not None
    assert other is not None
    assert planner.learned == 1
    assert ahead.has_just_learned()
    assert not ahead.has_just_learned()


def test_of_each_run_the_planner_learns_once() -> None:
    planner = QuickLearner()
    r = HandRehearsal(long(), planner=planner)
    for k in range(3):
        r.play_to_end()
        r.conductor.mark(MarkKind.RAN_OUT, Seconds(40.0))
        r.conductor.finish(is_clean=False)
        r.conductor.advice()
        assert planner.learned == k
