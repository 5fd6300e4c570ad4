"""First with room to breathe, then in time."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from coach.planning.breath_place import BreathPlace
from coach.rehearsal.ahead.outlook import Ahead, Outlook
from coach.rehearsal.review.progress import best_clean
from coach.rehearsal.review.rung import Rung, find_rung
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import A_BEAT, HALF_A_BEAT, Playing, say_room
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_words import say_run
from tests.hand_rehearsal import HandRehearsal, long
from tests.rehearsal.review.test_ladder import (
    HERE,
    LADDER,
    SCALE,
    ask,
    failing,
    mark,
    run,
)

BREATHING = replace(HERE, has_breaths=True, bpm=72)
RAN_OUT = (mark(MarkKind.RAN_OUT),)


def roomy(minutes_ago: float, room_beats: float = A_BEAT, **other: Any) -> Run:
    """Make a clean run with room."""
    given = {"bpm": 72, **other}
    return run(minutes_ago, how=Playing(room_beats=room_beats), **given)


def dry(*minutes_ago: float, bpm: float = 72) -> list[Run]:
    """Make runs that ran out."""
    return failing(*minutes_ago, bpm=bpm, marks=RAN_OUT)


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        (MarkKind.RAN_OUT, "Ran out twice in bar 7"),
        (MarkKind.MISSED_BREATH, "Missed the breath twice in bar 7"),
        (MarkKind.LATE_AFTER_BREATH, "Late after the breath twice in bar 7"),
    ],
)
def test_slow_runs_short_of_breath_are_given_room(kind: MarkKind, says: str) -> None:
    runs = failing(9, 8, bpm=72, marks=(mark(kind),))
    advice = ask(*runs, here=BREATHING)
    assert (advice.kind, advice.bpm, advice.room_beats) == ("breathe", 72, A_BEAT)
    assert advice.why.startswith(says)
    assert advice.why.endswith("first a beat of room at each breath, then in time.")


@pytest.mark.parametrize(
    ("runs", "here"),
    [
        (dry(9), BREATHING),
        (dry(9, 8, bpm=80), replace(BREATHING, bpm=80)),
        (dry(9, 8), replace(BREATHING, has_breaths=False)),
        (failing(9, 8, bpm=72, marks=(mark(MarkKind.RUSHED),)), BREATHING),
        ([roomy(20), *dry(9, 8)], BREATHING),
    ],
    ids=["once", "fast", "no breath", "rushed", "had it today"],
)
def test_else_no_room_is_offered(runs: list[Run], here: Any) -> None:
    assert ask(*runs, here=here).room_beats == 0.0


@pytest.mark.parametrize(
    ("places", "short", "room_beats"),
    [
        ([(4, 1.0), (6, 3.0)], [(6, 3.0)], A_BEAT),
        ([(4, 1.0), (6, 3.0)], [(4, 1.0)], 0.0),
        ([(7, 4.0)], [(7, 4.0)], 0.0),
    ],
    ids=["snatched", "filled up before it", "none before it"],
)
def test_room_is_offered_where_the_breath_before_has_no_time_to_fill_up(
    places: list[tuple[int, float]],
    short: list[tuple[int, float]],
    room_beats: float,
) -> None:
    ahead = Ahead(
        *(0.3, None, (4, 6, 7), 4.0, 0.5),
        tuple(BreathPlace(*place, is_on=False) for place in places),
        tuple(BreathPlace(*place, is_on=False) for place in short),
    )
    here = replace(BREATHING, outlook=Outlook(lambda _, __: ahead))
    assert ask(*dry(9, 8), here=here).room_beats == room_beats
    anew = Outlook(
        lambda _, __: replace(ahead, short_places=()), ask_anew=here.outlook.ask
    )
    here = replace(here, outlook=anew)
    assert ask(*dry(9, 8), here=here).room_beats == room_beats, "as the next start says"


@pytest.mark.parametrize(("breath_bars", "room_beats"), [((4,), A_BEAT), ((), 0.0)])
def test_bars_that_are_not_on_the_stand_are_looked_at_for_breaths(
    breath_bars: tuple[int, ...], room_beats: float
) -> None:
    """A review says what the rehearsal says, whatever it was opened with."""
    outlook = Outlook(lambda _, __: Ahead(0.6, None, breath_bars, 4.0, 0.5))
    here = replace(BREATHING, has_breaths=False, outlook=outlook)
    late = failing(9, 8, bpm=72, marks=(mark(MarkKind.LATE_AFTER_BREATH),))
    assert ask(*late, here=here).room_beats == room_beats


def test_room_is_offered_again_on_another_day() -> None:
    runs = [roomy(60 * 24 * 2), *dry(9, 8)]
    assert ask(*runs, here=BREATHING).room_beats == A_BEAT


@pytest.mark.parametrize("before", [[], [roomy(30)]])
def test_what_failed_before_the_room_does_not_count_after_it(before: list[Run]) -> None:
    """Nor does an earlier time with room count: the last one does."""
    runs = [*before, *dry(9, 8), roomy(6), roomy(5), roomy(4, HALF_A_BEAT)]
    advice = ask(*runs, here=BREATHING)
    assert (advice.kind, advice.room_beats) == ("again", 0.0)


def test_the_room_is_halved_and_then_taken_away_at_the_same_tempo() -> None:
    with_beat = replace(BREATHING, room_beats=A_BEAT)
    begun = ask(here=with_beat)
    assert begun.why == "Begin with a beat of room at each breath, at 72."
    assert begun.room_beats == A_BEAT
    once = ask(roomy(9), here=with_beat)
    assert (once.kind, once.clean, once.needed) == ("again", 1, LADDER.room_runs)
    assert once.why == "1 clean in a row; 1 more and there is less room."
    half = ask(roomy(9), roomy(8), here=with_beat)
    assert (half.kind, half.bpm, half.room_beats) == ("less-room", 72, HALF_A_BEAT)
    assert half.why == (
        "2 clean runs with a beat of room at each breath: "
        "with half a beat of room at 72."
    )
    halves = [roomy(9, HALF_A_BEAT), roomy(8, HALF_A_BEAT)]
    none = ask(*halves, here=replace(BREATHING, room_beats=HALF_A_BEAT))
    assert (none.kind, none.bpm, none.room_beats) == ("less-room", 72, 0.0)
    assert none.why.endswith(": in time at 72.")


def test_with_room_what_fails_gets_more_of_it_or_goes_slower() -> None:
    with_beat = replace(BREATHING, room_beats=A_BEAT)
    failed = [roomy(ago, is_clean=False) for ago in (9, 8, 7)]
    assert ask(*failed[:1], here=with_beat).why == (
        "Not clean yet with a beat of room: once more at 72."
    )
    slower = ask(*failed, here=with_beat)
    assert (slower.kind, slower.bpm, slower.room_beats) == ("slower", 69, A_BEAT)
    halves = [roomy(ago, HALF_A_BEAT, is_clean=False) for ago in (9, 8, 7)]
    more = ask(*halves, here=replace(BREATHING, room_beats=HALF_A_BEAT))
    assert (more.kind, more.bpm, more.room_beats) == ("breathe", 72, A_BEAT)


def test_a_run_that_runs_out_in_spite_of_room_is_told_where_to_fill_up() -> None:
    failed = roomy(9, is_clean=False, marks=RAN_OUT)
    why = ask(failed, here=replace(BREATHING, room_beats=A_BEAT)).why
    assert why == (
        "Not clean yet with a beat of room (ran out in bar 7): once more at 72, and "
        "breathe before bar 7."
    )


def test_runs_with_room_are_not_held_against_runs_in_time() -> None:
    clean = [roomy(ago) for ago in (9, 8, 7)]
    assert ask(*clean, here=BREATHING).why.startswith("These bars are new")
    assert best_clean(clean) is None


def test_a_rung_with_room_says_what_comes_after_it() -> None:
    runs = [run(9, bpm=72), roomy(8), roomy(7)]
    with_beat = replace(BREATHING, room_beats=A_BEAT)
    rung = find_rung(runs, (72, 96), ask(*runs, here=with_beat), LADDER, SCALE, A_BEAT)
    assert rung.say() == (
        "2 of 2 clean at 72 with a beat of room, then half a beat of room"
    )
    assert Rung(0, 2, 72, 76, 96, HALF_A_BEAT).say().endswith("then in time")


def test_room_is_said_of_a_run() -> None:
    assert say_run(roomy(1)) == "By Hand, bars 5 to 8 at 72 with a beat of room: clean"
    assert say_room(2.0) == "2 beats of room"


def test_what_is_advised_is_put_on_the_stand() -> None:
    rehearsal = HandRehearsal(long(), bpm=60)
    conductor = rehearsal.conductor
    advice = replace(ask(*dry(9, 8), here=BREATHING), from_bar=1, to_bar=16)
    conductor.follow(advice)
    assert conductor.wishes.room_beats == A_BEAT
    assert (conductor.plan.bpm, conductor.plan.part.end > long().end) == (72, True)


def test_a_ladder_takes_the_room_away_by_itself() -> None:
    rehearsal = HandRehearsal(
        long(), bpm=36, room_beats=A_BEAT, runs_in_a_row=5, is_ladder_on=True
    )
    conductor = rehearsal.conductor
    conductor.start()
    rooms = []
    for _ in range(5):
        rooms.append(conductor.plan.part.end - long().end > 0)
        rehearsal.go_to(0.0)
        rehearsal.go_to(conductor.track.ends)
        rehearsal.tick()
    assert rooms == [True, True, True, True, False]
    assert conductor.wishes.room_beats == 0.0
