"""The way through a page: repeats, endings, jumps."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.score.played.repeats import (
    RepeatSigns,
    name_endings,
    play_order,
    route_word_in,
)

PLAIN = RepeatSigns()
OPEN = RepeatSigns(opens=True)
CLOSE = RepeatSigns(times=2)


def ending(*numbers: int, times: int = 1) -> RepeatSigns:
    return RepeatSigns(times=times, endings=frozenset(numbers))


def says(*words: str) -> RepeatSigns:
    return RepeatSigns(words=frozenset(words))


@pytest.mark.parametrize(
    ("page", "order"),
    [
        ([PLAIN, PLAIN], [0, 1]),
        ([], []),
        ([PLAIN, CLOSE, PLAIN], [0, 1, 0, 1, 2]),
        ([PLAIN, OPEN, CLOSE, PLAIN], [0, 1, 2, 1, 2, 3]),
        ([PLAIN, RepeatSigns(times=3)], [0, 1, 0, 1, 0, 1]),
        ([RepeatSigns(opens=True, times=2), PLAIN], [0, 0, 1]),
        # The second repeat has no opening sign: it goes back to the first one's end.
        ([PLAIN, CLOSE, PLAIN, CLOSE], [0, 1, 0, 1, 2, 3, 2, 3]),
        # An opening sign that nothing closes is played once.
        ([PLAIN, CLOSE, OPEN, PLAIN], [0, 1, 0, 1, 2, 3]),
        ([PLAIN, ending(1, times=2), ending(2), PLAIN], [0, 1, 0, 2, 3]),
        # Endings of two bars; the last one has a closing sign too.
        (
            [OPEN, ending(1), ending(1, times=2), ending(2), ending(2, times=2)],
            [0, 1, 2, 0, 3, 4],
        ),
        (
            [OPEN, ending(1, 2, times=2), ending(3), PLAIN],
            [0, 1, 0, 1, 0, 2, 3],
        ),
        # A bracket that stands alone is left out the second time.
        ([PLAIN, ending(1, times=2), PLAIN], [0, 1, 0, 2]),
        # Brackets without a closing sign lead nowhere back: written order.
        ([PLAIN, ending(1), ending(2), PLAIN], [0, 1, 2, 3]),
        # After endings a repeat without an opening sign goes back to their end.
        (
            [PLAIN, ending(1, times=2), ending(2), PLAIN, CLOSE],
            [0, 1, 0, 2, 3, 4, 3, 4],
        ),
        # The first bracket has no number one: it is played all the same.
        ([PLAIN, ending(2, times=2), ending(3)], [0, 1, 0, 1, 0, 2]),
        ([PLAIN, says("fine"), says("da capo")], [0, 1, 2, 0, 1]),
        ([PLAIN, says("segno"), PLAIN, says("dal segno")], [0, 1, 2, 3, 1, 2, 3]),
        (
            [PLAIN, says("to coda"), says("da capo"), says("coda"), PLAIN],
            [0, 1, 2, 0, 1, 3, 4],
        ),
        (
            [
                *(says("segno"), says("to coda"), PLAIN),
                *(says("dal segno"), says("coda"), says("fine")),
            ],
            [0, 1, 2, 3, 0, 1, 4, 5],
        ),
        # A jump to a coda that is not there goes on.
        ([PLAIN, says("to coda"), says("da capo")], [0, 1, 2, 0, 1, 2]),
        # Without a segno, dal segno goes to the beginning.
        ([PLAIN, says("dal segno")], [0, 1, 0, 1]),
        # After the jump no repeat is taken, and the last ending is played.
        ([PLAIN, CLOSE, says("da capo")], [0, 1, 0, 1, 2, 0, 1, 2]),
        (
            [PLAIN, ending(1, times=2), ending(2), says("da capo")],
            [0, 1, 0, 2, 3, 0, 2, 3],
        ),
        # A jump inside a repeat waits for its last time.
        ([says("fine"), OPEN, says("da capo"), CLOSE], [0, 1, 2, 3, 1, 2, 0]),
        ([says("fine"), says("da capo"), OPEN, CLOSE], [0, 1, 0]),
    ],
)
def test_the_page_is_played_in_its_order(
    page: list[RepeatSigns], order: list[int]
) -> None:
    assert list(play_order(page, most=100)) == order


SECTIONS = st.lists(
    st.tuples(
        st.integers(1, 3),  # bars before the endings
        st.integers(1, 4),  # times
        st.booleans(),  # an ending for each time
        st.booleans(),  # an opening sign, where one is not needed
    ),
    min_size=1,
    max_size=5,
)


@settings(deadline=None)
@given(SECTIONS)
def test_sections_with_repeats_are_played_as_often_as_they_say(
    sections: list[tuple[int, int, bool, bool]],
) -> None:
    """Against a plain reading: write each section out as often as it is played."""
    page: list[RepeatSigns] = []
    expected: list[int] = []
    for size, times, has_endings, opens in sections:
        body = list(range(len(page), len(page) + size))
        is_first_opened = opens or times > 1
        page.append(RepeatSigns(opens=is_first_opened))
        page.extend(PLAIN for _ in range(size - 1))
        if has_endings and times > 1:
            for number in range(1, times + 1):
                expected += [*body, len(page)]
                page.append(ending(number, times=2 if number < times else 1))
        else:
            expected += body * times
            last = page[-1]
            page[-1] = RepeatSigns(opens=last.opens, times=times)
    assert list(play_order(page, most=1000)) == expected


ANY_SIGNS = st.builds(
    RepeatSigns,
    opens=st.booleans(),
    times=st.integers(1, 4),
    endings=st.frozensets(st.integers(1, 3), max_size=2),
    words=st.frozensets(
        st.sampled_from(
            ["segno", "coda", "to coda", "fine", "da capo", "dal segno"],
        ),
        max_size=2,
    ),
)


@settings(deadline=None)
@given(st.lists(ANY_SIGNS, max_size=20))
def test_even_senseless_signs_lead_to_an_end(page: list[RepeatSigns]) -> None:
    order = play_order(page, most=2000)
    assert len(order) < 2000
    assert all(0 <= k < len(page) for k in order)
    assert bool(order) == bool(page)


def test_brackets_that_never_come_up_are_played_as_they_are_written() -> None:
    page = [RepeatSigns(endings=frozenset({1, 3})), ending(2, times=2)]
    assert play_order(page, most=9)


def test_a_walk_that_is_too_long_stops() -> None:
    page = [RepeatSigns(opens=True, times=8)] * 50
    assert len(play_order(page, most=100)) == 101


@pytest.mark.parametrize(
    ("printed", "meant"),
    [
        ([[], [1], [2]], [[], [1], [2]]),
        ([[], [0], [2]], [[], [1], [2]]),
        ([[0], [0], [3]], [[2], [2], [3]]),
        ([[1], [0], []], [[1], [2], []]),
        ([[1], [0], [0], []], [[1], [2], [2], []]),
        ([[], [0], []], [[], [1], []]),
        ([[0], [1]], [[1], [1]]),
        ([[0, 3], [2]], [[3], [2]]),
    ],
)
def test_a_bracket_without_a_number_gets_the_one_it_must_have(
    printed: list[list[int]], meant: list[list[int]]
) -> None:
    found = name_endings([frozenset(numbers) for numbers in printed])
    assert found == [frozenset(numbers) for numbers in meant]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("D.C. al Fine", "da capo"),
        ("Da Capo", "da capo"),
        ("D.S.", "dal segno"),
        ("To Coda", "to coda"),
        ("Fine.", "fine"),
        ("Coda", "coda"),
        ("Segno", "segno"),
        ("a fine day", ""),
        ("play it again, and D.C. means from the beginning of the piece", ""),
    ],
)
def test_words_lead_through_the_page(text: str, word: str) -> None:
    assert route_word_in(text) == word
