"""Positions and articulation as a teacher would mark them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from coach.planning.instrument.placement import Articulation
from coach.planning.slide.metre_places import find_metre_places
from coach.planning.slide.note_moments import Freedom, lay_moments, read_page_notes
from coach.planning.slide.page_articulation import (
    Begin,
    find_breaks,
    find_turns,
    find_unslurred,
    read_begins,
)
from coach.planning.slide.patterns import Pattern
from coach.planning.slide.slide import SlidePlan, plan_slide, plan_tongued
from coach.planning.slide.slide_costs import lay_stages
from coach.planning.slide.slide_walk import find_walk
from coach.planning.slide.slurs import Move, move_between
from coach.score.metre import Metre
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.slide.slide_shelf import (
    begun,
    gliding,
    graced,
    instrument,
    planned,
    positions,
)
from tests.planning.slide.slide_shelf import settings as slide_settings
from tests.planning.slide.walk_costs import walk_cost

CLEAN = {
    Articulation.LIP_SLUR: {Move.LIP},
    Articulation.NATURAL_SLUR: {Move.AGAINST},
    Articulation.VALVE_SLUR: {Move.VALVE},
}
NAMES = [
    "Bb2",
    "D3",
    "F3",
    "G3",
    "A3",
    "Bb3",
    "C4",
    "D4",
    "Eb4",
    "F4",
    "G4",
    "A4",
    "Bb4",
]


def tongued(part: Part, on: str = "tenor-trombone") -> SlidePlan:
    return plan_tongued(part, part.tempo_map, instrument(on), slide_settings())


# Facts of the trade; common practice, no published source.


def test_d_and_f_are_both_in_fourth() -> None:
    """From C in 3rd: out while going up, then both in 4th, and back the same way."""
    for dial in (0.5, 0.75, 1.0):
        plan = planned(part_of("C4s D4s F4s D4s C4q", bpm=96), dial=dial)
        assert positions(plan) == "3 4 4 4 3"
        assert begun(plan) == ("TnTlT" if dial < 0.75 else "Tnlln")


def test_d_stays_in_first_where_that_is_the_natural_slur() -> None:
    """From E flat in 3rd, D in 4th would lie on the same partial and smear."""
    plan = planned(part_of("Eb4s ~D4s ~Bb3q", bpm=96))
    assert positions(plan) == "3 1 1"
    assert begun(plan) == "Tnl"


def test_natural_slurs_come_in_sets_of_two() -> None:
    """The first of two sixteenths tongued, the second against the grain."""
    plan = planned(part_of("Bb3s C4s D4s Eb4s F4s Eb4s D4s C4s Bb3q", bpm=80))
    assert begun(plan) == "TnTnTnTnT"


LIES_IN_PAIRS = (
    "D4s F4s Bb3s D4s C4s Eb4s D4s F4s Eb4s G4s F4s D4s C4s A3s Bb3s D4s "
    "F4s D4s Eb4s C4s D4s F4s G4s Eb4s F4s D4s C4s Eb4s D4s F4s Bb3s D4s "
)


def test_a_passage_that_lies_in_pairs_is_played_in_twos_throughout() -> None:
    plan = planned(part_of(LIES_IN_PAIRS * 4, bpm=100))
    assert [stretch.pattern for stretch in plan.patterns] == [Pattern.IN_TWOS]
    assert set(begun(plan)[::2]) == {"T"}
    assert "T" not in begun(plan)[1::2]
    exceptions = plan.patterns[0].exceptions
    assert all(begun(plan)[k] == "d" for k in exceptions)
    assert len(exceptions) <= len(plan.placements) / 16
    assert plan.tongue_strokes <= 0.6 * len(plan.placements)


@pytest.mark.parametrize("bpm", [72, 84, 100, 120])
def test_a_soft_tongue_takes_the_place_of_a_slur_only_where_the_arm_is_near(
    bpm: int,
) -> None:
    """A3 is next to Bb3; from F3 to G3 in fourth a soft tongue would smear."""
    words = "D4s F4s Bb3s A3s F3s G3s Bb3s D4s C4s Eb4s D4s F4s F3s G3s Bb3s D4s "
    plan = planned(part_of(words * 4, bpm=bpm))
    (stretch,) = plan.patterns
    assert stretch.pattern is Pattern.IN_TWOS
    assert plan.travel_by_note_cm[3] < 10.0 < 25.0 < plan.travel_by_note_cm[5]
    assert begun(plan)[3] == "d"
    assert begun(plan)[5] == "T"
    assert {3, 5} <= set(stretch.exceptions)
    assert 5 in stretch.tongued
    assert 3 not in stretch.tongued


def test_d_to_f_is_a_lip_slur_in_fourth_in_the_middle_of_a_line() -> None:
    """D4 and F4 both in 4th between notes in 3rd: the arm stays near."""
    plan = planned(part_of("Eb4s C4s D4s F4s Eb4s C4s D4s F4s Eb4q", bpm=100))
    assert positions(plan) == "3 3 4 4 3 3 4 4 3"
    assert begun(plan) == "TlTlTlTlT"


def test_d_to_f_is_one_in_first_where_the_line_around_it_lies_further_in() -> None:
    """Neither slur needs the arm; first is nearer to Bb3 in first, A3 in second."""
    words = "D4s F4s D4s F4s Eb4s C4s A3s C4s Bb3s D4s Bb3s D4s C4s A3s F3s A3s "
    part = part_of(words * 4, bpm=100)
    plan = planned(part)
    assert positions(plan).startswith("1 1 1 1 3 3 2 3 1 1 1 1")
    fourth = {k: "4" for start in range(0, 64, 16) for k in range(start, start + 4)}
    further = planned(part, locked=fourth)
    assert further.travel_cm > plan.travel_cm + 20.0
    assert further.natural_slurs == plan.natural_slurs


def test_a_chromatic_run_is_tongued_throughout() -> None:
    """No slur of it is clean."""
    plan = planned(part_of("Bb3s A3s Ab3s G3s Gb3s F3s E3s Eb3s D3q", bpm=100))
    assert begun(plan) == "TTTTTTTTT"
    assert [s.pattern for s in plan.patterns][:1] == [Pattern.TONGUED]


def test_triplets_are_slurred_in_threes() -> None:
    words = "Bb3e D4e F4e Bb4e F4e D4e " * 4
    plan = planned(part_of(words, bpm=100, metre=Metre(6, 8)))
    assert begun(plan) == "Tll" * 8
    assert plan.patterns[0].pattern is Pattern.IN_THREES


@given(st.lists(st.sampled_from(NAMES), min_size=4, max_size=24), st.integers(60, 160))
@example(["Bb3", "D3", "Bb2", "Bb2", "D3", "G3", "Bb2"], 70)
@settings(max_examples=60, deadline=None)
def test_one_pattern_holds_within_a_bar(names: list[str], bpm: int) -> None:
    """Another one sets in with a bar, after a rest, or with other note values."""
    part = part_of(" ".join(f"{name}s" for name in names * 3), bpm=bpm)
    plan = planned(part)
    turns = find_turns(part, find_breaks(part, frozenset()))
    strong = find_metre_places(part).strong
    for stretch in plan.patterns:
        assert turns[stretch.first]
        for k in range(stretch.first, stretch.last + 1):
            if stretch.pattern is Pattern.TONGUED:
                assert plan.articulations[k].is_stroke
            elif stretch.pattern is Pattern.IN_TWOS and strong[k]:
                assert plan.articulations[k] is Articulation.TONGUED
            if k in stretch.tongued:
                assert plan.articulations[k] is Articulation.TONGUED
            elif k in stretch.exceptions:
                assert plan.articulations[k] is Articulation.LEGATO_TONGUED


def test_against_the_grain_the_tongue_may_rest() -> None:
    plan = planned(part_of("Bb3e ~C4e ~D4e ~F4e", bpm=80))
    assert positions(plan) == "1 3 4 4"
    assert begun(plan) == "Tnnl"


def test_pairs_on_the_page_keep_their_pattern_right_through() -> None:
    part = part_of("F4s ~D4s Eb4s ~C4s D4s ~Bb3s C4s ~A3s Bb3s ~G3s A3s ~F3s", bpm=80)
    for dial in (0.0, 0.5, 1.0):
        plan = planned(part, dial=dial)
        assert begun(plan)[::2] == "T" * 6
        assert "T" not in begun(plan)[1::2]


@pytest.mark.parametrize(
    ("words", "begins"),
    [("Bb3q A3s Bb3q", "TTd"), ("F3q C3s F2q", "TTl"), ("G3q C4s Bb3q", "TTn")],
)
def test_a_grace_note_is_slurred_to_its_note(words: str, begins: str) -> None:
    assert begun(planned(graced(part_of(words, bpm=100), 1))) == begins


@pytest.mark.parametrize("slur", ["", "~"])
@pytest.mark.parametrize("words", ["Bb2q B2s {}A2q", "C4q F#3s {}E3q", "F3q G3s {}F3q"])
def test_a_grace_note_too_far_away_for_a_slur_is_tongued(words: str, slur: str) -> None:
    """53, 29 and 28 cm in 0.15 s: a slur would smear through all that lies between."""
    plan = planned(graced(part_of(words.format(slur), bpm=100), 1))
    assert begun(plan) == "TTT"
    assert plan.travel_by_note_cm[2] > 25


def test_with_the_grain_on_one_partial_a_slur_needs_the_soft_tongue() -> None:
    plan = planned(part_of("G3q ~F3q", bpm=60), locked={0: "4", 1: "1"})
    assert begun(plan) == "Tn"
    plan = planned(part_of("Bb3q ~A3q", bpm=60), locked={0: "1", 1: "2"})
    assert begun(plan) == "Td"


def test_quick_low_notes_use_the_f_attachment() -> None:
    plan = planned(part_of("Bb2e C3e Bb2e C3e F2q", bpm=80), on="tenor-trombone-f")
    assert positions(plan) == "1 T1 1 T1 T1"
    assert "v" in begun(plan)


def test_a_tongued_pitch_stays_in_one_place() -> None:
    """Not F3 in 1st, 6th and 1st: nothing is slurred by it."""
    plan = planned(part_of("Ab3s F3s G3s F3s G3s Ab3s G3s F3s", bpm=80))
    assert begun(plan) == "TTTTTTTT"
    assert positions(plan) == "3 1 4 1 4 3 4 1"


def test_slow_notes_stay_in_usual_positions() -> None:
    plan = planned(part_of("Bb3q C4q D4q Eb4q F4h D4h", bpm=60))
    assert positions(plan) == "1 3 1 3 1 1"
    assert begun(plan) == "TTTTTT"


def test_a_study_of_repeated_notes_is_tongued_throughout() -> None:
    """Two notes that could be slurred make no passage in twos of it."""
    again = "Bb3s Bb3s Bb3s Bb3s C4s C4s C4s C4s Bb3s Bb3s C4s C4s D4s Bb3s Bb3s Bb3s "
    plan = planned(part_of(again * 4 + "Bb3q", bpm=104))
    assert set(begun(plan)) == {"T"}
    assert {stretch.pattern for stretch in plan.patterns} <= {
        Pattern.TONGUED,
        Pattern.AS_WRITTEN,
    }


def test_a_note_alone_behind_a_rest_is_none_of_the_passage_before() -> None:
    run = "Bb3s D4s Bb3s D4s " * 8
    plan = planned(part_of(f"{run}Bb3h rh F3h D3h Bb2w", bpm=92))
    assert [(s.first, s.last, s.pattern) for s in plan.patterns] == [
        (0, 32, Pattern.IN_TWOS),
        (33, 35, Pattern.AS_WRITTEN),
    ]


# The dial.


def test_at_its_low_end_all_is_as_the_page_and_habit_have_it() -> None:
    part = part_of("Bb3s C4s D4s Eb4s F4s Eb4s D4s C4s Bb3q", bpm=120)
    plan = planned(part, dial=0.0)
    assert not any(place.is_alternate for place in plan.placements)
    assert begun(plan) == "T" * 9


def test_at_its_high_end_one_articulation_runs_through() -> None:
    part = part_of("Bb3s C4s D4s Eb4s F4s Eb4s D4s C4s Bb3q", bpm=100)
    plan = planned(part, dial=1.0)
    assert plan.tongue_strokes == 1
    assert plan.natural_slurs == 8
    assert plan.travel_cm < tongued(part).travel_cm


def test_beyond_its_ends_it_stands_at_the_end() -> None:
    part = part_of("Bb3s C4s D4s Eb4s F4q", bpm=100)
    assert planned(part, dial=-1.0) == planned(part, dial=0.0)
    assert planned(part, dial=9.0) == planned(part, dial=1.0)


@given(st.lists(st.sampled_from(NAMES), min_size=2, max_size=12))
@settings(max_examples=40, deadline=None)
def test_with_the_dial_up_departures_never_become_fewer(names: list[str]) -> None:
    """What the dial weighs only grows: alternates and unwritten slurs.

    A stroke that may cost 999 keeps every manner in the race at every dial.
    """
    part = part_of(" ".join(f"{name}s" for name in names), bpm=90)
    page = read_page_notes(part, part.tempo_map, frozenset())
    free = Freedom(may_use_alternates=True, may_add_slurs=True, locked={})
    moments = lay_moments(page, instrument(), slide_settings(), free)
    weighed = replace(slide_settings(), quick_most_factor=999.0)
    bound, open_ = (lay_stages(moments, weighed, dial) for dial in (0.0, 1.0))
    departures = []
    for dial in (0.0, 0.25, 0.5, 0.75, 1.0):
        walk = find_walk(lay_stages(moments, weighed, dial))
        costs = [walk_cost(s, walk.choices, walk.manners) for s in (bound, open_)]
        departures.append(costs[0] - costs[1])
    assert all(b >= a - 1e-9 for a, b in pairwise(departures))


# Locks, breaths, signs on the page.


def test_a_locked_position_is_kept() -> None:
    part = part_of("Bb3s C4s D4s Eb4s F4s Eb4s D4s C4s Bb3q", bpm=80)
    assert positions(planned(part, locked={4: "6"})).split()[4] == "6"
    assert positions(planned(part, dial=0.0, locked={2: "4"})).split()[2] == "4"


def test_a_position_on_the_page_is_kept_unless_the_player_wants_another() -> None:
    part = part_of("Bb3q D4q F4q", bpm=60)
    notes = (part.notes[0], replace(part.notes[1], marked_position="♭4"), part.notes[2])
    marked = replace(part, notes=notes)
    assert positions(planned(marked)) == "1 4 1"
    assert positions(planned(marked, locked={1: "1"})) == "1 1 1"


def test_the_note_after_a_breath_is_tongued() -> None:
    part = part_of("Bb3s ~C4s ~D4s ~Eb4s", bpm=120)
    plan = planned(part, breaths_after=frozenset({1}))
    assert begun(plan)[2] == "T"


@given(
    st.lists(
        st.tuples(st.sampled_from(NAMES), st.sampled_from("sseq"), st.booleans()),
        min_size=1,
        max_size=16,
    ),
    st.floats(0, 1),
    st.sets(st.integers(0, 15)),
)
@settings(max_examples=80, deadline=None)
def test_the_page_is_always_obeyed(
    notes: list[tuple[str, str, bool]], dial: float, breaths: set[int]
) -> None:
    words = " ".join(
        f"{'~' * (s and k > 0)}{n}{v}" for k, (n, v, s) in enumerate(notes)
    )
    part = part_of(words, bpm=90)
    plan = planned(part, dial=dial, breaths_after=frozenset(breaths))
    breaks = find_breaks(part, frozenset(breaths))
    for k, (note, articulation) in enumerate(
        zip(part.notes, plan.articulations, strict=True)
    ):
        if breaks[k]:
            assert articulation is Articulation.TONGUED
        elif note.is_slurred:
            assert articulation is not Articulation.TONGUED
        elif note.sounding == part.notes[k - 1].sounding:
            assert articulation is Articulation.TONGUED
        if articulation in CLEAN:
            rise = note.sounding.midi - part.notes[k - 1].sounding.midi
            move = move_between(plan.placements[k - 1], plan.placements[k], rise)
            assert move in CLEAN[articulation]


# The figures of a plan.


def cost_by_the_book(part: Part, plan: SlidePlan, dial: float) -> float:
    """Weigh a plan for the open tenor again, from nothing but settings and notes."""
    s = slide_settings()
    restraint = (1 - dial) / max(dial, s.least_dial_share)
    breaks = find_breaks(part, frozenset())
    begins = read_begins(part, breaks)
    strong = find_metre_places(part).strong
    turns = find_turns(part, breaks)
    patterns = [
        stretch.pattern
        for stretch in plan.patterns
        for _ in range(stretch.first, stretch.last + 1)
    ]
    plain = find_plain(plan, [a or b for a, b in zip(strong, breaks, strict=True)])
    unslurred = find_unslurred(part, breaks)
    held: Pattern | None = None
    has_turned = False
    total, came = 0.0, 0
    for k, (place, articulation) in enumerate(
        zip(plan.placements, plan.articulations, strict=True)
    ):
        note, before = part.notes[k], part.notes[max(0, k - 1)]
        old = plan.placements[max(0, k - 1)]
        at, at_before = (part.tempo_map.seconds_at(n.onset) for n in (note, before))
        ioi = at - at_before if k else s.quick_s
        quick = min(s.quick_most_factor, s.quick_s / ioi)
        pattern = patterns[k]
        is_free = pattern is not Pattern.AS_WRITTEN
        is_open = begins[k] is Begin.OPEN and is_free
        assert is_free or begins[k] is not Begin.OPEN or dial == 0 or ioi > 0.4
        total += s.out_of_tune_per_cents_weight * abs(place.cents)
        assert place.cm is not None
        assert old.cm is not None
        if place.is_alternate:
            further = max(0.0, place.cm - s.far_from_cm)
            assert place.partial is not None
            is_rare = (
                further > 0 and place.number + place.partial > s.taught_sum_partials
            )
            threshold = s.alternate_weight + s.rare_weight * is_rare
            price = restraint * threshold + s.far_per_cm_weight * further
            total += price * max(1.0, quick * s.threshold_quick_s / s.quick_s)
        moved = place.cm - old.cm
        way = (
            0 if k == 0 or breaks[k] or abs(moved) < s.still_cm else (1, -1)[moved < 0]
        )
        if articulation.is_stroke:
            is_soft = begins[k] in (Begin.SLUR, Begin.SOFT)
            total += (s.legato_weight if is_soft else s.stroke_weight) * quick
            slurs = pattern is Pattern.SLURRED or (
                pattern in (Pattern.IN_TWOS, Pattern.IN_THREES) and not strong[k]
            )
            is_again = is_free and begins[k] is Begin.TONGUE and not breaks[k]
            is_meant = is_open or (is_again and not strong[k])
            total += s.exception_weight * quick * (is_meant and slurs)
            if begins[k] is Begin.SLUR and old.partial == place.partial:
                total += s.smear_weight * quick * (note.sounding != before.sounding)
        else:
            assert old.partial is not None
            assert place.partial is not None
            total += s.skip_weight * max(0, abs(place.partial - old.partial) - 1)
            if is_open:
                unwritten = s.unwritten_weight + s.strong_weight * strong[k]
                total += restraint * unwritten
        if breaks[k]:
            total += s.break_share * s.travel_per_cm_weight * abs(moved)
        else:
            total += s.travel_per_cm_weight * abs(moved) * quick
            needs = (5.77 * abs(moved) / 100 / s.acceleration_mps2) ** 0.5
            total += s.hurry_weight * max(0.0, needs / (ioi * s.move_share) - 1)
        total += s.turn_weight * quick * (came * way < 0)
        has_turned = has_turned or turns[k]
        if not unslurred[k]:
            held = None
        elif is_free and k not in plain:
            if held is not None and pattern is not held:
                assert has_turned
                total += s.switch_weight
            held, has_turned = pattern, False
        total += s.leave_weight * quick * is_left(part, plan, breaks, k)
        came = way
    return total


def find_plain(plan: SlidePlan, is_stroke: Sequence[bool]) -> set[int]:
    """Find notes tongued in any pattern: each begins a beat or a passage."""
    return {
        k
        for stretch in plan.patterns
        for k in range(stretch.first, stretch.last + 1)
        if stretch.pattern is Pattern.TONGUED
        and all(is_stroke[stretch.first : stretch.last + 1])
    }


def is_left(part: Part, plan: SlidePlan, breaks: tuple[bool, ...], k: int) -> bool:
    """Tell whether a pitch was played elsewhere, at most so many notes ago."""
    for j in range(k - 1, max(-1, k - 1 - slide_settings().leave_notes), -1):
        if any(breaks[j + 1 : k + 1]):
            return False
        if part.notes[j].sounding.midi == part.notes[k].sounding.midi:
            return plan.placements[j] != plan.placements[k]
    return False


@given(
    st.lists(
        st.tuples(st.sampled_from(NAMES), st.sampled_from("sse"), st.booleans()),
        min_size=1,
        max_size=14,
    ),
    st.sampled_from([0.0, 0.3, 0.5, 1.0]),
)
@example(
    [("D3", "e", False), ("Bb2", "s", False), ("Bb2", "e", False), ("D3", "s", False)],
    0.3,
)
@example(
    [
        (name, value, False)
        for name, value in zip(["Bb2"] * 7 + ["F3"], "ssssesss", strict=True)
    ],
    1.0,
)
@settings(max_examples=80, deadline=None)
def test_a_plan_costs_what_the_settings_say(
    notes: list[tuple[str, str, bool]], dial: float
) -> None:
    words = " ".join(
        f"{'~' * (s and k > 0)}{n}{v}" for k, (n, v, s) in enumerate(notes)
    )
    part = part_of(words, bpm=100)
    # A plan does not tell in which manner a short stretch is tongued.
    s = slide_settings()
    even = replace(s, leave_tongued_weight=s.leave_weight)
    plan = plan_slide(part, part.tempo_map, instrument(), even, dial=dial)
    assert plan.cost == pytest.approx(cost_by_the_book(part, plan, dial))


@given(st.lists(st.sampled_from(NAMES), min_size=2, max_size=4), st.floats(0.05, 1))
@settings(max_examples=60, deadline=None)
def test_no_plan_of_a_phrase_is_cheaper(names: list[str], dial: float) -> None:
    """Every way to play a phrase in which nothing comes again, tried."""
    part = part_of(" ".join(f"{name}s" for name in names), bpm=100, metre=Metre(4, 4))
    page = read_page_notes(part, part.tempo_map, frozenset())
    free = Freedom(may_use_alternates=True, may_add_slurs=True, locked={})
    moments = lay_moments(page, instrument(), slide_settings(), free)
    stages = lay_stages(moments, slide_settings(), dial)
    every = product(*(range(len(moment.ways)) for moment in moments))
    manners = list(product(*(range(len(stage.manners)) for stage in stages)))
    best = min(walk_cost(stages, way, manner) for way in every for manner in manners)
    assert planned(part, dial=dial).cost == pytest.approx(best, abs=1e-9)


def test_travel_and_strokes_are_added_up() -> None:
    """Bb in 1st, C in 3rd, Bb in 1st at 60: 16.8 cm out and back."""
    plan = planned(part_of("Bb3q C4q Bb3q", bpm=60), dial=0.0)
    assert plan.travel_by_note_cm == pytest.approx((0.0, 16.8, 16.8), abs=0.05)
    assert plan.travel_cm == pytest.approx(33.6, abs=0.1)
    assert (plan.tongue_strokes, plan.natural_slurs) == (3, 0)


def test_the_plan_to_compare_with_tongues_everything_in_usual_positions() -> None:
    plan = tongued(part_of("Bb3s ~C4s ~D4s ~F4s", bpm=80))
    assert begun(plan) == "TTTT"
    assert not any(place.is_alternate for place in plan.placements)
    assert plan.notices == ()


# Other instruments.


def test_valves_slur_what_the_page_slurs_and_nothing_more() -> None:
    plan = planned(
        part_of("C4e ~D4e ~E4e F4s G4s A4s Bb4s", bpm=80), on="trumpet", dial=1.0
    )
    assert begun(plan) == "TvvTTTT"
    assert plan.travel_cm == 0.0


def test_the_same_valves_make_a_lip_slur() -> None:
    plan = planned(part_of("Bb3q ~F4q", bpm=60), on="trumpet", dial=0.0)
    assert begun(plan) == "Tl"


def test_breath_only_instruments_slur_what_the_page_slurs() -> None:
    plan = planned(part_of("C5q ~D5q ~D5q E5q", bpm=60), on="flute")
    assert begun(plan) == "TndT"
    assert positions(plan) == "   "


def test_fingerings_on_a_page_for_a_flute_are_left_alone() -> None:
    part = part_of("C5q D5q", bpm=60)
    notes = (replace(part.notes[0], marked_position="3"), part.notes[1])
    assert planned(replace(part, notes=notes), on="flute").notices == ()


def test_a_part_of_one_note() -> None:
    plan = planned(part_of("Bb3q"))
    assert (positions(plan), begun(plan), plan.travel_cm) == ("1", "T", 0.0)


# A glissando: one partial, the slide alone; common practice, no published source.


@pytest.mark.parametrize("dial", [0.0, 0.5, 1.0])
@pytest.mark.parametrize(
    ("words", "where"),
    [
        ("D4q F4q", "4 1"),
        ("Bb3q E3q", "1 7"),
        ("D4q F4q D4h", "4 1 4"),
        ("B3q F4q B3q", "7 1 7"),
        ("F4q Bb3q", None),
    ],
)
def test_a_glissando_lies_on_one_partial(
    words: str, where: str | None, dial: float
) -> None:
    starts = (0,) if len(words.split()) == 2 else (0, 1)
    plan = planned(gliding(words, *starts), dial=dial)
    if where is None:
        assert len(plan.notices) == 1
        return
    assert positions(plan) == where
    assert plan.notices == ()
    for k in starts:
        before, after = plan.placements[k : k + 2]
        assert before.partial == after.partial
        assert plan.articulations[k + 1] is Articulation.GLISSANDO
    assert plan.natural_slurs == sum(a.is_slur for a in plan.articulations)
    assert plan.tongue_strokes + plan.natural_slurs + len(starts) == len(
        plan.articulations
    )


def test_a_glissando_that_cannot_be_made_is_begun_as_cleanly_as_it_can() -> None:
    assert begun(planned(gliding("F3q C4q", 0))) == "Tn"
    assert begun(planned(gliding("G3q C4q", 0))) == "Td"
    locked = planned(gliding("D4q F4q", 0), locked={0: "1"})
    assert (positions(locked), begun(locked)) == ("1 1", "Tl")


def test_without_a_slide_a_glissando_is_slurred() -> None:
    assert begun(planned(gliding("E3q Bb3q", 0), on="trumpet")) == "Tv"


def test_a_trigger_that_stays_down_glides_too() -> None:
    plan = planned(gliding("C2q D2q F2q", 0, 1), on="bass-trombone")
    assert (positions(plan), begun(plan)) == ("T6 T4 T1", "Tgg")


def test_the_tongued_plan_makes_no_glissando() -> None:
    plan = tongued(gliding("D4q F4q", 0))
    assert (positions(plan), begun(plan)) == ("1 1", "TT")
