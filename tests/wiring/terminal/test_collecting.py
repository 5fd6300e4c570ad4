"""The collector waits for the first picture, and then passes over what is loaded."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from weakref import ref

import pytest

from coach.command_line.command_parser import build_parser
from coach.wiring.terminal.collecting import (
    ROUNDS,
    YOUNG,
    collect_all,
    collect_from_here,
    collect_later,
)


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    """Leave the collector as it was."""
    before = gc.get_threshold()
    yield
    gc.unfreeze()
    gc.set_threshold(*before)
    gc.enable()


def test_the_collector_waits_and_goes_on_after_what_was_loaded() -> None:
    collect_later()
    assert not gc.isenabled()
    collect_from_here()
    assert gc.isenabled()
    assert gc.get_freeze_count() > 0
    assert gc.get_threshold()[2] == ROUNDS


class Ring:
    """Holds on to itself."""

    def __init__(self) -> None:
        self.held = self


def test_in_a_pause_the_old_is_looked_through_too() -> None:
    ring = Ring()
    gc.collect(1)
    gone = ref(ring)
    del ring
    gc.collect(1)
    assert gone() is not None, "it is old by now"
    collect_all()
    assert gone() is None


def test_what_was_never_told_to_wait_is_passed_over_by_nobody() -> None:
    gc.unfreeze()
    collect_from_here()
    assert gc.get_freeze_count() == 0


def test_the_coach_alone_is_called_as_with_all_its_commands() -> None:
    alone = build_parser(has_commands=False).parse_args([])
    assert vars(alone) == vars(build_parser().parse_args([]))


def test_a_plan_is_made_without_looking_through_what_is_young() -> None:
    """A plan makes some thousands of things, and lets go of nearly all."""
    collect_later()
    collect_from_here()
    assert gc.get_threshold()[0] == YOUNG
