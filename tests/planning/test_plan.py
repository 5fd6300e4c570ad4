"""Breaths, positions and prompts planned together, and how they are shown."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from coach.config import read_settings, read_shipped
from coach.plain.plan_json import plan_as_dict
from coach.plain.plan_table import compare_lines, litres, plan_lines
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.prompts import PromptSettings
from coach.planning.edits import Edits
from coach.planning.effort import effort_factors
from coach.planning.instrument.instrument import Instrument, build_instrument
from coach.planning.instrument.placement import Placement
from coach.planning.performer import Performer, PlanSettings
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.plan import Plan, make_plan, make_tongued_plan
from coach.planning.slide.slide import Articulation
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.tongue import TongueSettings
from coach.planning.way_out import WayOut
from coach.rehearsal.click.guide import guide_notes
from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.hand_made import held, part_of

RIVER = (
    "Bb2s D3s F3s D3s Eb3s G3s Bb3s G3s F3s A3s C4s A3s Bb3e D4e "
    "F4s D4s F4s D4s Eb4s C4s A3s C4s Bb3s F3s D3s F3s Bb2e F3e "
) * 4 + "Bb2h rh Bb3w"


@pytest.fixture(scope="module")
def settings() -> PlanSettings:
    return PlanSettings(
        air=read_settings(AirSettings, "air"),
        breaths=read_settings(BreathSettings, "breaths"),
        slide=read_settings(SlideSettings, "slide"),
        tongue=read_settings(TongueSettings, "tongue"),
        prompts=read_settings(PromptSettings, "prompts"),
    )


@pytest.fixture(scope="module")
def trombone() -> Instrument:
    name = "tenor-trombone"
    return build_instrument(name, read_shipped(f"instruments/{name}"))


def plan_of(
    part: Part,
    settings: PlanSettings,
    trombone: Instrument,
    *,
    litres_l: float = 5.5,
    edits: Edits | None = None,
) -> Plan:
    passage = set_passage(part, part.tempo.bpm, phrase_ends(part))
    performer = Performer(measured(litres_l), trombone, settings)
    return make_plan(passage, performer, edits or Edits())


@pytest.fixture(scope="module")
def plan(settings: PlanSettings, trombone: Instrument) -> Plan:
    return plan_of(part_of(RIVER, bpm=80), settings, trombone)


def test_every_note_has_air_a_place_and_a_time(plan: Plan) -> None:
    count = len(plan.part.notes)
    assert len(plan.times) == len(plan.breaths.ends) == count
    assert len(plan.slide.placements) == len(plan.slide.articulations) == count
    assert len(plan.phrase_ends) == count - 1


def test_the_note_after_a_breath_is_in_time(plan: Plan) -> None:
    assert plan.breaths.breaths
    for breath in plan.breaths.breaths:
        assert breath.next_note == plan.times[breath.after_note + 1].start


def test_a_lock_is_kept(settings: PlanSettings, trombone: Instrument) -> None:
    part = part_of(RIVER)
    edits = Edits(locks=Locks(must=frozenset({13})), positions=((0, "1"),))
    plan = plan_of(part, settings, trombone, edits=edits)
    assert 13 in {breath.after_note for breath in plan.breaths.breaths}
    assert plan.slide.placements[0].label == "1"


def test_playing_louder_takes_more_air(
    plan: Plan, settings: PlanSettings, trombone: Instrument
) -> None:
    louder = plan_of(part_of(RIVER), settings, trombone, edits=Edits(dynamic_shift=1.0))
    assert litres(louder) > litres(plan)
    assert louder.part.notes[0].dynamic == "f"


def test_the_dial_at_zero_makes_no_unwritten_slur(
    settings: PlanSettings, trombone: Instrument
) -> None:
    edits = Edits(dial=0.0)
    plan = plan_of(part_of(RIVER), settings, trombone, edits=edits)
    assert plan.slide.natural_slurs == 0


def test_positions_follow_where_effort_moves_a_breath(
    settings: PlanSettings, trombone: Instrument
) -> None:
    """With tongue and arm made dear, breaths must come where none was before."""
    dear = replace(
        settings,
        air=replace(settings.air, tongue_stroke_s=0.9, arm_share_per_m=2.0),
    )
    plan = plan_of(part_of(RIVER, bpm=80), dear, trombone)
    cheap = plan_of(part_of(RIVER, bpm=80), settings, trombone)
    assert len(plan.breaths.breaths) > len(cheap.breaths.breaths)


def tongued_of(plan: Plan, settings: PlanSettings, trombone: Instrument) -> Plan:
    return make_tongued_plan(plan, Performer(plan.player, trombone, settings))


def test_after_an_edit_the_arm_is_planned_around_the_breaths_that_are_taken(
    plan: Plan, settings: PlanSettings, trombone: Instrument
) -> None:
    performer = Performer(measured(5.5), trombone, settings)
    taken = sorted(breath.after_note for breath in plan.breaths.breaths)
    edits = Edits(
        locks=Locks(must=frozenset({taken[0] + 9}), must_not=frozenset({taken[1]}))
    )
    passage = set_passage(plan.part, plan.bpm, plan.phrase_ends)
    edited = make_plan(passage, performer, edits, plan)
    asked = frozenset(breath.after_note for breath in edited.breaths.breaths)
    there = Edits(locks=Locks(must=asked))
    anew = make_plan(passage, performer, there)
    assert asked != frozenset(taken)
    assert asked == {breath.after_note for breath in anew.breaths.breaths}
    assert edited.slide == anew.slide


def test_an_edit_of_breaths_alone_is_weighed_with_the_arm_so_far(
    plan: Plan, settings: PlanSettings, trombone: Instrument
) -> None:
    performer = Performer(plan.player, trombone, settings)
    passage = set_passage(plan.part, plan.bpm, plan.phrase_ends)
    begun = plan.slide.articulations
    slurred = {k - 1 for k in range(20, len(begun)) if begun[k].is_slur}
    edits = Edits(locks=Locks(must=frozenset({min(slurred)})))
    edited = make_plan(passage, performer, edits, plan)
    so_far = effort_factors(plan.slide, passage.times, settings.air)
    assert edited.edits == edits
    assert edited.passage.effort == so_far
    assert edited.slide.articulations != begun


@pytest.mark.parametrize(
    ("edits", "bpm", "name"),
    [
        (Edits(dial=0.0), 80.0, "tenor-trombone"),
        (Edits(positions=((12, "5"),)), 80.0, "tenor-trombone"),
        (Edits(), 160.0, "tenor-trombone"),
        (Edits(), 80.0, "euphonium"),
    ],
)
def test_what_moves_the_arm_is_weighed_with_the_arm_to_be(
    plan: Plan, settings: PlanSettings, edits: Edits, bpm: float, name: str
) -> None:
    """Else the air would be that of the plan before."""
    instrument = build_instrument(name, read_shipped(f"instruments/{name}"))
    performer = Performer(plan.player, instrument, settings)
    passage = set_passage(plan.part, bpm, plan.phrase_ends)
    edited = make_plan(passage, performer, edits, plan)
    so_far = effort_factors(plan.slide, passage.times, settings.air)
    assert edited.passage.effort != so_far


def test_the_plain_way_costs_more_air_and_more_tongue(
    plan: Plan, settings: PlanSettings, trombone: Instrument
) -> None:
    tongued = tongued_of(plan, settings, trombone)
    assert tongued.slide.tongue_strokes == len(plan.part.notes)
    assert plan.slide.tongue_strokes < tongued.slide.tongue_strokes
    assert litres(plan) < litres(tongued)
    assert [b.after_note for b in tongued.breaths.breaths] == [
        b.after_note for b in plan.breaths.breaths
    ]
    assert not any(b.is_locked for b in tongued.breaths.breaths), "none is asked for"
    lines = compare_lines(plan, tongued)
    assert [line.split()[0] for line in lines[1:]] == [
        "air",
        "tongue",
        "slide",
        "breaths",
    ]


def test_the_plan_for_scripts_keeps_its_promise(plan: Plan) -> None:
    laid_out = json.loads(json.dumps(plan_as_dict(plan, gap=0.0)))
    assert laid_out["schema"] == 1
    assert laid_out["etude"]["notes"] == len(laid_out["notes"])
    first = laid_out["notes"][0]
    assert (first["bar"], first["beat"], first["pitch"]) == (1, 1.0, "Bb2")
    assert first["position"] == "1"
    for before, after in zip(laid_out["notes"], laid_out["notes"][1:], strict=False):
        assert before["end_s"] <= after["start_s"]
    for breath in laid_out["breaths"]:
        following = laid_out["notes"][breath["after_note"] + 1]
        assert breath["next_note_s"] == following["start_s"]
    assert laid_out["runs_out"] is None


def test_a_breath_after_a_held_note_is_told_where_it_begins(
    settings: PlanSettings, trombone: Instrument
) -> None:
    asked = Edits(locks=Locks(must=frozenset({0})))
    plan = plan_of(held(), settings, trombone, edits=asked)
    (breath,) = plan.breaths.breaths
    (told,) = plan_as_dict(plan, gap=0.0)["breaths"]
    where = plan.tempo_map.beats_at(breath.start)
    assert (told["bar"], told["beat"]) == (4, pytest.approx(1 + where % 4))
    row = next(line for line in plan_lines(plan, width=72) if " full " in line)
    assert row.split()[:2] == ["4", f"{int(told['beat'])}"]


def test_a_plan_that_runs_dry_says_where(
    settings: PlanSettings, trombone: Instrument
) -> None:
    part = part_of("F3w " * 20, bpm=40, loud=2.0)
    never = Locks(must_not=frozenset(range(19)))
    plan = plan_of(part, settings, trombone, edits=Edits(locks=never))
    runs_out = plan_as_dict(plan, gap=0.0)["runs_out"]
    assert runs_out is not None
    place = plan.breaths.dry_place(runs_out["note"])
    assert (runs_out["bar"], runs_out["beat"]) == (place.bar, place.beat)
    lines = plan_lines(plan, width=60)
    assert any("!" in line for line in lines)
    assert not any("Lowest air" in line for line in lines), "nothing is left"
    assert any(line.startswith(f"Runs out in bar {place.bar}; ") for line in lines)


def test_a_line_for_each_breath_and_a_curve_with_the_half_line(plan: Plan) -> None:
    lines = plan_lines(plan, width=72)
    assert lines[0] == "By Hand"
    assert sum(" catch " in line or " full " in line for line in lines) == len(
        plan.breaths.breaths
    )
    curve = [line for line in lines if line.lstrip().startswith(("100%", "50%"))]
    assert len(curve) == 2
    assert all(len(line) <= 72 for line in curve)


def test_one_breath_is_enough_for_a_short_phrase(
    settings: PlanSettings, trombone: Instrument
) -> None:
    plan = plan_of(part_of("Bb3q F3q"), settings, trombone)
    lines = plan_lines(plan, width=40)
    assert lines[1].endswith("1 bar, 2 notes")
    assert "One breath before the first note is enough." in lines


def test_one_of_a_thing_is_one(settings: PlanSettings, trombone: Instrument) -> None:
    plan = plan_of(part_of("D4q ~F4q"), settings, trombone)
    text = "\n".join(plan_lines(plan, width=40))
    assert "; 1 stroke of the tongue; 1 natural slur." in text


def test_marks_of_page_and_player_are_told_apart(
    settings: PlanSettings, trombone: Instrument
) -> None:
    words = RIVER.replace("Bb3e D4e", "Bb3e D4e,", 1)
    edits = Edits(locks=Locks(must=frozenset({27})))
    plan = plan_of(part_of(words), settings, trombone, edits=edits)
    text = "\n".join(plan_lines(plan, width=80))
    assert " *" in text
    assert " !" in text


def test_a_prediction_shows_how_far_it_may_be_off(plan: Plan) -> None:
    guessed = replace(plan, player=replace(plan.player, lower_l=3.5))
    assert any("as little as 3.5 L" in line for line in plan_lines(guessed, width=80))


def test_a_breath_only_instrument_shows_no_slide(plan: Plan) -> None:
    voice = build_instrument("voice", read_shipped("instruments/voice"))
    sung = replace(plan, instrument=voice)
    lines = [*plan_lines(sung, width=80), *compare_lines(sung, sung)]
    assert not any("slide" in line.lower() for line in lines)
    assert any(" slurs." in line for line in lines)


def test_a_run_that_leaves_out_notes_says_so_everywhere(
    settings: PlanSettings, trombone: Instrument
) -> None:
    run = part_of("C3s D3s E3s F3s G3s F3s E3s D3s " * 24, bpm=100)
    plan = plan_of(run, settings, trombone, litres_l=4.5)
    left_out = plan.breaths.left_out
    assert left_out
    begun = plan.slide.articulations
    assert all(begun[k] is Articulation.LEFT_OUT for k in left_out)
    struck = sum(articulation.is_stroke for articulation in begun)
    assert plan.slide.tongue_strokes == struck
    values = plan_as_dict(plan, gap=0.0)
    assert values["left_out"] == list(left_out)
    assert values["notes"][left_out[0]]["articulation"] == "left-out"
    assert values["notes"][left_out[0]]["flow_lps"] == 0.0
    assert {breath["on"] for breath in values["breaths"]} == {"left-out"}
    assert all(0.0 <= note["air_after"] <= 1.0 for note in values["notes"])
    assert "leaving out [" in "\n".join(plan_lines(plan, width=80))
    held = guide_notes(run, plan.tempo_map, plan.breaths.breaths, plan.breaths.ends)
    assert len(held) == len(run.notes) - len(left_out)
    for following in (b.following for b in plan.breaths.breaths):
        assert begun[following] is Articulation.TONGUED
    tongued = tongued_of(plan, settings, trombone)
    assert tongued.breaths.left_out == left_out
    assert tongued.breaths.notices == ()


def test_where_the_air_runs_out_nothing_is_called_enough(
    settings: PlanSettings, trombone: Instrument
) -> None:
    endless = part_of("Bb1w", bpm=20, loud=2.0)
    plan = plan_of(endless, settings, trombone, litres_l=4.5)
    way = WayOut("softer", 2, "steps", "1")
    text = "\n".join(plan_lines(plan, width=80, ways_out=(way,)))
    assert "one breath is not enough: what to do stands below." in text
    assert "One breath before the first note is enough" not in text
    assert "play softer by 2 steps in bar 1" in text
    assert "Nothing that was tried" in "\n".join(plan_lines(plan, width=80))
    assert [prompt.say for prompt in plan.prompts] == ["the air runs out in bar 1"]
    values = plan_as_dict(plan, (way,), gap=0.0)
    assert values["runs_out"]["short_l"] == pytest.approx(plan.breaths.short_l)
    assert values["ways_out"] == [
        {"do": "softer", "amount": 2, "unit": "steps", "bars": "1", "works": True}
    ]
    assert values["lowest_air"] == settings.air.empty_share


def test_who_has_not_been_measured_is_told_how(plan: Plan) -> None:
    unknown = replace(plan, player=replace(plan.player, is_flow_known=False))
    assert "not measured yet" in "\n".join(plan_lines(unknown, width=80))
    assert "not measured yet" not in "\n".join(plan_lines(plan, width=80))


def test_an_optional_breath_stands_in_brackets(plan: Plan) -> None:
    breaths = tuple(
        replace(b, is_sure=False, is_optional=True) for b in plan.breaths.breaths
    )
    unsure = replace(plan, breaths=replace(plan.breaths, breaths=breaths))
    text = "\n".join(plan_lines(unsure, width=80))
    assert f"({breaths[0].kind})" in text
    assert "optional" in text
    assert not plan_as_dict(unsure, gap=0.0)["breaths"][0]["sure"]
    assert plan_as_dict(unsure, gap=0.0)["breaths"][0]["optional"]


def test_the_second_time_through_is_told(
    settings: PlanSettings, trombone: Instrument
) -> None:
    once = part_of("F3h G3h F3h rh ", bpm=60)
    again = [replace(n, onset=Beats(n.onset + 8)) for n in once.notes]
    bars = [replace(bar, onset=Beats(bar.onset + 8)) for bar in once.bars]
    twice = replace(once, notes=(*once.notes, *again), bars=(*once.bars, *bars))
    locks = Locks(must=frozenset({0, 3}))
    plan = plan_of(twice, settings, trombone, edits=Edits(locks=locks))
    times = [
        breath["time_through"] for breath in plan_as_dict(plan, gap=0.0)["breaths"]
    ]
    assert times[0] == 1
    assert times[-1] == 2
    assert "time 2 through" in "\n".join(plan_lines(plan, width=80))


def opened(name: str) -> Instrument:
    return build_instrument(name, read_shipped(f"instruments/{name}"))


def test_what_counts_as_high_is_the_instruments_own(settings: PlanSettings) -> None:
    """A4 is high on a trombone and low on a flute; common practice."""
    part = part_of("A4h " * 6, bpm=60)
    held = Edits(locks=Locks(must_not=frozenset(range(5))))
    trombone, flute = (
        plan_of(part, settings, opened(name), litres_l=2.5, edits=held)
        for name in ("tenor-trombone", "flute")
    )
    assert trombone.breaths.high_notes_below_half > 0
    assert flute.breaths.high_notes_below_half == 0
    own = replace(opened("flute"), high_from=None)
    assert Performer(measured(2.5), own, settings).breather.costs == settings.breaths


def test_an_oboist_is_told_to_breathe_out_first(settings: PlanSettings) -> None:
    part = part_of("A4w A4w A4h rh " * 6, bpm=60)
    oboe, flute = (
        [prompt.say for prompt in plan_of(part, settings, opened(name)).prompts]
        for name in ("oboe", "flute")
    )
    assert any(say.startswith("breathe out, then in, in ") for say in oboe)
    assert not any(say.startswith(("breathe full", "breathe deep")) for say in oboe)
    assert any(say.startswith("breathe full in ") for say in flute)
    assert not any("out" in say for say in flute)


def test_an_oboist_keeps_air_that_is_hardly_used(settings: PlanSettings) -> None:
    """Who has to breathe out first does not at each line; common practice."""
    verse = part_of("A4q. Bb4e C5q D5q C5q Bb4q A4h G4q. A4e Bb4q C5q Bb4h. rq " * 3)
    oboe, flute = (
        [breath.air_before for breath in plan.breaths.breaths]
        for plan in (
            plan_of(verse, settings, opened(name), litres_l=6.5)
            for name in ("oboe", "flute")
        )
    )
    assert len(oboe) < len(flute)
    assert max(oboe) < 0.6 < max(flute)


@pytest.mark.parametrize("bpm", [60.0, 80.0])
def test_arm_and_tongue_practise_slowly_what_they_do_at_the_goal(
    settings: PlanSettings, trombone: Instrument, bpm: float
) -> None:
    """Other positions would have to be unlearned (common practice, no published
    source)."""
    performer = Performer(measured(8.0), trombone, settings)

    def placed(goal: float, played: float) -> tuple[Placement, ...]:
        part = part_of("Ab3s Bb3s C4s Db4s Eb4s Db4s C4s Bb3s " * 4 + "Ab3q", bpm=goal)
        passage = set_passage(part, played, phrase_ends(part))
        return make_plan(passage, performer).slide.placements

    assert placed(100.0, bpm) == placed(100.0, 100.0)
    assert placed(bpm, bpm) != placed(100.0, 100.0)
    assert placed(bpm, 100.0) == placed(100.0, 100.0), "faster than the page"


def test_what_is_too_quick_at_the_goal_alone_is_not_told_of_slow_practice(
    settings: PlanSettings, trombone: Instrument
) -> None:
    performer = Performer(measured(8.0), trombone, settings)
    part = part_of("Bb2s C3s Bb2q", bpm=160)
    slow, goal = (
        make_plan(set_passage(part, bpm, (0.1, 0.1)), performer).slide.notices
        for bpm in (50, 160)
    )
    assert slow == ()
    assert "even a quick arm comes late" in goal[0]
