"""The last few answers are remembered, and no others."""

from __future__ import annotations

from coach.last_answers import MOST_REMEMBERED, remembered


class Counting:
    """Adds two numbers, and keeps which were really added."""

    def __init__(self) -> None:
        self.added: list[tuple[int, int]] = []

    def add(self, one: int, other: int) -> int:
        """Add two numbers."""
        self.added.append((one, other))
        return one + other


def test_what_was_asked_before_is_not_worked_out_again() -> None:
    counting = Counting()
    add = remembered(counting.add)
    assert [add(1, 2), add(3, 4), add(1, 2), add(3, 4)] == [3, 7, 3, 7]
    assert counting.added == [(1, 2), (3, 4)]


def test_what_is_asked_by_name_is_another_question_with_the_same_answer() -> None:
    counting = Counting()
    add = remembered(counting.add)
    assert add(1, other=2) == add(1, 2) == add(1, other=2) == 3
    assert counting.added == [(1, 2), (1, 2)]


def test_only_the_last_few_answers_stay() -> None:
    counting = Counting()
    add = remembered(counting.add)
    for one in range(MOST_REMEMBERED + 1):
        add(one, 0)
    counting.added.clear()
    add(MOST_REMEMBERED, 0)
    add(0, 0)
    assert counting.added == [(0, 0)]


def test_each_function_remembers_its_own() -> None:
    counting = Counting()
    assert remembered(counting.add)(1, 2) == 3
    assert remembered(counting.add)(1, 2) == 3
    assert counting.added == [(1, 2), (1, 2)]


class Compared:
    """Is like all others, and counts how often it is asked whether it is."""

    times = 0

    def __eq__(self, other: object) -> bool:
        Compared.times += 1
        return isinstance(other, Compared)

    __hash__ = None  # type: ignore[assignment]


def test_what_is_alike_is_compared_once_and_then_known() -> None:
    asked: list[Compared] = []
    remember = remembered(asked.append)
    one, other = Compared(), Compared()
    remember(one)
    for _ in range(5):
        remember(other)
    assert Compared.times == 1
    assert asked == [one]


def test_what_is_asked_with_more_is_not_what_was_asked_with_less() -> None:
    def total(*numbers: int) -> int:
        return sum(numbers)

    add = remembered(total)
    assert [add(1), add(1, 2), add(1), add()] == [1, 3, 1, 0]
