"""Trees of questions."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_shipped_json
from coach.errors import ConfigError
from coach.planning.phrasing.phrase_forest import MOST_ANSWERS, Tree, forest_from
from coach.planning.phrasing.phrase_likeness import Columns

TABLE = {
    "columns": ["rest", "leap"],
    "base": -1.0,
    "trees": [[0, 0.5, -2000, [1, 4, 1000, 3000]], [1, 7, 0, 500]],
}


def test_answers_add_up_to_log_odds() -> None:
    columns: Columns = {
        "leap": [4.0, 5.0, 12.0],
        "rest": [0.5, 0.6, 0.6],
        "more": [0, 0, 0],
    }
    assert forest_from(TABLE).weigh(columns) == pytest.approx([-3.0, 2.0, 2.5])


ROWS = st.lists(
    st.tuples(*[st.sampled_from([-1.0, 0.0, 0.5, 1.0, 2.0])] * 3), min_size=1
)
TREES = st.recursive(
    st.integers(-3000, 3000),
    lambda tree: st.tuples(
        st.integers(0, 2), st.sampled_from([-1.0, 0.0, 0.5, 1.5]), tree, tree
    ).map(list),
    max_leaves=MOST_ANSWERS,
)


@given(st.lists(TREES.filter(lambda tree: count(tree) <= MOST_ANSWERS)), ROWS)
def test_asking_all_at_once_is_asking_one_after_another(
    trees: list[Tree], rows: list[tuple[float, ...]]
) -> None:
    forest = forest_from({"columns": ["a", "b", "c"], "base": 0.25, "trees": trees})
    columns = dict(zip("abc", zip(*rows, strict=True), strict=True))
    asked = [0.25 + sum(ask(tree, row) for tree in trees) / 1000 for row in rows]
    assert forest.weigh(columns) == pytest.approx(asked)


def ask(tree: Tree, row: Sequence[float]) -> int:
    while isinstance(tree, list):
        column, limit, at_most, more = tree
        tree = at_most if row[column] <= limit else more
    answer: int = tree
    return answer


def count(tree: Tree) -> int:
    return count(tree[2]) + count(tree[3]) if isinstance(tree, list) else 1


def test_learned_numbers_that_are_not_there_are_missed_in_one_sentence() -> None:
    with pytest.raises(ConfigError, match=r"no_such_trees\.json cannot be read"):
        read_shipped_json("no_such_trees")


def test_no_row_no_answer() -> None:
    assert forest_from(TABLE).weigh({"leap": [], "rest": []}) == []
