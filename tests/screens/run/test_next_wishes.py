"""The next answer to each question of how the next run is to be."""

from __future__ import annotations

import pytest

from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.stand.wishes import RunWishes
from coach.screens.run.next_wishes import (
    NEXT_WISHES,
    count_in,
    lead_in,
    runs_in_a_row,
)
from coach.screens.run.run_keys import RUN_KEYS

WISHES = RunWishes(96, 1, 8, ClickWishes())
MOST_ANSWERS = 4


@pytest.mark.parametrize("name", NEXT_WISHES)
def test_every_answer_is_another_and_the_last_leads_to_the_first(name: str) -> None:
    wishes, seen = WISHES, [WISHES]
    for _ in range(MOST_ANSWERS):
        wishes = NEXT_WISHES[name](wishes).wishes
        if wishes == WISHES:
            break
        assert wishes not in seen
        seen.append(wishes)
    assert wishes == WISHES


@pytest.mark.parametrize("name", NEXT_WISHES)
def test_every_answer_is_said_in_words_of_its_own(name: str) -> None:
    first = NEXT_WISHES[name](WISHES)
    assert first.words != NEXT_WISHES[name](first.wishes).words


def test_every_question_has_one_key_and_every_key_a_question() -> None:
    asked = [key.action for key in RUN_KEYS if key.action.startswith("wish(")]
    assert sorted(asked) == sorted(f"wish('{name}')" for name in NEXT_WISHES)


def test_only_the_click_changes_in_the_run_that_plays() -> None:
    at_once = {n for n, ask in NEXT_WISHES.items() if ask(WISHES).holds_at_once}
    assert at_once == {"subdivide", "guide", "drone", "cues", "silent_bars"}


def test_runs_in_a_row_are_counted() -> None:
    assert runs_in_a_row(WISHES, 3).words == "3 runs in a row"
    assert runs_in_a_row(WISHES, 1).words == "one run at a time"
    assert runs_in_a_row(WISHES, 3).wishes.runs_in_a_row == 3


def test_one_bar_is_one_bar() -> None:
    assert lead_in(WISHES).words == "lead-in: 1 bar"
    assert lead_in(lead_in(WISHES).wishes).words == "lead-in: 2 bars"
    none = RunWishes(96, 1, 8, ClickWishes(count_in_bars=0))
    assert count_in(none).words == "count-in: 1 bar"
