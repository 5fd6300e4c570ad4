"""What comes again is played alike."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.instrument.placement import NO_PLACE
from coach.planning.slide.alike import walk_alike
from coach.planning.slide.figures import Figure
from coach.planning.slide.moment import Moment, NoteWay
from coach.planning.slide.note_moments import Freedom, lay_moments, read_page_notes
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.settling import cheapest_loop
from coach.planning.slide.slide_costs import lay_stages
from coach.planning.slide.slide_walk import Link, SlideWalk, Stage, find_walk
from coach.score.metre import Metre
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.slide.slide_shelf import begun, instrument, planned, positions
from tests.planning.slide.slide_shelf import settings as slide_settings
from tests.planning.slide.walk_costs import walk_cost

FREE = Freedom(may_use_alternates=True, may_add_slurs=True, locked={})
SCALE = ["Bb3", "C4", "D4", "Eb4", "F4", "G4", "A4", "Bb4"]


def laid(part: Part, dial: float = 0.5) -> tuple[list[Moment], tuple[Stage, ...]]:
    page = read_page_notes(part, part.tempo_map, frozenset())
    moments = lay_moments(page, instrument(), slide_settings(), FREE)
    return moments, lay_stages(moments, slide_settings(), dial)


def groups_of(text: str, size: int) -> list[str]:
    words = text.split()
    return [" ".join(words[k : k + size]) for k in range(0, len(words), size)]


@pytest.mark.parametrize("dial", [0.25, 0.5, 0.75, 1.0])
@pytest.mark.parametrize(
    "figure",
    [
        "D4s Eb4s F4s D4s",
        "D4s Eb4s F4s",
        "F4s D4s Eb4s C4s D4s",
        "A3s Bb3s C4s A3s D4s C4s",
    ],
)
def test_a_figure_right_after_itself_is_played_alike(figure: str, dial: float) -> None:
    size = len(figure.split())
    plan = planned(part_of(f"{figure} " * 4 + "G4q", bpm=90), dial=dial)
    first, *others = groups_of(positions(plan), size)[:4]
    assert others == [first] * 3
    for parity in range(2):
        copies = [k for k in range(4) if k * size % 2 == parity]
        begun_so = {begun(plan)[k * size + 1 : (k + 1) * size] for k in copies}
        assert len(begun_so) <= 1, "alike where it stands alike in the beat"


def test_a_beat_that_comes_again_later_is_played_alike() -> None:
    """The same four notes, once from below and once from above."""
    figure = "D4s F4s D4s C4s"
    part = part_of(f"Bb3s C4s Eb4s C4s {figure} A4s G4s F4s Eb4s {figure} Bb3q", bpm=90)
    plan = planned(part)
    assert positions(plan).split()[4:8] == positions(plan).split()[12:16]
    assert begun(plan)[5:8] == begun(plan)[13:16]


def test_the_beginnings_of_a_loop_are_alike_too() -> None:
    plan = planned(part_of("F4s D4s Eb4s C4s " * 4 + "Bb3q", bpm=90), dial=1.0)
    assert len({begun(plan)[k] for k in (4, 8, 12)}) == 1


def test_copies_in_a_row_all_begin_with_the_tongue_or_none_does() -> None:
    """Of seven notes, every other copy begins off the beat."""
    loop = "F3s Eb3s G3s C3s F3s G3s C3s "
    plan = planned(part_of(f"D4s F4s {loop * 4} D4s F4s C4q", bpm=110))
    strokes = [plan.articulations[k].is_stroke for k in (9, 16, 23)]
    assert strokes == [True] * 3


def test_a_loop_after_rests_begins_each_time_with_the_tongue() -> None:
    plan = planned(part_of("D4s F4s D4s rs " * 3 + "Bb3q", bpm=90), dial=1.0)
    assert begun(plan)[:9:3] == "TTT"
    assert len(set(groups_of(positions(plan), 3)[:3])) == 1


@given(st.lists(st.sampled_from(SCALE), min_size=2, max_size=4))
@settings(max_examples=40, deadline=None)
def test_no_loop_of_a_figure_is_cheaper(names: list[str]) -> None:
    moments, stages = laid(part_of(" ".join(f"{n}s" for n in names * 3) + " Bb3q"))
    size = len(names)
    found = cheapest_loop(moments, stages, size, size)
    inside = stages[size + 1 : 2 * size + 1]
    costs = []
    for first, way in enumerate(moments[size].ways):
        counts = [range(len(m.ways)) for m in moments[size + 1 : 2 * size]]
        ends = [k for k, w in enumerate(moments[2 * size].ways) if w.place == way.place]
        costs += [loop_cost(inside, first, loop) for loop in product(*counts, ends)]
    assert loop_cost(inside, found[0], found[1:]) == pytest.approx(min(costs))


def loop_cost(inside: tuple[Stage, ...], first: int, choices: tuple[int, ...]) -> float:
    rows = tuple((rows[first],) for rows in inside[0].manners)
    start = replace(inside[0], manners=rows)
    every = product(*(range(len(stage.manners)) for stage in inside))
    return min(walk_cost([start, *inside[1:]], choices, manners) for manners in every)


def strokes(moments: list[Moment], walk: SlideWalk) -> list[bool]:
    return [m.ways[c].is_stroke for m, c in zip(moments, walk.choices, strict=True)]


def by_hand(*slur_costs: float) -> tuple[list[Moment], tuple[Stage, ...]]:
    """Make notes that cost 1 to tongue, and to slur as much as is said."""
    ways = (NoteWay(NO_PLACE, is_stroke=True), NoteWay(NO_PLACE, is_stroke=False))
    note = Moment(ways, 60, Begin.OPEN, 0.25, 0.25, is_break=False, is_strong=False)
    rows = [(Link(0, 1.0, 0), Link(1, cost, 0)) for cost in slur_costs]
    first = Stage(((rows[0],),))
    return [note] * len(rows), (first, *(Stage(((row, row),)) for row in rows[1:]))


SEQUENCE = Figure((0, 2, 4, 6), 2)


def test_where_most_of_a_sequence_slurs_the_others_have_a_soft_tongue() -> None:
    moments, stages = by_hand(9, 0, 9, 0, 9, 3, 9, 0)
    walk, soft = walk_alike(moments, stages, (), (SEQUENCE,))
    assert strokes(moments, walk) == [True, False, True, False, True, True, True, False]
    assert soft == {5}


def test_where_most_of_a_sequence_tongues_all_do() -> None:
    moments, stages = by_hand(9, 0, 9, 3, 9, 3, 9, 3)
    walk, soft = walk_alike(moments, stages, (), (SEQUENCE,))
    assert all(strokes(moments, walk))
    assert soft == frozenset()


def test_the_beginnings_of_a_sequence_are_alike_but_the_very_first() -> None:
    moments, stages = by_hand(0, 9, 0, 9, 3, 9, 0, 9)
    walk, soft = walk_alike(moments, stages, (), (SEQUENCE,))
    assert strokes(moments, walk)[::2] == [False, False, True, False]
    assert soft == {4}


def test_comparing_comes_to_an_end() -> None:
    """Each note that is tongued for its fellows' sake makes the next one slur."""
    other = replace(NO_PLACE, label="2")
    ways = (
        NoteWay(NO_PLACE, is_stroke=True),
        NoteWay(NO_PLACE, is_stroke=False),
        NoteWay(other, is_stroke=True),
    )
    note = Moment(ways, 60, Begin.OPEN, 0.25, 0.25, is_break=False, is_strong=False)

    def row(fresh: float, slur: float, dull: float) -> tuple[Link, ...]:
        costs = (fresh, slur, dull)
        return tuple(Link(k, costs[k], 0) for k in range(3))

    first = Stage(((row(1, 9, 9),),))
    chain = [
        Stage(((row(1, k / 10, 2), row(9, 9, 1), row(9, 9, 1)),)) for k in range(1, 7)
    ]
    tongued = Stage(((row(1, 9, 1),) * 3,))
    stages = (first, *chain, *(tongued,) * 30)
    fellows = [(k - 1, 6 + 4 * k, 8 + 4 * k) for k in range(1, 7)]
    groups = tuple(Figure(starts, 2) for starts in fellows)
    walk, soft = walk_alike([note] * len(stages), stages, (), groups)
    begun_so = [ways[choice].is_stroke for choice in walk.choices]
    assert begun_so[:7] == [True, True, True, True, True, False, True]
    assert soft == {27, 29}


