"""What comes again, note for note and step for step."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from coach.planning.slide.figures import Figure, find_figures, find_sequences


def figures(notes: str, cells: tuple[int, ...] = (0,), longest: int = 8) -> set[Figure]:
    return set(find_figures(notes, notes, cells, longest))


def sequences(steps: list[int], manners: str = "", longest: int = 8) -> list[Figure]:
    return list(find_sequences(manners or "m" * len(steps), steps, longest))


def test_a_figure_that_comes_right_after_itself_is_a_loop() -> None:
    assert figures("abcabcabcx") == {Figure((0, 3, 6), 3)}


def test_a_loop_may_begin_anywhere() -> None:
    assert figures("xyabcabcz") == {Figure((2, 5), 3)}


def test_the_shortest_loop_is_taken() -> None:
    assert figures("abababab") == {Figure((0, 2, 4, 6), 2)}


def test_two_notes_need_three_times() -> None:
    assert figures("ababx") == set()


def test_a_loop_that_is_too_long_is_not_looked_for() -> None:
    assert figures("abcdabcd", longest=3) == set()


def test_a_beat_that_comes_later_is_a_figure() -> None:
    found = figures("abcdxyzabcd", cells=(0, 4, 7))
    assert found == {Figure((0, 7), 4)}


def test_a_loop_met_again_elsewhere_is_the_same_figure() -> None:
    found = figures("abcabcxyzwabcq", cells=(0, 10, 13))
    assert found == {Figure((0, 3, 10), 3)}


def test_the_first_note_may_be_reached_in_another_way() -> None:
    shapes, places = "aBCxABC", "abcxabc"
    (figure,) = find_figures(shapes, places, (0, 3, 4), 8)
    assert figure == Figure((0, 4), 3)


def test_a_single_note_is_no_figure() -> None:
    assert figures("abacad", cells=(0, 1, 2, 3, 4, 5)) == set()


@given(st.lists(st.sampled_from("abc"), max_size=40), st.data())
def test_no_note_belongs_to_two_figures(notes: list[str], data: st.DataObject) -> None:
    cells = data.draw(st.sets(st.integers(0, 40)))
    taken: list[int] = []
    for figure in find_figures(notes, notes, tuple(cells), 6):
        first = notes[figure.starts[0] : figure.starts[0] + figure.size]
        for start in figure.starts:
            assert notes[start : start + figure.size] == first
            taken += range(start, start + figure.size)
    assert len(taken) == len(set(taken))


def test_thirds_climbing_are_a_sequence() -> None:
    assert sequences([0, 2, 1, 3, 2, 4]) == [Figure((0, 2, 4), 2)]


def test_groups_of_four_climbing_are_a_sequence() -> None:
    steps = [0, 1, 2, 0, 1, 2, 3, 1, 2, 3, 4, 2, 9]
    assert sequences(steps) == [Figure((0, 4, 8), 4)]


def test_a_plain_scale_is_no_sequence() -> None:
    assert sequences(list(range(12)), "abababababab") == []


def test_a_loop_is_no_sequence() -> None:
    assert sequences([0, 2, 1, 0, 2, 1, 0, 2, 1]) == []


def test_another_rhythm_is_no_sequence() -> None:
    assert sequences([0, 2, 3, 1, 3, 4], "aababb") == []


def test_a_sequence_may_begin_late() -> None:
    steps = [7, 7, 0, 2, 1, 1, 3, 2, 2, 4, 3]
    assert sequences(steps)[0].starts[0] >= 1
