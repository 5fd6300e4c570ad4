"""Which notes a teacher lets a player leave out, and which never.

Common practice, no published source.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.planning.breathing.passage import Passage, set_passage
from coach.planning.breathing.ways.leaving_out import find_fewer_notes
from coach.score.metre import Metre
from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import COSTS

SCALES = "F3s G3s A3s Bb3s C4s Bb3s A3s G3s F3s G3s A3s Bb3s C4s Bb3s A3s G3s "


def passage_of(part: Part, end: float = 0.1) -> Passage:
    return set_passage(part, 100, [end] * (len(part.notes) - 1))


def left(passage: Passage, kept: frozenset[int] = frozenset()) -> set[int]:
    """Name every note that some way leaves out."""
    return {
        k + number
        for k, ways in enumerate(find_fewer_notes(passage, COSTS, kept))
        for way in ways
        for number in range(1, way.count + 1)
    }


def cost_of(passage: Passage, note: int) -> float:
    """Tell what leaving out one note alone costs."""
    return find_fewer_notes(passage, COSTS)[note - 1][0].cost


def test_never_a_note_on_the_beat_nor_the_first_or_last() -> None:
    found = left(passage_of(part_of(SCALES)))
    assert found
    assert not any(k % 4 == 0 for k in found)
    assert not found & {0, 15}


def test_quick_beats_are_felt_two_to_one_and_a_quick_waltz_in_one() -> None:
    """Eighths at 240 are left out as sixteenths at 120 are: the sound is the same."""
    eighths = SCALES.replace("s", "e") * 2
    slow, quick = (passage_of(part_of(eighths, bpm=bpm)) for bpm in (150, 240))
    assert {k % 2 for k in left(slow)} == {1}
    assert {1, 2, 3} < left(quick)
    assert not any(k % 4 == 0 for k in left(quick))
    assert [way.count for way in find_fewer_notes(quick, COSTS)[0]] == [1, 2, 3]


@pytest.mark.parametrize(("count", "kept"), [(3, {0, 4, 6}), (5, {0, 2, 4, 6})])
def test_a_quick_bar_of_three_is_felt_in_one_and_one_of_five_in_beats(
    count: int, kept: set[int]
) -> None:
    """C4, on which the line turns, is there all the same."""
    part = part_of("F3e G3e A3e Bb3e C4e Bb3e A3e G3e " * 2, bpm=240)
    bars = tuple(replace(bar, metre=Metre(count, 4)) for bar in part.bars)
    found = left(passage_of(replace(part, bars=bars)))
    assert kept == set(range(0, 8, 2)) - found


def test_up_to_three_neighbours_and_the_note_after_is_always_there() -> None:
    ways = find_fewer_notes(passage_of(part_of(SCALES)), COSTS)
    assert [way.count for way in ways[0]] == [1, 2, 3]
    assert [way.count for way in ways[1]] == [1, 2]
    assert [way.count for way in ways[3]] == []
    costs = [way.cost for way in ways[0]]
    assert costs == sorted(costs)


def test_never_where_a_phrase_begins_or_ends() -> None:
    assert left(passage_of(part_of(SCALES), end=0.9)) == set()


def test_of_even_notes_that_run_on_a_phrase_ends_with_none() -> None:
    """Its last sixteenth is as weak as any other, its first one begins something."""
    for line, found in (("F3s " * 16, {6, 7}), ("F3s " * 7 + "F3e " * 5, {6})):
        part = part_of(line)
        ends = [0.9 if k == 7 else 0.0 for k in range(len(part.notes) - 1)]
        assert left(set_passage(part, 60, ends)) & {6, 7, 8} == found


def test_never_what_leads_into_the_long_note_of_a_phrase_end() -> None:
    """E3 and the last F3: C major's leading note to F's tonic, and each line's."""
    line = "C4s Bb3s A3s G3s F3s E3s D3s E3s F3q G3s A3s G3s E3s F3h"
    part = part_of(line)
    into_first, into_last = 7, 12
    assert into_last not in left(passage_of(part))
    assert into_first in left(passage_of(part))
    ends = [0.9 if k == into_first + 1 else 0.1 for k in range(len(part.notes) - 1)]
    assert into_first not in left(set_passage(part, 100, ends))


def test_never_the_turning_point_of_the_line() -> None:
    peak = part_of(
        "F3s G3s A3s D4s A3s G3s F3s G3s A3s G3s F3s G3s A3s G3s F3s E3s F3q"
    )
    found = left(passage_of(peak))
    assert 3 not in found
    assert 2 in found


def test_never_the_goal_of_a_chromatic_neighbour() -> None:
    """C major here: F sharp leads to G."""
    part = part_of("F3s F3s F#3s G3s F3s F3s G3s G3s F3s F3s F3s F3s F3q")
    found = left(passage_of(part))
    assert 3 not in found
    assert 7 in found


def test_never_a_marked_a_small_or_a_longer_note() -> None:
    part = part_of(SCALES)
    for change in (
        {"articulations": frozenset({"accent"})},
        {"is_grace": True},
        {"has_fermata": True},
        {"breath_mark": "breath"},
    ):
        notes = list(part.notes)
        notes[1] = replace(notes[1], **change)
        assert 1 not in left(passage_of(replace(part, notes=tuple(notes))))
    assert left(passage_of(part_of("F3e G3q A3q F3q. F3q"))) == set()


