"""That the air is enough is said where it is, and nowhere else, in any text of a plan.

Each text is made for plans that last and for plans that run out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cache

import pytest

from coach.plain.beware_lines import beware_lines
from coach.plain.plain_rehearsal import cues_of
from coach.plain.plan_json import plan_as_dict
from coach.plain.plan_table import plan_lines
from coach.plain.reach_table import reach_lines
from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.planning.reach import find_reach
from coach.planning.reach_words import say_reach
from coach.rehearsal.run.gauge import Gauge
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from coach.screens.nearest_ascii import plain
from coach.screens.phrase.plan_words import say_plan, say_ways_to_try
from coach.screens.run.cues import cue_of
from coach.screens.signs import FULL, PLAIN
from tests.dry_music import endless, unbroken
from tests.hand_made import part_of
from tests.hand_rehearsal import HandPlanner, HandRehearsal, long, performer, short

HELD = "Bb3w " * 12
"""Whole notes without a rest: a breath takes from one of them."""

LASTING: dict[str, Callable[[], Part]] = {
    "one breath": lambda: part_of("Bb2q D3q F3q Bb3q"),
    "four bars": short,
    "sixteen bars": long,
    "notes left out": unbroken,
    "held notes": lambda: part_of(HELD, bpm=60),
}
RUNNING_OUT: dict[str, Callable[[], Part]] = {
    "one note": endless,
    "after a breath": lambda: part_of("Bb2q D3q F3h rh Bb3h " + "Bb3w " * 9, loud=4.0),
    "before a breath": lambda: part_of(
        "Bb3w. " * 2 + "rw Bb2q D3q F3h", bpm=25, loud=4
    ),
    "twice": lambda: part_of("Bb3w. rw Bb3w. rw Bb3w. ", bpm=14, loud=3.0),
}


@cache
def stood(name: str) -> HandRehearsal:
    """Put a part on the stand."""
    part = {**LASTING, **RUNNING_OUT}[name]()
    return HandRehearsal(part)


def glances(gauge: Gauge) -> Iterable[Seconds]:
    """Give the moments to look at: every note, and shortly after it."""
    for time in gauge.plan.times:
        yield Seconds(time.start + 0.01)
        yield Seconds((time.start + time.end) / 2)


def reach_text(plan: Plan) -> list[str]:
    bpms = [plan.bpm, plan.bpm * 2]
    breather = performer(HandPlanner().player).breather
    reach = find_reach(plan.passage, breather, bpms=bpms, shifts=(0.0,))
    return [*reach_lines(reach), say_reach(reach)]


def texts(r: HandRehearsal) -> dict[str, list[str]]:
    """Make every text that speaks of a plan."""
    conductor, planner = r.conductor, HandPlanner()
    plan = conductor.plan
    ways = planner.ways_out(plan, Edits())
    told = planner.tell_sure(plan, Edits())
    return {
        "table": plan_lines(told, width=80, ways_out=ways),
        "plain table": list(map(plain, plan_lines(told, width=80, ways_out=ways))),
        "json": [str(plan_as_dict(told, ways, gap=0.0)["prompts"])],
        "prompts": [prompt.say for prompt in told.prompts],
        "plain rehearsal": [line.says for line in cues_of(conductor.gauge)],
        "before the run": list(beware_lines(conductor)),
        "run": [
            f"{cue.say} {' '.join(cue.words)}"
            for cue in (
                cue_of(conductor.glance(time), plan)
                for time in glances(conductor.gauge)
            )
        ],
        "phrase": say_plan(plan, FULL) + say_plan(plan, PLAIN),
        "reach": reach_text(plan),
    }


SAYS_ENOUGH = re.compile(r"(?<!not )\benough\b|stays on the top half from 60", re.I)
SAYS_DRY = re.compile(
    r"run out|runs out|does not last|not enough|air out|short\.", re.I
)
TO_THE_END = re.compile(r"until the end|to end", re.I)


@pytest.mark.parametrize("name", LASTING)
def test_a_plan_that_lasts_never_says_that_it_does_not(name: str) -> None:
    r = stood(name)
    assert r.conductor.plan.breaths.runs_out is None
    for kind, lines in texts(r).items():
        said = [line for line in lines if SAYS_DRY.search(line)]
        if kind == "reach":  # it speaks of one breath, and of other tempos, too
            continue
        assert said == [], kind
    ways = HandPlanner().ways_out(r.conductor.plan, Edits())
    assert ways == ()


@pytest.mark.parametrize("name", RUNNING_OUT)
def test_a_plan_that_runs_out_says_so_in_every_text_and_never_that_it_is_enough(
    name: str,
) -> None:
    r = stood(name)
    plan = r.conductor.plan
    assert plan.breaths.runs_out is not None
    for kind, lines in texts(r).items():
        assert [line for line in lines if SAYS_ENOUGH.search(line)] == [], kind
        assert any(SAYS_DRY.search(line) for line in lines), kind


@pytest.mark.parametrize("name", RUNNING_OUT)
def test_who_runs_out_is_not_sent_on_to_the_end(name: str) -> None:
    r = stood(name)
    plan, gauge = r.conductor.plan, r.conductor.gauge
    last = max(plan.breaths.dry)
    for k, time in enumerate(plan.times):
        breath = next((b for b in plan.breaths.breaths if b.after_note >= k), None)
        to = len(plan.times) if breath is None else breath.after_note
        dry = [d for d in plan.breaths.dry if k <= d <= to]
        cue = cue_of(
            gauge.glance(Seconds((time.start + gauge.plan.breaths.ends[k]) / 2)), plan
        )
        if dry and k <= last:
            assert not TO_THE_END.search(f"{cue.say} {' '.join(cue.words)}"), k
            assert cue.kind in ("full", "catch") or SAYS_DRY.search(cue.say), k
    for prompt in plan.prompts:
        if TO_THE_END.search(prompt.say):
            assert all(plan.times[d].start < prompt.at for d in plan.breaths.dry)


def test_what_a_key_can_try_is_said_with_its_figure_on_the_phrase_alone() -> None:
    plan = stood("one note").conductor.plan
    ways = HandPlanner().ways_out(plan, Edits())
    assert "1: " in say_ways_to_try(ways, has_keys=True)
    assert "1: " not in say_ways_to_try(ways, has_keys=False)
    nothing = say_ways_to_try((), has_keys=True)
    assert nothing.startswith("Nothing that was tried gets you through")
    assert nothing in plan_lines(plan, width=80)
