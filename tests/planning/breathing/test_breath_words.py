"""Why a breath stands here and not at the neighbour, in words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breaths import LIKE_OTHERS, BreathPlan, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.words.breath_reasons import say_reason
from coach.score.phrase import Part, Place
from coach.score.tempo import Beats
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import COSTS, who

NO_LOCKS = Locks()


def whys(
    part: Part,
    ends: tuple[float, ...],
    *,
    bpm: float = 60.0,
    litres: float = 3.1,
    locks: Locks = NO_LOCKS,
) -> dict[int, str]:
    """Plan, and give the reason for each breath."""
    plan = plan_of(part, ends, bpm=bpm, litres=litres, locks=locks)
    return {breath.after_note: breath.why for breath in plan.breaths}


def plan_of(
    part: Part, ends: tuple[float, ...], *, bpm: float, litres: float, locks: Locks
) -> BreathPlan:
    passage = set_passage(part, bpm, ends)
    return plan_breaths(passage, who(measured(litres)), locks)


def test_the_only_place_needs_no_comparison() -> None:
    assert whys(part_of("F3w rh F3w"), (0.9,)) == {0: "on the rest"}


def test_a_phrase_end_is_called_so_and_waiting_would_leave_little() -> None:
    part = part_of("F3h G3h A3h Bb3h C4h Bb3h")
    found = whys(part, (0.1, 0.1, 0.9, 0.1, 0.1))
    assert found == {2: "the phrase ends; after bar 2, beat 4 only 29% would be left"}


def test_a_worse_neighbour_is_told_by_its_flaw() -> None:
    slurred = part_of("F3w G3h ~A3h Bb3h")
    locks = Locks(must_not=frozenset({2}))
    assert whys(slurred, (0.9, 0.02, 0.9), litres=2.6, locks=locks) == {
        0: "the phrase ends; after bar 2, beat 2 it would break the slur"
    }


def test_a_better_place_that_comes_too_early_is_named() -> None:
    part = part_of("F3w G3h A3h Bb3h C4h Bb3h A3h")
    locks = Locks(must_not=frozenset({2, 3, 4, 5}))
    assert whys(part, (0.95, 0.3, *(0.1,) * 4), litres=2.6, locks=locks) == {
        1: "after the downbeat; after bar 1, beat 4 is too early, with 50% left"
    }


def test_where_no_rest_is_none_is_called_shorter() -> None:
    part = part_of("A3q rq G3h G3h F3h G3h F3h")
    found = whys(part, (0.9, 0.3, 0.9, 0.9, 0.3))
    assert found[0] == "on the rest; after bar 2, beat 2 there is no rest"


def test_no_place_is_too_early_where_another_breath_has_as_much_air() -> None:
    part = part_of("Bb3q A3w A3h F3h G3h Bb3q F3h")
    plan = plan_of(
        part, (0.9, 0.9, 0.3, 0.9, 0.9, 0.3), bpm=60, litres=3.1, locks=NO_LOCKS
    )
    first, second = plan.breaths
    assert first.air_before > plan.air_after[3] > second.air_before
    assert second.why == "the phrase ends"


def test_as_much_as_the_plan_itself_goes_down_to_is_not_called_little() -> None:
    part = part_of("Bb3w G3w A3q Bb3q F3w F3h")
    found = whys(part, (0.9, 0.9, 0.3, 0.4, 0.3))
    assert found[1] == (
        "the phrase ends; after bar 3, beat 2 you would be below half, at 32%"
    )


@pytest.mark.parametrize(
    ("words", "ends", "bpm", "breath", "there", "told"),
    [
        (
            "A3q Bb3h A3h F3h Bb3h Bb3w Bb3h G3q",
            (0.9, 0.1, 0.1, 0.1, 0.1, 0.9, 0.95),
            60.0,
            3,
            2,
            "breathing after bar 2, beat 1 you would come to the next breath with 20%",
        ),
        (
            "Bb3w G3h Bb3h G3w F3h F3h G3w",
            (0.6, 0.95, 0.3, 0.1, 0.1, 0.1),
            72.0,
            4,
            3,
            "breathing after bar 3, beat 4 you would come to the end with 14%",
        ),
    ],
)
def test_what_an_earlier_breath_would_leave_is_what_its_plan_leaves(
    words: str,
    ends: tuple[float, ...],
    bpm: float,
    breath: int,
    there: int,
    told: str,
) -> None:
    part = part_of(words)
    plan = plan_of(part, ends, bpm=bpm, litres=2.2, locks=NO_LOCKS)
    places = [one.after_note for one in plan.breaths]
    number = places.index(breath)
    assert plan.breaths[number].why.endswith(f"; {told}")
    asked = frozenset({*places, there} - {breath})
    others = frozenset(range(len(ends))) - asked
    locks = Locks(must=asked, must_not=others)
    other = plan_of(part, ends, bpm=bpm, litres=2.2, locks=locks)
    left = [*(one.air_before for one in other.breaths[1:]), other.air_after[-1]]
    assert f"{100 * left[number]:.0f}%" in told


def test_an_earlier_place_that_leaves_as_much_is_not_spoken_against() -> None:
    part = part_of("F3q F3w rh Bb3h G3h")
    found = whys(part, (0.3, 0.05, 0.95), bpm=72, litres=2.6)
    assert found == {2: "the phrase ends"}


def test_a_place_right_after_a_breath_is_not_worth_a_word() -> None:
    part = part_of("F3q G3h A3h Bb3h C4h Bb3h A3h")
    locks = Locks(must_not=frozenset({2, 4, 5}))
    found = whys(part, (0.95, 0.1, 0.1, 0.3, 0.1, 0.1), bpm=72, locks=locks)
    assert found == {3: "after the long note"}


def test_a_place_where_the_lungs_are_still_full_is_not_worth_a_word() -> None:
    part = part_of("F3w " * 6, loud=-3.0)
    locks = Locks(must_not=frozenset({1, 2, 4}))
    found = whys(part, (0.5, 0.1, 0.1, 0.9, 0.1), litres=4.5, locks=locks)
    assert found == {3: "the phrase ends"}


def test_a_place_passed_over_since_the_breath_before_is_compared_too() -> None:
    part = part_of("F3q G3h A3h Bb3h C4h G3h A3h Bb3h C4h")
    locks = Locks(must_not=frozenset({0, 1, 2, 4, 6}))
    found = whys(part, (0.1, 0.1, 0.1, 0.9, 0.1, 0.1, 0.1, 0.9), locks=locks)
    assert found == {
        3: "the phrase ends; after bar 3, beat 3 only 9% would be left",
        7: "the phrase ends; after bar 3, beat 3 it would cut into the phrase",
    }


def test_what_is_lacking_is_told_up_to_the_next_breath() -> None:
    def short_l(words: str, ends: tuple[float, ...]) -> float:
        locks = Locks(must_not=frozenset({0, 2, 3}))
        part = part_of(words)
        return plan_of(part, ends, bpm=40, litres=2.0, locks=locks).short_l

    alone = short_l("F3w F3w", (0.1,))
    assert alone > 1.0
    longer = short_l("F3w F3w rh F3w F3w F3w", (0.1, 0.9, 0.1, 0.1))
    assert longer == pytest.approx(alone)


def test_each_bar_in_which_the_air_runs_out_again_is_named() -> None:
    part = part_of("F3w F3w rh F3w F3w F3w rh F3w F3w")
    locks = Locks(must_not=frozenset({0, 2, 3, 5}))
    ends = (0.1, 0.9, 0.1, 0.1, 0.9, 0.1)
    plan = plan_of(part, ends, bpm=40, litres=2.0, locks=locks)
    (notice,) = [text for text in plan.notices if "runs out" in text]
    assert notice.endswith("L short, and again in bars 4 to 5, 8.")
    assert {plan.dry_place(k).bar for k in plan.dry} == {2, 4, 5, 8}


def test_the_longer_note_is_the_reason_among_short_ones() -> None:
    part = part_of("F3e G3s A3s Bb3e A3s G3s " * 6)
    reasons = whys(part, (0.05,) * 35, litres=2.05).values()
    own = [reason for reason in reasons if reason != LIKE_OTHERS]
    assert own
    assert {reason.split(";")[0] for reason in own} == {"after the longer note"}


def test_a_rest_is_the_reason_though_the_note_before_gives_a_little() -> None:
    """Alike with or without that little: 0.67 s at a quarter rest of 0.56 s."""
    part = part_of("F3w Bb3q rq F3q G3q F3w G3w Bb3w", bpm=108)
    (reason, *_) = whys(part, (0.9,) * 6, bpm=108, litres=2.6).values()
    assert reason.split(";")[0] == "at the rest"


def test_a_held_note_is_the_reason_though_one_as_long_follows() -> None:
    """Halves at the end of a run of eighths."""
    part = part_of("F3e G3e A3e Bb3e A3e G3e F3e G3e A3h Bb3h C4w", bpm=120)
    locks = Locks(must_not=frozenset(range(8)))
    (reason,) = whys(part, (0.05,) * 10, litres=2.0, locks=locks).values()
    assert reason.split(";")[0] == "after the longer note"


def test_a_place_that_nothing_speaks_for_is_called_so() -> None:
    part = part_of("F3q G3q A3q Bb3q " * 3)
    locks = Locks(must_not=frozenset({0, 2, 3, 4, 6, 7, 8, 10}))
    reasons = whys(part, (0.1,) * 11, locks=locks)
    assert {r.split(";")[0] for r in reasons.values()} == {"for want of a better place"}


@pytest.mark.parametrize(
    ("words", "gap", "reason"),
    [
        ("F3h G3h A3h Bb3h C4h D4h", 2, "after the long note"),
        ("F3w G3h A3q Bb3q C4q D4q", 2, "for want of a better place"),
        ("C3q D3q E3q E3q F3q G3q", 2, "the same note comes again"),
        ("C3q D3q E3q A3q B3q C4q", 2, "before the leap"),
        ("C3q D3q E3q F3q G3q A3q", 3, "at the bar line"),
        ("C3q D3q E3q F3q E3q D3q", 4, "after the downbeat"),
        ("C3q D3q E3q D3q C3q B2q", 2, "where the line turns"),
        ("C3q E3q F3q G3q A3q", 0, "after the downbeat"),
    ],
)
def test_among_even_notes_the_line_gives_the_reason(
    words: str, gap: int, reason: str
) -> None:
    part = part_of(words)
    count = len(part.notes) - 1
    passage = set_passage(part, 60, (0.1,) * count)
    places = lay_places(passage, who(measured(3.1)))
    assert say_reason(places, gap, places.ways[gap][0]) == reason


def test_the_last_place_of_all_is_compared_too() -> None:
    told = "after bar 2, beat 2 it would cut into the phrase"
    found = whys(part_of("F3w G3h A3h"), (0.9, 0.1), litres=5.0)
    assert found == {0: f"the phrase ends; {told}"}


def test_a_place_that_would_part_the_last_two_notes_is_told_so() -> None:
    part = part_of("F3w G3h A3h Bb3h rh C4h Bb3h A3h")
    locks = Locks(must_not=frozenset({0, 1, 4, 5}))
    ends = (0.3, 0.1, 0.1, 0.95, 0.1, 0.1)
    (why,) = whys(part, ends, litres=4.0, locks=locks).values()
    told = "after bar 2, beat 4 it would part the last two notes"
    assert why == f"on the rest; {told}"


def test_a_short_rest_that_is_lengthened_is_named() -> None:
    part = part_of("F3w F3w rs F3w F3w")
    assert whys(part, (0.1, 0.4, 0.1))[1].startswith("at the short rest")


def test_a_fermata_is_named() -> None:
    part = part_of("F3w F3w F3w")
    held = replace(part.notes[1], has_fermata=True)
    part = replace(part, notes=(part.notes[0], held, part.notes[2]))
    locks = Locks(must_not=frozenset({0}))
    assert whys(part, (0.1, 0.4), locks=locks) == {1: "after the fermata"}


def test_a_broken_slur_is_owned_up_to() -> None:
    part = part_of("F3w ~G3w ~F3w ~G3w")
    reasons = whys(part, (0.02,) * 3, litres=2.05)
    assert any(r.startswith("inside the slur, where it") for r in reasons.values())


def test_a_shorter_neighbour_is_told_by_its_length() -> None:
    part = part_of("F3w G3h A3h Bb3h C4h Bb3h A3h")
    locks = Locks(must_not=frozenset({2, 3, 4, 5}))
    found = whys(part, (0.5, 0.5, *(0.1,) * 4), litres=5.0, locks=locks)
    assert found == {0: "the phrase ends; after bar 2, beat 2 the note is shorter"}


def test_a_neighbour_without_a_flaw_of_its_own_needs_no_word() -> None:
    part = part_of("F3q G3q F3q G3q A3q F3h")
    locks = Locks(must_not=frozenset({0, 1, 4}))
    found = whys(part, (0.5,) * 5, bpm=40, litres=3.9, locks=locks)
    assert found == {2: "the phrase ends"}


def test_the_notes_that_are_left_out_are_the_reason() -> None:
    part = part_of("C3s D3s E3s F3s G3s F3s E3s D3s " * 12)
    reasons = whys(part, (0.05,) * 95, bpm=90)
    assert all(reason.startswith("leaving out ") for reason in reasons.values())
    assert all("[" in reason for reason in reasons.values())


def test_a_long_tone_runs_out_in_the_bar_that_its_flow_reaches() -> None:
    """The air blown evenly lasts for so many litres over so many a second."""
    part = part_of("F3w " * 12, bpm=60)
    tied = replace(part.notes[0], length=Beats(Fraction(48)))
    passage = set_passage(replace(part, notes=(tied,)), 60, [])
    breather = who(measured(4.5))
    plan = plan_breaths(passage, breather)
    share = breather.air.full_share - breather.air.empty_share
    lasts_s = share * 4.5 / plan.flow_lps[0]
    bar, beat = 1 + int(lasts_s // 4), 1 + int(lasts_s % 4)
    assert bar > 1
    assert plan.dry_places == (Place(bar, beat),)
    assert plan.notices == (
        f"The air runs out in bar {bar}, beat {beat}, {plan.short_l:.1f} L short.",
    )


def test_a_short_note_that_runs_out_is_named_by_its_own_beat() -> None:
    part = part_of("F3e " * 120, bpm=60, loud=2.0)
    passage = set_passage(part, 60, [0.1] * 119)
    never = Locks(must_not=frozenset(range(119)))
    plan = plan_breaths(passage, who(measured(4.5)), never)
    assert plan.runs_out is not None
    note = part.notes[plan.runs_out]
    assert plan.dry_place(plan.runs_out) == Place(note.bar, float(note.beat))
    assert len(plan.dry_places) == len(plan.dry)


def test_a_slur_that_begins_with_a_note_left_out_is_not_called_broken() -> None:
    part = part_of("F3s G3s ~A3s ~Bb3s ~C4s ~Bb3s ~A3s ~G3s ~F3q")
    passage = set_passage(part, 60, [0.1] * 8)
    told = {
        note: plan_breaths(
            passage, who(measured(4.5)), Locks(left_out=frozenset({note}))
        ).notices
        for note in (1, 3)
    }
    assert not any("slur" in notice for notice in told[1])
    assert any("breaks a slur" in notice for notice in told[3])


def test_who_plays_mostly_below_half_is_told_and_what_would_help() -> None:
    """Of one breath that lasts from full to the floor, half lies below half."""
    part = part_of("F3s " * 256, bpm=100)
    passage = set_passage(part, 100, [0.1] * 255)
    told = {
        steps: plan_breaths(passage.louder(steps), who(measured(3.2)))
        for steps in (-2.0, 3.0)
    }
    loud = told[3.0]
    share = loud.below_half / sum(
        end - time.start for end, time in zip(loud.ends, passage.times, strict=True)
    )
    assert loud.runs_out is None
    assert share > COSTS.low_told_share
    (notice,) = loud.notices
    assert notice.startswith(f"{100 * share:.0f} % of it is played below half: the air")
    assert told[-2.0].notices == ()
    dry = plan_breaths(passage.louder(3.0), who(measured(3.2)), NO_BREATH)
    assert not any("below half" in notice for notice in dry.notices)


NO_BREATH = Locks(must_not=frozenset(range(255)))


def test_a_place_with_as_much_air_as_the_breath_is_not_too_early() -> None:
    part = part_of("A3q G3h Bb3h Bb3h Bb3q F3w")
    locks = Locks(must_not=frozenset({1}))
    found = whys(part, (0.1, 0.9, 0.9, 0.9, 0.3), locks=locks)
    assert found == {
        3: "the phrase ends; breathing after bar 2, beat 1 you would come to the end "
        "with 35%"
    }