def test_a_figure_met_twice_is_played_as_is_cheapest_over_all() -> None:
    """Here alone it would lie near, there far; near costs less in all."""
    near, far = NO_PLACE, replace(NO_PLACE, label="6")
    ways = (NoteWay(near, is_stroke=True), NoteWay(far, is_stroke=True))
    note = Moment(ways, 60, Begin.TONGUE, 0.25, 0.25, is_break=False, is_strong=False)

    def stage(near_cost: float, far_cost: float) -> Stage:
        row = (Link(0, near_cost, 0), Link(1, far_cost, 0))
        return Stage(((row, row),))

    first = Stage(((stage(1, 1).manners[0][0],),))
    costs = [(1, 1), (0, 5), (0, 5), (1, 1), (3, 1), (3, 1), (1, 1)]
    stages = (first, *(stage(*pair) for pair in costs))
    figure = Figure((2, 5), 2)
    walk, _ = walk_alike([note] * 8, stages, (figure,), ())
    assert [walk.choices[k] for k in (2, 3, 5, 6)] == [0, 0, 0, 0]
    assert find_walk(stages).choices[5:7] == (1, 1), "it would not be so by itself"


def test_a_figure_heard_twice_in_a_row_once_keeps_to_where_it_suits_the_rest() -> None:
    """As a loop G3 A3 Bb3 goes well far out; on the way up and down it does not."""
    up = "C3e D3e E3e E3e F3e G3e G3e A3e Bb3e E3e F3e G3e "
    on = "D3e E3e F3e F3e G3e A3e G3e A3e Bb3e F3e G3e A3e "
    turn = "E3e F3e G3e G3e A3e Bb3e G3e A3e Bb3e E3e F3e G3e "
    part = part_of(f"{up} {on} {turn} {up} C3q.", metre=Metre(12, 8), bpm=120)
    places = positions(planned(part)).split()
    pitches = [note.written.staff_step for note in part.notes]
    high = [place for step, place in zip(pitches, places, strict=True) if step >= 26]
    assert set(high) == {"1", "2"}, "Bb3 and A3 where they usually are"


