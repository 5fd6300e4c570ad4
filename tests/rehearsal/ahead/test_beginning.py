"""Where to begin with bars that were never played, and what slower takes of the air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import inf
from typing import Any

import pytest

from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.planning.slide.arm import move_time_s
from coach.rehearsal.ahead.outlook import (
    Ahead,
    Bars,
    Elsewhere,
    Outlook,
    look_at,
    pace_of,
    sum_up_elsewhere,
)
from coach.rehearsal.review.advice import Advice, Standing
from coach.rehearsal.review.ladder import tempo_now
from coach.rehearsal.run.evidence import AskedNote, Evidence
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import PlayedRun
from coach.score.tempo import Seconds
from tests.dry_music import endless
from tests.hand_made import part_of
from tests.hand_rehearsal import HandPlanner, long, short
from tests.rehearsal.review.test_ladder import (
    HERE,
    LADDER,
    PARTS,
    SCALE,
    ask,
    failing,
    mark,
    run,
)

EASY = Ahead(0.6, None, (4, 8), 4.0, 0.5)
WHOLE = replace(HERE, from_bar=1, to_bar=16, is_whole=True, parts=PARTS)


def outlook(
    asked: Mapping[Bars, Ahead],
    *,
    goal: Ahead = EASY,
    slow_until: float = inf,
    elsewhere: Elsewhere | None = None,
) -> Outlook:
    """Know bars at every tempo slower than some, and the goal for all of them."""

    def look(bars: Bars, bpm: float) -> Ahead | None:
        if bpm >= HERE.goal_bpm or bpm >= slow_until:
            return goal
        return asked.get(bars)

    return Outlook(look, lambda: elsewhere)


def first(here: Standing, outlook: Outlook) -> Advice:
    return ask(here=replace(here, outlook=outlook))


def test_without_other_etudes_the_first_tempo_is_slow_enough() -> None:
    told = first(WHOLE, outlook({(1, 16): EASY}))
    assert (told.kind, told.bpm) == ("again", 60)
    assert told.why.endswith("begin at 60, slow enough to be clean.")


@pytest.mark.parametrize(
    ("elsewhere", "bpm", "why"),
    [
        (Elsewhere(3.5, False), 80, "clean elsewhere"),  # 84 is as quick: one below
        (Elsewhere(9.0, True), 92, "clean elsewhere"),  # quicker than here at the goal
        (Elsewhere(2.0, False), 60, "slow enough"),  # nobody knows how far it goes
        (Elsewhere(2.4, True), 54, "clean elsewhere"),
        (Elsewhere(2.0, True), 48, "elsewhere went wrong"),  # half the goal
        (Elsewhere(0.3, True), 48, "elsewhere went wrong"),
    ],
)
def test_other_etudes_tell_how_quick_is_clean_and_never_the_goal_comes_first(
    elsewhere: Elsewhere, bpm: float, why: str
) -> None:
    told = first(WHOLE, outlook({(1, 16): EASY}, elsewhere=elsewhere))
    assert told.bpm == bpm
    assert why in told.why


@pytest.mark.parametrize(("lasts_from", "bpm"), [(54, 54), (90, 60)])
def test_slow_fingers_elsewhere_do_not_begin_where_the_air_is_harder(
    lasts_from: float, bpm: float
) -> None:
    low = replace(EASY, lowest_air=0.2)
    slow = outlook(
        {(1, 16): low}, slow_until=lasts_from, elsewhere=Elsewhere(0.3, True)
    )
    assert first(WHOLE, slow).bpm == bpm


def test_slow_fingers_elsewhere_count_where_bars_cannot_be_planned_slowly() -> None:
    told = first(WHOLE, outlook({}, elsewhere=Elsewhere(0.3, True)))
    assert told.bpm == 48


def test_a_page_of_one_note_asks_no_pace() -> None:
    lone = replace(EASY, notes_per_s=0.0)
    told = first(WHOLE, outlook({}, goal=lone, elsewhere=Elsewhere(3.0, True)))
    assert told.bpm == 60


def test_a_slide_that_has_no_time_is_begun_slower() -> None:
    hurried = replace(EASY, hurry=2.0)
    told = first(WHOLE, outlook({(1, 16): EASY}, goal=hurried))
    assert told.bpm == 48
    assert "the arm has time" in told.why


def test_one_move_that_no_arm_makes_in_time_slows_nobody_below_half_the_goal() -> None:
    hurried = replace(EASY, hurry=2.9)
    told = first(WHOLE, outlook({(1, 16): EASY}, goal=hurried))
    assert told.bpm == 48
    assert "some moves are quick for any arm" in told.why
    slow = Elsewhere(1.0, True)
    told = first(WHOLE, outlook({(1, 16): EASY}, goal=hurried, elsewhere=slow))
    assert told.bpm == 48


def test_where_the_whole_takes_too_much_air_the_hardest_part_that_lasts_comes() -> None:
    dry = replace(EASY, runs_out=12, lowest_air=0.0)
    quick = replace(EASY, notes_per_s=6.0)
    asked = {
        (1, 16): dry,
        (1, 5): EASY,
        (5, 9): quick,
        (9, 13): replace(quick, runs_out=12),
    }
    told = first(WHOLE, outlook(asked))
    assert (told.kind, told.from_bar, told.to_bar, told.bpm) == ("part", 5, 9, 60)
    assert told.why == (
        "At 60 the air runs out in bar 12: begin with bars 5 to 9 alone, where the air "
        "lasts."
    )


def test_the_part_in_which_the_air_runs_out_comes_first_where_alone_it_lasts() -> None:
    """The quickest bars are no help there; of a bar shared by two, the part before."""
    dry = replace(EASY, runs_out=9, lowest_air=0.0)
    quick = replace(EASY, notes_per_s=6.0)
    asked = {(1, 16): dry, (1, 5): quick, (5, 9): EASY, (9, 13): EASY}
    told = first(WHOLE, outlook(asked))
    assert (told.kind, told.from_bar, told.to_bar, told.bpm) == ("part", 5, 9, 60)
    assert told.why == (
        "At 60 the air runs out in bar 9: begin with bars 5 to 9 alone, where full "
        "lungs last."
    )


def test_a_part_that_takes_too_much_air_is_begun_at_the_next_tempo_that_lasts() -> None:
    dry = replace(EASY, runs_out=7, lowest_air=0.0)
    told = first(HERE, outlook({(5, 8): dry}, slow_until=72))
    assert (told.kind, told.bpm) == ("again", 72)
    assert "slower takes more air" in told.why


def test_where_the_air_lasts_at_no_tempo_that_is_said() -> None:
    dry = replace(EASY, runs_out=7, lowest_air=0.0)
    told = first(HERE, outlook({(5, 8): dry}, goal=dry))
    assert (told.kind, told.bpm) == ("again", 60)
    assert told.why.endswith(
        "At 60 the air runs out in bar 7: softer, or with more breaths."
    )
    at_goal = replace(HERE, goal_bpm=20)
    assert first(at_goal, Outlook(lambda _, __: dry)).bpm == 20


def test_what_is_known_of_the_etude_goes_before_other_etudes() -> None:
    here = replace(
        HERE, outlook=outlook({(5, 8): EASY}, elsewhere=Elsewhere(3.5, False))
    )
    told = ask(run(from_bar=1, to_bar=4, bpm=50), here=here)
    assert (told.bpm, told.why) == (
        48,
        "These bars are new: begin at 48, a notch below what is clean in other bars.",
    )


def slower(slow: Ahead, goal: Ahead = EASY) -> str:
    here = replace(HERE, outlook=outlook({(5, 8): slow}, goal=goal))
    told = ask(run(5), *failing(4, 3, 2, 1), here=here)
    assert told.kind == "slower"
    return told.why.partition("go down to 80.")[2]


def test_slower_says_what_more_air_it_takes_and_what_to_do() -> None:
    """Lowest air 60 % at the goal."""
    assert slower(replace(EASY, lowest_air=0.3)) == (
        " Slower takes more air (down to 30 %, 60 % at the goal): fill right up."
    )
    assert slower(replace(EASY, lowest_air=0.3, breath_bars=(4, 6, 7, 8))) == (
        " Slower takes more air (down to 30 %, 60 % at the goal): the "
        "plan breathes in bar 6 too."
    )
    assert slower(replace(EASY, runs_out=8)) == (
        " Slower takes more air (out in bar 8): play softer."
    )


FULL = replace(EASY, lowest_air=0.7)


def test_of_more_air_that_leaves_the_top_half_nothing_is_said() -> None:
    assert slower(replace(EASY, lowest_air=0.5), FULL) == ""
    assert slower(replace(EASY, lowest_air=0.49), FULL) != ""


def test_what_is_advised_where_the_air_runs_out_comes_before_that() -> None:
    in_6 = replace(EASY, runs_out=7, breath_bars=(4, 6, 7, 8))
    told = " Slower takes more air (out in bar 7): the plan breathes in bar 6 too."
    assert slower(in_6) == told
    too_late = replace(EASY, runs_out=5, breath_bars=(4, 6, 7, 8))
    assert slower(too_late) == " Slower takes more air (out in bar 5): play softer."


def test_what_is_no_harder_is_not_talked_about() -> None:
    dry = replace(EASY, runs_out=8)
    assert slower(replace(EASY, lowest_air=0.56)) == ""
    assert slower(dry, dry) == ""


def test_bars_that_a_player_asks_for_have_the_tempo_at_which_they_stand() -> None:
    assert tempo_now((), HERE, LADDER, SCALE) == 60
    runs = [run(bpm=72), *failing(4, 3, 2, bpm=72)]
    here = replace(HERE, parts=((5, 6), (6, 8)))
    failed = failing(3, 2, 1, bpm=72, marks=(mark(MarkKind.MISSED),))
    assert ask(*failed, here=here).kind == "part"
    assert tempo_now(failed, here, LADDER, SCALE) == 72
    assert tempo_now(runs[:1], here, LADDER, SCALE) == 76


def played(
    pace: float, *, is_clean: bool | None, notes: int = 40, **given: Any
) -> PlayedRun:
    """Make a run of notes, so many a second."""
    asked = tuple(
        AskedNote(k / pace, 1 / pace, 46, 0.0, 0.0, "tongued", 0.0)
        for k in range(notes)
    )
    return PlayedRun(run(is_clean=is_clean, **given), Evidence(asked, ()))


def test_a_pace_counts_where_it_was_clean_twice_and_is_a_limit_where_more_failed() -> (
    None
):
    once = [played(4.0, is_clean=True), played(9.0, is_clean=None)]
    assert sum_up_elsewhere(once, LADDER) is None
    twice = [*once, played(2.0, is_clean=True), played(8.0, is_clean=True)]
    assert sum_up_elsewhere(twice, LADDER) == Elsewhere(4.0, False)
    dry = Mark(MarkKind.RAN_OUT, 7, 1.0, Seconds(1.0))
    dried = played(6.0, is_clean=False, marks=(dry,))
    assert sum_up_elsewhere([*twice, dried], LADDER) == Elsewhere(4.0, False)
    slow = played(3.0, is_clean=False)
    assert sum_up_elsewhere([*twice, slow], LADDER) == Elsewhere(4.0, False)
    failed = played(6.0, is_clean=False)
    assert sum_up_elsewhere([*twice, failed], LADDER) == Elsewhere(4.0, True)
    far = played(6.7, is_clean=False)
    assert sum_up_elsewhere([*twice, far], LADDER) == Elsewhere(4.0, False)


def test_a_few_notes_a_few_seconds_or_a_false_start_tell_nothing_of_a_page() -> None:
    """One note at 400 is no quick passage, and no slow one either."""
    twice = [played(4.0, is_clean=True)] * 2
    one_note = [played(6.67, is_clean=True, notes=1)] * 6
    assert sum_up_elsewhere(one_note, LADDER) is None
    few = [played(4.5, is_clean=True, notes=15)] * 2
    short_time = [played(8.0, is_clean=True, notes=24)] * 2
    start: dict[str, Any] = {"is_completed": False, "reached_bar": 5}
    broken_off = [played(5.0, is_clean=False, **start)]
    for trifle in (one_note, few, short_time, broken_off):
        told = sum_up_elsewhere([*twice, *trifle], LADDER)
        assert told == Elsewhere(4.0, False)


def test_a_pace_of_nothing_is_none() -> None:
    assert pace_of([], 3.0) == 0.0
    assert pace_of([1.0], 3.0) == 0.0


def test_a_plan_tells_its_air_its_pace_and_its_hurry() -> None:
    planner = HandPlanner()
    slow, fast = (planner.plan(long(), bpm, Edits()) for bpm in (60, 120))
    one, two = (look_at(plan, 3.0, 40.0) for plan in (slow, fast))
    assert one.notes_per_s == pytest.approx(4.0)
    assert 6.0 < two.notes_per_s <= 8.0
    assert one.lowest_air == slow.breaths.lowest_air
    assert one.hurry < two.hurry
    assert one.runs_out is None
    assert set(one.breath_bars) <= {bar.number for bar in slow.part.bars}
    assert one.short_places == tuple(
        place
        for place, breath in zip(one.breath_places, slow.breaths.breaths, strict=True)
        if breath.air_after < 0.85
    ), "a full breath reaches 90 %, and less than 5 % is seen by nobody"
    out = planner.plan(endless(), 100, Edits())
    assert look_at(out, 3.0, 40.0).runs_out == out.breaths.dry_place(0).bar > 1
    still = replace(slow, slide=replace(slow.slide, moves_cm=()))
    assert look_at(still, 3.0, 40.0).hurry == 0.0
    first, _, *others = slow.times
    together = replace(slow.passage, times=(first, first, *others))
    at_once = replace(slow, passage=together)
    assert look_at(at_once, 3.0, 40.0).hurry < inf, "two begin at once"
    assert look_at(planner.plan(short(), 60, Edits()), 3.0, 40.0).runs_out is None


def test_the_arm_has_the_time_of_notes_that_are_left_out() -> None:
    """Its way to the next note that sounds begins with the last one that did."""
    notes = "Bb3s A3s Bb3s A3s " * 3 + "Bb3s A3s Bb3s A3s E2s F2s E2s F2s "
    locks = Locks(left_out=frozenset({13, 14, 15}))
    plan = HandPlanner().plan(part_of(notes), 100, Edits(locks=locks))
    assert plan.breaths.left_out == (13, 14, 15)
    ahead = look_at(plan, 3.0, 40.0)
    travel = plan.slide.travel_by_note_cm
    assert travel[13:16] == (0.0, 0.0, 0.0)
    moves = {
        k: move_time_s(travel[k], 40.0) / (0.6 if k == 16 else 0.15)
        for k in range(1, len(travel))
        if k not in (13, 14, 15)
    }
    assert ahead.hurry == pytest.approx(max(moves.values()))
