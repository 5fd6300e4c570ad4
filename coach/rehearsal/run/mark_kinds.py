"""The kinds of mark: one table, from which keys, words, signs and names follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class MarkKind(StrEnum):
    """What went wrong, or was done, at a beat; the value is its name in JSON."""

    RAN_OUT = "ran-out"
    RUSHED = "rushed"
    DRAGGED = "dragged"
    MISSED = "missed"
    BREATHED = "breathed"
    MISSED_BREATH = "missed-breath"
    LATE_AFTER_BREATH = "late-after-breath"

    @property
    def words(self) -> str:
        """How it is said to a player, before *in bar 7*."""
        return KINDS[self].words

    @property
    def field(self) -> str:
        """Its name in JSON where it names a count."""
        return self.value.replace("-", "_")


@dataclass(frozen=True, slots=True)
class KindOfMark:
    """All that is known of one kind of mark."""

    key: str
    """The key that marks it in a run, as a terminal calls it."""

    on_key: str
    """What stands beside the key."""

    explained: str
    """What the key means, for the list of keys."""

    words: str
    """How it is said to a player and typed by one, before *in bar 7*."""

    sign: str
    """Its sign on the staff, one cell wide; no two kinds share one."""

    plain_sign: str
    """The same in letters and dashes only."""

    is_fault: bool
    """It makes a run not clean; a breath more or less does not by itself."""

    also_typed: tuple[str, ...] = ()
    """Other words for it that a player may type."""


KINDS: Mapping[MarkKind, KindOfMark] = {
    MarkKind.RAN_OUT: KindOfMark(
        key="o",
        on_key="out of air",
        explained="Mark this beat: the air ran out",
        words="ran out",
        sign="▼",
        plain_sign="v",
        is_fault=True,
        also_typed=(
            *("ran out of air", "out of air", "no air", "ran dry"),
            *("ran out of breath", "out of breath"),
        ),
    ),
    MarkKind.RUSHED: KindOfMark(
        key="r",
        on_key="rushed",
        explained="Mark this beat: ahead of the click",
        words="rushed",
        sign="»",
        plain_sign=">",
        is_fault=True,
        also_typed=("rushing", "too fast"),
    ),
    MarkKind.DRAGGED: KindOfMark(
        key="d",
        on_key="dragged",
        explained="Mark this beat: behind the click",
        words="dragged",
        sign="«",
        plain_sign="<",
        is_fault=True,
        also_typed=("dragging", "too slow"),
    ),
    MarkKind.MISSED: KindOfMark(
        key="m",
        on_key="missed",
        explained="Mark this beat: a wrong or missing note",
        words="missed",
        sign="✕",
        plain_sign="x",
        is_fault=True,
        also_typed=("wrong note", "wrong notes", "cracked", "split"),
    ),
    MarkKind.BREATHED: KindOfMark(
        key="b",
        on_key="breathed",
        explained="I breathed here: gauge and prompts are made anew",
        words="breathed",
        sign="’",
        plain_sign="'",
        is_fault=False,
    ),
    MarkKind.MISSED_BREATH: KindOfMark(
        key="n",
        on_key="no breath",
        explained="I missed the breath: gauge and prompts are made anew",
        words="missed the breath",
        sign="Ø",
        plain_sign="0",
        is_fault=False,
        also_typed=("no breath", "missed breath"),
    ),
    MarkKind.LATE_AFTER_BREATH: KindOfMark(
        key="comma",
        on_key="late after breath",
        explained="Mark this beat: late after the breath (the comma on the page)",
        words="late after the breath",
        sign="◄",
        plain_sign="L",
        is_fault=True,
        also_typed=("late after breath", "late after a breath", "late"),
    ),
}
"""Every kind there is; the bottom row of a run shows their keys in this order."""

FAULTS = tuple(kind for kind, row in KINDS.items() if row.is_fault)
"""Marks that make a run not clean, in the order of the table."""
