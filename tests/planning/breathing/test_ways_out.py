"""Ways out where the air runs out: each of them planned, and none that does not do."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from coach.config import read_settings
from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.divided_notes import divide_notes
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Breather, Passage, set_passage
from coach.planning.breathing.ways_out import WaysOutSettings, find_ways_out
from coach.planning.trials import Trials
from coach.planning.way_out import WayOut
from coach.score.tempo import beats
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import who

SETTINGS = read_settings(WaysOutSettings, "ways_out")
BREATHER = who(measured(4.5))
FREE = Locks()


def passage_of(words: str, bpm: float = 60.0, loud: float = 2.0) -> Passage:
    part = part_of(words, loud=loud)
    return set_passage(part, bpm, [0.1] * (len(part.notes) - 1))


def ways(
    passage: Passage, locks: Locks = FREE, settings: WaysOutSettings = SETTINGS
) -> dict[str, WayOut]:
    plan = plan_breaths(passage, BREATHER, locks)
    found = find_ways_out(passage, BREATHER, plan, Trials(locks), settings)
    return {way.do: way for way in found}


LONG = "F2w ~F2w ~F2w F3q"


def test_where_the_air_lasts_there_is_nothing_to_say() -> None:
    assert ways(passage_of("F3w F3w", loud=-2.0)) == {}


def test_each_way_out_gets_through_when_it_is_planned() -> None:
    passage = passage_of("Bb1w F3q", bpm=40)
    found = ways(passage)
    assert set(found) == {"softer", "tempo", "lungs"}
    faster = passage.at(found["tempo"].amount)
    assert plan_breaths(faster, BREATHER).runs_out is None
    softer = passage.louder(-found["softer"].amount)
    assert plan_breaths(softer, BREATHER).runs_out is None
    louder = passage.louder(1.0 - found["softer"].amount)
    assert plan_breaths(louder, BREATHER).runs_out is not None
    larger = who(measured(found["lungs"].amount))
    assert plan_breaths(passage, larger).runs_out is None


def test_a_note_is_played_softer_in_all_the_bars_that_it_sounds_in() -> None:
    part = part_of("Bb3w " * 6, bpm=100, loud=4.0)
    tied = replace(part.notes[0], length=beats(24))
    passage = set_passage(replace(part, notes=(tied,)), 100, [])
    assert ways(passage)["softer"].bars == "1 to 6"


def test_the_nearest_tempo_comes_first() -> None:
    passage = passage_of("Bb1w F3q", 40)
    found = ways(passage)["tempo"].amount
    assert ways(passage_of("Bb1w F3q", 44))["tempo"].amount == found > 44
    lasts = [
        plan_breaths(passage.at(bpm), BREATHER).runs_out is None
        for bpm in (found, found - 1)
    ]
    assert lasts == [True, False]


def test_no_tempo_is_faster_than_can_be_played() -> None:
    passage = passage_of("Bb1w F3q", 40)
    nearest = ways(passage)["tempo"].amount
    just = SETTINGS.up_to(nearest + 0.5, 40)
    assert ways(passage, settings=just)["tempo"].amount == nearest
    short = SETTINGS.up_to(nearest - 0.5, 40)
    assert "tempo" not in ways(passage, settings=short)
    assert max(SETTINGS.up_to(30, 40).tried_tempo_share) < 1


def test_a_run_whose_notes_all_stay_is_stretched_where_it_hurts_least() -> None:
    run = passage_of("F3s G3s A3s G3s " * 24, bpm=72, loud=0.0)
    found = ways(run, Locks(may_leave_out=False))
    assert found["stretch"].unit == "s"
    assert "in bar" in str(found["stretch"])
    soft = ways(
        passage_of("F3s G3s A3s G3s " * 24, 72, 0.0), Locks(may_leave_out=False)
    )
    assert str(soft["softer"]).startswith("play softer by ")


def test_only_the_bars_around_are_played_softer_where_that_does() -> None:
    words = "F3h rh F3h rh Bb1w F3h rh F3h rh"
    passage = passage_of(words, bpm=40)
    found = ways(passage)["softer"]
    assert found.bars in ("2 to 3", "3")
    assert str(found).endswith(f"bar{'s' if ' ' in found.bars else ''} {found.bars}")


def test_an_endless_note_needs_all_at_once() -> None:
    endless = passage_of("F2w")
    part = endless.part
    note = replace(part.notes[0], length=beats(56))
    passage = set_passage(replace(part, notes=(note,)), 60, ())
    (found,) = ways(passage).values()
    assert found.do == "softer"
    assert "and at" in str(found)
    none = replace(SETTINGS, tried_tempo_share=(1.01,), largest_l=1.0)
    assert ways(passage, settings=none) == {}


@pytest.mark.parametrize(
    ("way", "words"),
    [
        (WayOut("tempo", 84, "bpm", "all"), "take it at 84"),
        (WayOut("leave_out", 1, "note", "5"), "let 1 note be left out in bar 5"),
        (WayOut("softer", 1, "step", "5"), "play softer by 1 step in bar 5"),
        (WayOut("stretch", 0.5, "s", "5, 9"), "stretch the time by 0.5 s in bars 5, 9"),
        (WayOut("lungs", 8.4, "L", "all"), "the largest lungs, 8.4 L, would do"),
    ],
)
def test_each_is_said_in_a_few_words(way: WayOut, words: str) -> None:
    assert str(way).startswith(words)


def test_nothing_is_stretched_where_the_air_lasts_when_it_is_tried() -> None:
    """What one plan lacks by a hair another, with other strokes, may not lack."""
    lasting, dry = passage_of("F3w F3q", loud=-2.0), passage_of("Bb1w F3q", bpm=40)
    plan = plan_breaths(dry, BREATHER, FREE)
    assert plan.runs_out is not None
    found = find_ways_out(lasting, BREATHER, plan, Trials(FREE), SETTINGS)
    assert "stretch" not in {way.do for way in found}


def test_who_keeps_every_note_hears_how_many_would_be_enough_to_leave_out() -> None:
    run = passage_of("F3s G3s A3s G3s " * 24, bpm=72, loud=0.0)
    every_note = Locks(may_leave_out=False)
    found = ways(run, every_note)
    free = plan_breaths(run, BREATHER, FREE)
    assert free.runs_out is None
    assert found["leave_out"].amount == len(free.left_out) > 0
    assert next(iter(found)) == "leave_out"
    loud = passage_of("F2w ~F2w ~F2w F3s G3s A3s G3s F3s G3s A3s G3s F3q")
    assert "leave_out" not in ways(loud, every_note)
    assert "leave_out" not in ways(passage_of("F2w ~F2w ~F2w F3q"), every_note)


def test_stretching_without_end_is_no_way_out() -> None:
    run = passage_of("F3s G3s A3s G3s " * 24, bpm=72, loud=0.0)
    hardly = replace(SETTINGS, tried_stretch_s=(1e-4,))
    assert "stretch" not in ways(run, Locks(may_leave_out=False), hardly)


class EnoughError(Exception):
    """Ends a look."""


def test_a_look_for_ways_out_ends_before_its_next_plan() -> None:
    run = passage_of("F3s G3s A3s G3s " * 24, bpm=72, loud=0.0)
    locks = Locks(may_leave_out=False)
    plan = plan_breaths(run, BREATHER, locks)
    tried: list[None] = []

    def all_but_the_last() -> None:
        if len(tried) == most:
            raise EnoughError
        tried.append(None)

    most = 10_000
    trials = Trials(locks, all_but_the_last)
    find_ways_out(run, BREATHER, plan, trials, SETTINGS)
    most, tried = len(tried) - 1, []
    with pytest.raises(EnoughError):
        find_ways_out(run, BREATHER, plan, trials, SETTINGS)


def enough() -> None:
    """End a look."""
    raise EnoughError


def test_what_no_breaths_could_get_through_is_not_planned(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """But a look that is to end ends before that is known, too."""
    hopeless = passage_of(LONG, bpm=30)
    assert plan_breaths(hopeless, BREATHER).runs_out is not None
    monkeypatch.delattr(Trials, "plan")
    assert not Trials(FREE).works(hopeless, BREATHER)
    with pytest.raises(EnoughError):
        Trials(FREE, enough).works(hopeless, BREATHER)


def test_a_note_held_longer_than_any_breath_is_breathed_within() -> None:
    part = part_of("F3w " * 24, bpm=60)
    tied = replace(part.notes[0], length=beats(96))
    passage = set_passage(replace(part, notes=(tied,)), 60, [])
    way = ways(passage)["within"]
    bars = [int(bar) for bar in way.bars.split(", ")]
    assert way.amount == len(bars) > 1
    assert str(way) == (
        f"breathe within the held note at the bar line before bars {way.bars}, and "
        "come in again softly"
    )
    held = 0.8 * 4.5 / plan_breaths(passage, BREATHER).flow_lps[0]
    lines = [4.0 * (bar - 1) for bar in (1, *bars, 25)]
    assert all(after - before < held for before, after in pairwise(lines))
    assert "within" not in ways(passage, Locks(must_not=frozenset({1})))
    assert "within" not in ways(passage.louder(4.0))


def held(bars: int, bpm: float, loud: float) -> Passage:
    """Lay out one note that is held for so many bars."""
    part = part_of("F3w " * bars, bpm=bpm, loud=loud)
    tied = replace(part.notes[0], length=beats(4 * bars))
    return set_passage(replace(part, notes=(tied,)), bpm, [])


def test_a_note_too_loud_to_breathe_within_is_breathed_within_and_softer() -> None:
    passage = held(6, 30, 4.0)
    found = ways(passage)
    assert "within" not in found
    way = found["softer"]
    assert str(way).startswith(f"play softer by {way.amount:g} step")
    assert "and breathe within the held note at the bar line before bar" in str(way)
    softer = divide_notes(passage.louder(-way.amount)).passage
    assert plan_breaths(softer, BREATHER).runs_out is None
    louder = divide_notes(passage.louder(1 - way.amount)).passage
    assert plan_breaths(louder, BREATHER).runs_out is not None


def test_where_breathing_within_does_not_help_even_softly_nothing_is_said() -> None:
    none = replace(SETTINGS, tried_tempo_share=(1.01,), largest_l=1.0)
    assert ways(held(3, 2, 6.0), settings=none) == {}


def test_what_works_only_with_the_effort_so_far_is_no_way_out() -> None:
    passage = passage_of("Bb1w F3q", bpm=40)
    plan = plan_breaths(passage, BREATHER)

    def in_full(changed: Passage, who: Breather, locks: Locks = FREE) -> BreathPlan:
        harder = changed.worked([1.15 * effort for effort in changed.effort])
        return plan_breaths(harder, who, locks)

    trials = Trials(FREE, in_full=in_full)
    found = find_ways_out(passage, BREATHER, plan, trials, SETTINGS)
    amounts = {way.do: way.amount for way in found}
    assert amounts["tempo"] > ways(passage)["tempo"].amount
    faster = passage.at(amounts["tempo"])
    assert in_full(faster, BREATHER).runs_out is None
    run = passage_of("F3s G3s A3s G3s " * 24, bpm=72, loud=0.0)
    locks = Locks(may_leave_out=False)
    plan = plan_breaths(run, BREATHER, locks)
    never = Trials(locks, in_full=lambda *_: plan)
    assert find_ways_out(run, BREATHER, plan, never, SETTINGS) == ()
