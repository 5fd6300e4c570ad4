"""The same music, the same breath: passes of a repeat."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from itertools import pairwise

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.alike.alike_breaths import find_twins
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breaths import BreathPlan, choose_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Passage, set_passage
from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import MILD, who

LINE = "F3q G3q A3q G3q F3h G3q A3q Bb3q A3q G3h F3q G3q A3h "


def repeated(words: str, times: int = 2) -> Part:
    """Play the same bars of the page again."""
    once = part_of(words)
    notes, bars = [], []
    for number in range(times):
        later = once.end * number
        notes += [replace(n, onset=Beats(n.onset + later)) for n in once.notes]
        bars += [replace(bar, onset=Beats(bar.onset + later)) for bar in once.bars]
    return replace(once, notes=tuple(notes), bars=tuple(bars))


def passage_of(words: str, times: int = 2, bpm: float = 60) -> Passage:
    part = repeated(words, times)
    return set_passage(part, bpm, [0.1] * (len(part.notes) - 1))


def passes(
    passage: Passage, litres: float, locks: Locks | None = None
) -> list[set[int]]:
    """Give where each pass breathes, counted from its first note."""
    places = lay_places(passage, who(measured(litres)))
    plan = choose_breaths(places, locks or Locks())
    size = len(part_of(LINE).notes)
    taken = [b.after_note for b in plan.breaths]
    return [
        {k % size for k in taken if k // size == number and k % size < size - 1}
        for number in range(len(passage.part.notes) // size)
    ]


def test_what_is_one_place_on_the_page_is_found() -> None:
    places = lay_places(passage_of("F3h G3h A3w"), who(measured(4)))
    assert find_twins(places.passage.part, places.gaps) == ((0, 3), (1, 4))
    once = lay_places(passage_of("F3h G3h A3w", 1), who(measured(4)))
    assert find_twins(once.passage.part, once.gaps) == ()


@pytest.mark.parametrize("litres", [3.4, 3.5, 3.7, 4.2, 4.5])
def test_passes_are_breathed_alike(litres: float) -> None:
    first, second = passes(passage_of(LINE), litres)
    assert first == second


def test_that_would_not_be_so_by_itself() -> None:
    free = replace(MILD, alike_weight=0.0, pass_weight=0.0)
    plans = []
    for litres in (3.4, 3.5, 3.7, 4.2):
        places = lay_places(passage_of(LINE), who(measured(litres), free))
        breaths = choose_breaths(places).breaths
        plans.append({b.after_note % 13 for b in breaths if b.after_note < 12})
        plans.append({b.after_note % 13 for b in breaths if 12 < b.after_note < 25})
    assert any(a != b for a, b in zip(plans[::2], plans[1::2], strict=True))


TUNE = (
    "F3q A3q C4q A3q Bb3q D4q C4q Bb3q A3q G3q F3q G3q A3q Bb3q C4q D4q C4h A3h "
    "F3q G3q A3q Bb3q C4q D4q E4q F4q E4q D4q C4q Bb3q A3h G3q C4q "
)
"""Its second bar begins with note 4, counted from 0; its fine is note 17."""

HEARD = {6: 0.25, 7: 0.37, 10: 0.12, 17: 0.99, 30: 0.76, 31: 0.23, 32: 0.9, 39: 0.2}
"""How likely a phrase is heard to end where."""


def entered(litres: float, costs: BreathSettings = MILD) -> list[set[int]]:
    """Give where a line breathes, and where when it is entered again in its middle."""
    once = part_of(TUNE)
    later = once.end - once.notes[4].onset
    again = [replace(n, onset=Beats(n.onset + later)) for n in once.notes[4:18]]
    part = replace(once, notes=(*once.notes, *again))
    ends = [HEARD.get(k, 0.02) for k in range(len(part.notes) - 1)]
    plan = choose_breaths(
        lay_places(set_passage(part, 104, ends), who(measured(litres), costs))
    )
    taken = {breath.after_note for breath in plan.breaths}
    return [{k for k in taken if 4 <= k < 17}, {k - 29 for k in taken if k >= 33}]


@pytest.mark.parametrize("litres", [3.5, 3.75, 4.0])
def test_a_line_that_is_entered_in_its_middle_is_breathed_as_before(
    litres: float,
) -> None:
    """A dal segno: one pencil mark on the page holds for both times."""
    first, second = entered(litres)
    assert first == second
    free = replace(MILD, pass_weight=MILD.alike_weight)
    first, second = entered(litres, free)
    assert first != second, "it would not be so by itself"


EIGHTHS = (
    "F4e Eb4e D4e C4e Bb3e D4e Bb3e D4e F4e G4e Eb4e F4e G4e Eb4e C4e A3e "
    "G3e F3e G3e A3e F3e G3e F3e A3e C4e Eb4e F4e G4e F4e G4e A4e G4e "
)


def test_notes_are_left_out_at_one_place_in_every_pass() -> None:
    """Four bars without a rest or a longer note, twice."""
    passage = passage_of(EIGHTHS, bpm=100)
    plans = [
        choose_breaths(lay_places(passage, who(measured(4.0), costs)))
        for costs in (MILD, replace(MILD, pass_weight=0.0, alike_weight=0.0))
    ]
    places = [[b.after_note % 32 for b in plan.breaths] for plan in plans]
    assert all(plan.left_out for plan in plans)
    assert len(set(places[0])) == 1
    assert len(set(places[1])) == 2, "it would not be so by itself"


WIDE = (
    "C4e A3e Bb3e A3e G3e A3e Bb3e C4e D4e Eb4e F4e G4e F4e G4e A4e Bb4e "
    "A4e Bb4e Bb4e G4e A4e G4e F4e Eb4e D4e C4e Bb3e D4e F4e A4e Bb4e A4e "
)


def test_no_note_is_left_out_only_to_be_alike() -> None:
    """Though both passes could then breathe after the same note."""
    passage = passage_of(WIDE, bpm=78)
    plan = choose_breaths(lay_places(passage, who(measured(4.5))))
    assert not plan.left_out
    assert [breath.after_note for breath in plan.breaths] == [26, 38, 50]


def test_no_breath_that_is_needed_is_left_out_to_be_alike() -> None:
    """The air asks for one breath: rather in one pass alone than in none."""
    passage = passage_of(EIGHTHS, bpm=132)
    plan = choose_breaths(lay_places(passage, who(measured(4.0), MILD)))
    assert plan.left_out
    assert len(plan.breaths) == 1


def test_of_three_breaths_two_are_left_to_be_alike() -> None:
    passage = passage_of(EIGHTHS, bpm=96)
    plan = choose_breaths(lay_places(passage, who(measured(3.5), MILD)))
    assert [breath.after_note for breath in plan.breaths] == [24, 32 + 24]


Taken = dict[int, set[tuple[float, bool]]]
"""At each place of the page, how long breaths take and whether they are gasps."""


def taken_at(
    passage: Passage,
    litres: float,
    costs: BreathSettings = MILD,
    locks: Locks | None = None,
) -> tuple[Taken, BreathPlan]:
    places = lay_places(passage, who(measured(litres), costs))
    plan = choose_breaths(places, locks or Locks())
    taken: Taken = defaultdict(set)
    for breath in plan.breaths:
        place = breath.after_note % len(part_of(LINE).notes)
        taken[place].add((round(breath.gap, 6), breath.is_gasp))
    return taken, plan


FREE_TO_DIFFER = replace(MILD, as_long_weight=0.0)


@pytest.mark.parametrize("times", [2, 3])
@pytest.mark.parametrize("litres", [3.0, 3.2, 3.5, 5.0])
def test_a_breath_takes_as_long_in_every_pass(litres: float, times: int) -> None:
    """One mark of the pencil: the air differs from pass to pass, the time does not."""
    taken, alike = taken_at(passage_of(LINE, times), litres)
    assert {len(each) for each in taken.values()} == {1}
    by_itself, plain = taken_at(passage_of(LINE, times), litres, FREE_TO_DIFFER)
    assert max(len(each) for each in by_itself.values()) == 2
    assert by_itself.keys() == taken.keys(), "only how long they take is changed"
    least = MILD.as_long_weight * len(alike.breaths)
    assert plain.cost < alike.cost <= plain.cost + least


def test_a_breath_is_drawn_in_one_manner_in_every_pass() -> None:
    """In the same time a gasp gives more: not now the one and now the other."""
    passage = passage_of(LINE, 2, bpm=72)
    by_itself, _ = taken_at(passage, 2.7, FREE_TO_DIFFER)
    assert {is_gasp for _, is_gasp in by_itself[4]} == {False, True}
    assert len({gap for gap, _ in by_itself[4]}) == 1
    taken, _ = taken_at(passage, 2.7)
    assert len(taken[4]) == 1


def test_a_breath_that_is_asked_for_takes_as_long_in_every_pass_too() -> None:
    both = Locks(must=frozenset({4, 17}))
    taken, _ = taken_at(passage_of(LINE), 3.2, MILD, both)
    by_itself, _ = taken_at(passage_of(LINE), 3.2, FREE_TO_DIFFER, both)
    assert (len(taken[4]), len(by_itself[4])) == (1, 2)


def test_a_breath_takes_another_time_where_as_long_would_cost_much() -> None:
    costs = replace(MILD, as_long_weight=0.001)
    taken, plan = taken_at(passage_of(LINE), 3.5, costs)
    _, plain = taken_at(passage_of(LINE), 3.5, FREE_TO_DIFFER)
    assert max(len(each) for each in taken.values()) == 2
    assert plan.breaths == plain.breaths


WRITTEN_OUT = f"{LINE * 2}Bb3w A3w Bb3w {LINE * 2}"
"""A phrase of 26 notes, something else, and the phrase again."""


def test_a_phrase_that_is_written_out_again_is_found() -> None:
    part = part_of(WRITTEN_OUT)
    places = lay_places(set_passage(part, 60, [0.1] * 54), who(measured(4)))
    twins = find_twins(places.passage.part, places.gaps)
    assert twins[0] == (0, 13, 29, 42), "the line stands there twice each time"
    assert {gaps[0]: gaps[-1] for gaps in twins}.items() >= {(0, 42), (11, 53)}
    figure = part_of("F3q G3q A3q G3q " * 40)
    places = lay_places(set_passage(figure, 60, [0.1] * 159), who(measured(4)))
    assert find_twins(places.passage.part, places.gaps) == ()


UP = "G3q A3q Bb3q A3q G3h A3q Bb3q C4q Bb3q A3h G3q A3q Bb3h "
"""The line a step higher: whole steps become half steps, as in a key."""


def sequence_at(litres: float, costs: BreathSettings = MILD) -> list[set[int]]:
    """Give where the line breathes, and where it does so a step higher.

    Two notes follow: before a last one alone a breath would part a cadence.
    """
    passage = set_passage(part_of(f"{LINE}{UP}F3h F3w"), 60, [0.1] * 27)
    plan = choose_breaths(lay_places(passage, who(measured(litres), costs)))
    taken = {breath.after_note for breath in plan.breaths}
    return [{k - begin for k in taken if begin <= k < begin + 13} for begin in (0, 13)]


def test_a_phrase_that_comes_again_a_step_higher_is_found() -> None:
    part = part_of(f"{LINE}{UP}F3w")
    places = lay_places(set_passage(part, 60, [0.1] * 26), who(measured(4)))
    assert find_twins(places.passage.part, places.gaps) == tuple(
        (k, k + 13) for k in range(13)
    )
    bent = part_of(f"{LINE}{UP.replace('C4q', 'F4q')}F3w")
    places = lay_places(set_passage(bent, 60, [0.1] * 26), who(measured(4)))
    assert find_twins(places.passage.part, places.gaps) == ()


@pytest.mark.parametrize("litres", [2.6, 3.0, 3.9, 4.2, 4.7, 5.0, 5.9])
def test_a_sequence_a_step_up_is_breathed_alike(litres: float) -> None:
    """The same figure, the same breath (common practice, no published source)."""
    low, high = sequence_at(litres)
    assert low
    assert low == high


def test_the_sequence_would_not_be_breathed_alike_by_itself() -> None:
    free = replace(MILD, alike_weight=0.0)
    plans = [sequence_at(litres, free) for litres in (3.5, 3.9, 4.7, 5.3)]
    assert all(low != high for low, high in plans)


def test_a_figure_that_moves_up_is_no_phrase() -> None:
    """Sixteen sixteenths are less than two bars."""
    figures = "D4s F4s Eb4s C4s Bb3s D4s C4s A3s D4s Bb3s C4s D4s Bb3s C4s A3s F3s "
    higher = "Eb4s G4s F4s D4s C4s Eb4s D4s Bb3s Eb4s C4s D4s Eb4s C4s D4s Bb3s G3s "
    part = part_of(f"{figures}{higher}F4w")
    places = lay_places(set_passage(part, 60, [0.1] * 32), who(measured(4)))
    assert find_twins(places.passage.part, places.gaps) == ()
    slower = part_of(f"{figures}{higher}F4w".replace("s ", "e "))
    places = lay_places(set_passage(slower, 60, [0.1] * 32), who(measured(4)))
    assert len(find_twins(places.passage.part, places.gaps)) == 16


def two_phrases(first: str, other: str, bpm: float, litres: float) -> BreathPlan:
    """Plan a phrase twice, and another twice with a half note between."""
    part = part_of(f"{first}{first}{other}C4h {other}")
    passage = set_passage(part, bpm, [0.1] * (len(part.notes) - 1))
    return choose_breaths(lay_places(passage, who(measured(litres))))


def test_each_phrase_is_made_alike_by_itself_where_all_at_once_cannot_be() -> None:
    plan = two_phrases(
        "Bb3h G3e F3q F3q F3e G3q F3e G3e A3e G3q Bb3e A3q C4q ",
        "F3h A3e Bb3e C4e A3q Bb3h G3q Bb3e D4q D4q C4e D4h D4e ",
        bpm=70,
        litres=3.5,
    )
    taken = {breath.after_note for breath in plan.breaths}
    first, again = ({k - begin for k in taken if k >= begin} for begin in (26, 40))
    assert again
    assert {k for k in first if k < 13} == again


def test_no_breath_is_for_nothing_only_to_be_like_another() -> None:
    plan = two_phrases(
        "Bb3e G3q F3e F3q G3h A3q Bb3e C4e D4q D4h D4h Bb3e C4e ",
        "C4e Bb3q A3q F3q G3q A3q C4e D4e D4q Bb3h D4q D4e D4h ",
        bpm=50,
        litres=4.0,
    )
    assert plan.breaths
    gains = [breath.air_after - breath.air_before for breath in plan.breaths]
    assert min(gains) >= MILD.worth_share


def test_no_breath_is_on_anothers_heels_only_to_be_like_another() -> None:
    line = "Bb3q rq G3h A3q re Bb3h A3q F3h rq G3q re Bb3e D4q D4e D4e Bb3q D4h "
    part = part_of(f"{line}{line}C4h")
    passage = set_passage(part, 60, [0.1] * (len(part.notes) - 1))
    places = lay_places(passage, who(measured(2.4)))
    breaths = choose_breaths(places).breaths
    assert len(breaths) > 3
    assert all(
        before.following <= places.ripe_from[after.after_note]
        for before, after in pairwise(breaths)
    )


@pytest.mark.parametrize("litres", [3.3, 3.6, 3.9, 4.2, 4.5])
def test_a_phrase_that_is_written_out_again_is_breathed_alike(litres: float) -> None:
    passage = set_passage(part_of(WRITTEN_OUT), 60, [0.1] * 54)
    plan = choose_breaths(lay_places(passage, who(measured(litres))))
    taken = {breath.after_note for breath in plan.breaths}
    assert {k for k in taken if k < 25} == {k - 29 for k in taken if 29 <= k < 54}


def test_a_mark_on_the_page_stands_where_the_like_place_has_none() -> None:
    marked = part_of(WRITTEN_OUT.replace("G3q A3q G3q F3h", "G3q A3q, G3q F3h", 1))
    passage = set_passage(marked, 60, [0.1] * 54)
    plan = choose_breaths(lay_places(passage, who(measured(3.6))))
    assert 2 in {breath.after_note for breath in plan.breaths if breath.is_marked}


def test_what_the_player_insists_on_in_one_pass_is_kept() -> None:
    first, second = passes(passage_of(LINE), 3.2, Locks(must=frozenset({1})))
    assert 1 in first
    locks = Locks(must_not=frozenset({13 + 4}))
    _, second = passes(passage_of(LINE), 3.2, locks)
    assert 4 not in second


def test_nobody_is_left_dry_for_it() -> None:
    passage = passage_of(LINE, bpm=40)
    plan = choose_breaths(lay_places(passage, who(measured(2.2))))
    assert plan.runs_out is None