def test_beats_that_share_two_notes_play_them_in_the_same_places() -> None:
    """In climbing thirds one beat ends with the F3 and A3 that begin the next."""
    thirds = "C3s Eb3s D3s F3s Eb3s G3s F3s A3s G3s Bb3s A3s C4s Bb3s D4s"
    beat = [" ".join(thirds.split()[2 * k : 2 * k + 4]) for k in range(6)]
    bars = [(0, 1, 2, 3), (5, 4, 3, 2), (2, 3, 4, 5), (4, 3, 2, 1)]
    order = [k for bar in bars for k in bar]
    part = part_of(" ".join(beat[k] for k in order) + " C3q", bpm=96)
    groups = groups_of(positions(planned(part)), 4)
    for k, (one, two) in enumerate(pairwise(order)):
        if (one, two) == (2, 3):
            assert groups[k].split()[2:] == groups[k + 1].split()[:2]


def test_a_figure_met_twice_may_be_the_last_notes() -> None:
    moments, stages = by_hand(9, 9, 9, 9, 9)
    figure = Figure((0, 3), 2)
    walk, _ = walk_alike(moments, stages, (figure,), ())
    assert all(strokes(moments, walk))


def test_a_loop_that_is_reached_now_over_a_rest_and_now_not() -> None:
    part = part_of("F4s D4s Eb4s rs F4s D4s Eb4s F4s D4s Eb4s Bb3q", bpm=90)
    plan = planned(part, dial=1.0)
    assert len(set(groups_of(positions(plan), 3)[:3])) == 1
    assert begun(plan)[3] == "T"


def test_thirds_climb_with_the_tongue_on_the_first_of_two() -> None:
    """F to A has no clean slur in usual positions: it is tongued, softly."""
    part = part_of("Bb3s D4s C4s Eb4s D4s F4s Eb4s G4s F4s A4s Bb4q", bpm=90)
    usual = dict(enumerate(["1", "1", "3", "3", "1", "1", "3", "2", "1", "2", "1"]))
    plan = planned(part, locked=usual)
    assert begun(plan) == "TlTlTlTdTnT"


@given(st.lists(st.sampled_from(SCALE), min_size=6, max_size=24), st.data())
@settings(max_examples=60, deadline=None)
def test_all_copies_of_any_figure_are_alike(
    names: list[str], data: st.DataObject
) -> None:
    """And no walk that keeps these ties is cheaper, whatever the figures are."""
    size = data.draw(st.integers(2, 4))
    copies = data.draw(st.integers(2, 3))
    text = " ".join(f"{name}s" for name in names[:size] * copies + names[size:])
    moments, stages = laid(
        part_of(f"{text} Bb3q", bpm=90), data.draw(st.floats(0.1, 1))
    )
    figure = Figure(tuple(range(0, size * copies, size)), size)
    walk, _ = walk_alike(moments, stages, (figure,), ())
    for j in range(size):
        places = {
            moments[start + j].ways[walk.choices[start + j]].place
            for start in figure.starts
        }
        assert len(places) == 1
    assert walk.cost == pytest.approx(walk_cost(stages, walk.choices, walk.manners))
    assert walk.cost >= find_walk(stages).cost - 1e-9