def with_graces(part: Part, *graces: tuple[int, str]) -> Passage:
    """Make small notes of some, each quick or leaned on: a thirty-second long."""
    notes = list(part.notes)
    small = Beats(Fraction(1, 8))
    for k, kind in graces:
        note = replace(notes[k], is_grace=True, length=small)
        if kind == "quick":
            onset = Beats(notes[k + 1].onset - small)
            beat = notes[k + 1].beat
            note = replace(note, onset=onset, beat=beat)
            notes[k - 1] = replace(
                notes[k - 1], length=Beats(onset - notes[k - 1].onset)
            )
        notes[k] = note
    return passage_of(replace(part, notes=tuple(notes)))


def test_a_quick_grace_note_is_missed_least_wherever_it_stands() -> None:
    """One that comes before the beat; one that is leaned on carries the line."""
    part = part_of("F3e A3s G3e A3s F3e A3s G3e A3s F3e A3q F3q")
    quick = with_graces(part, (1, "quick"), (3, "leaned"), (5, "quick"))
    assert {1, 5} <= left(quick)
    assert 3 not in left(quick)
    assert cost_of(quick, 1) == COSTS.leave_out_weight + COSTS.left_grace_weight
    ended = replace(quick, ends=(0.9,) * len(quick.ends))
    assert left(ended) == {1, 5}


def test_what_follows_a_leaned_grace_note_is_leaned_on_too() -> None:
    part = part_of("F3e A3s G3s F3e A3s G3s F3q F3q")
    assert left(with_graces(part, (1, "leaned"), (2, "quick"))).isdisjoint({1, 2})


def test_never_an_end_of_a_glissando() -> None:
    plain = part_of(SCALES)
    assert {2, 3} <= left(passage_of(plain))
    notes = list(plain.notes)
    notes[2] = replace(notes[2], articulations=frozenset({"glissando"}))
    assert left(passage_of(replace(plain, notes=tuple(notes)))).isdisjoint({2, 3})


def test_never_one_that_the_player_keeps() -> None:
    found = left(passage_of(part_of(SCALES)), kept=frozenset({1}))
    assert 1 not in found
    assert 2 in found


def test_never_beside_a_rest() -> None:
    assert 1 not in left(passage_of(part_of("F3s rs G3s F3s F3s F3s F3s F3s F3q")))


def test_a_repeated_or_passing_note_is_missed_less_than_one_of_a_chord() -> None:
    chord = part_of("Bb2s D3s F3s Bb3s F3s D3s Bb2s D3s Bb2q")
    scale = part_of("Bb2s C3s D3s Eb3s F3s Eb3s D3s C3s Bb2q")
    again = part_of("Bb2s Bb2s D3s Bb2s Bb2s D3s Bb2s D3s Bb2q")
    first = [cost_of(passage_of(part), 1) for part in (again, scale, chord)]
    assert first[0] == first[1] < first[2]


def test_halfway_through_the_beat_weighs_more() -> None:
    passage = passage_of(part_of(SCALES))
    assert cost_of(passage, 2) > cost_of(passage, 1) == cost_of(passage, 3)


def test_a_slur_is_not_torn_for_it_lightly() -> None:
    slurred = part_of("F3s ~G3s ~A3s ~Bb3s ~C4s ~Bb3s ~A3s ~G3s ~F3q")
    assert cost_of(passage_of(slurred), 1) > COSTS.slur_weight


def test_of_a_long_slur_it_is_the_last_note_of_the_bar() -> None:
    """So that the slur is torn at the bar line."""
    run = part_of("F3s " + "~G3s ~A3s ~G3s ~F3s " * 8)
    passage = passage_of(run)
    beat_before, last = (find_fewer_notes(passage, COSTS)[k] for k in (10, 14))
    assert beat_before[0].cost - last[0].cost == COSTS.slur_in_bar_weight


def test_a_slur_that_ends_or_begins_with_the_note_is_only_shorter() -> None:
    """The gap before the slur's last note has the price of a torn slur: not this."""
    ends = passage_of(part_of("F3s ~G3s ~A3s ~Bb3s C4s ~Bb3s ~A3s ~G3s F3q"))
    begins = passage_of(part_of("F3s G3s ~A3s ~Bb3s ~C4s ~Bb3s ~A3s ~G3s ~F3q"))
    plain = passage_of(part_of(SCALES))
    torn = COSTS.slur_weight + COSTS.slur_in_bar_weight
    assert cost_of(ends, 3) == cost_of(plain, 3) - torn
    assert cost_of(begins, 1) == cost_of(plain, 1)


@pytest.mark.parametrize(
    ("groups", "weak"), [((2, 2, 3), {1, 3, 5, 6}), ((3, 2, 2), {1, 2, 4, 6})]
)
def test_in_an_irregular_metre_each_group_is_a_beat(
    groups: tuple[int, ...], weak: set[int]
) -> None:
    part = part_of("F3e G3e A3e G3e F3e G3e A3e " * 3, metre=Metre(7, 8, groups))
    found = left(passage_of(part))
    assert {k - 7 for k in found if 7 <= k < 14} == weak


def test_quarters_are_beats_however_they_are_grouped() -> None:
    part = part_of("F3q G3q A3q G3q F3q " * 2, metre=Metre(5, 4, (3, 2)))
    assert left(passage_of(part)) == set()
