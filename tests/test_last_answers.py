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
    """Is like others of its kind, and counts how often it is asked whether it is."""

    def __init__(self, kind: int = 0) -> None:
        self.kind = kind
        self.times = 0

    def __eq__(self, other: object) -> bool:
        self.times += 1
        return isinstance(other, Compared) and other.kind == self.kind

    __hash__ = None  # type: ignore[assignment]


def test_what_is_the_very_same_is_compared_with_nothing() -> None:
    kinds: list[int] = []
    remember = remembered(lambda asked: kinds.append(asked.kind))
    one, other = Compared(1), Compared(2)
    remember(one)
    remember(other)
    before = one.times + other.times
    for _ in range(5):
        remember(one)
        remember(other)
    assert one.times + other.times == before
    assert kinds == [1, 2]


def test_what_is_alike_is_compared_once_and_takes_no_place_of_another() -> None:
    kinds: list[int] = []
    remember = remembered(lambda asked: kinds.append(asked.kind))
    others = [Compared(kind) for kind in range(1, MOST_REMEMBERED)]
    for asked in (*others, Compared(0)):
        remember(asked)
    for _ in range(3):
        alike = Compared(0)
        remember(alike)
        before = alike.times
        remember(alike)
        assert alike.times == before
    for asked in others:
        remember(asked)
    assert kinds == [*range(1, MOST_REMEMBERED), 0]


def test_what_is_asked_with_more_is_not_what_was_asked_with_less() -> None:
    def total(*numbers: int) -> int:
        return sum(numbers)

    add = remembered(total)
    assert [add(1), add(1, 2), add(1), add()] == [1, 3, 1, 0]
