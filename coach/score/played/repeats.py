"""In which order the bars of a page are played.

Conventions
-----------
Bars are counted from 0 in the order of the page.  A repeat sign leads back to the
last opening sign before it, or to where the last repeat ended, or to the beginning.
After *da capo* or *dal segno* repeats are not taken again and the last ending is
played: common practice, no published source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

JUMPS = frozenset({"da capo", "dal segno"})

# "D.C. al Fine" has the word of its target too, so the jumps are looked for first.
ROUTE_WORDS = (
    ("da capo", re.compile(r"\bd\.?\s*c\b\.?|\bda\s+capo\b", re.I)),
    ("dal segno", re.compile(r"\bd\.?\s*s\b\.?|\bdal\s+segno\b", re.I)),
    ("to coda", re.compile(r"\b(to|alla|al)\s+(the\s+)?coda\b", re.I)),
    ("fine", re.compile(r"^\W*fine\W*$", re.I)),
    ("coda", re.compile(r"^\W*coda\W*$", re.I)),
    ("segno", re.compile(r"^\W*segno\W*$", re.I)),
)

LONGEST_ROUTE = 48
"""Signs of a text that may be a jump; a longer one is an explanation; our choice."""


@dataclass(frozen=True, slots=True)
class RepeatSigns:
    """What one bar says about the way through the page."""

    opens: bool = False
    """An opening repeat sign stands at its start."""

    times: int = 1
    """How often the stretch that it closes is played; 1 without a closing sign."""

    endings: frozenset[int] = frozenset()
    """Numbers of the ending that it lies in; empty outside of endings."""

    words: frozenset[str] = frozenset()
    """``segno``, ``coda``, ``to coda``, ``fine``, ``da capo``, ``dal segno``."""


def name_endings(endings: Sequence[frozenset[int]]) -> list[frozenset[int]]:
    """Give brackets without a number the one that they must have.

    Parameters
    ----------
    endings : sequence of frozenset of int
        Numbers of the ending that each bar lies in; 0 where the bracket has none.

    Returns
    -------
    list of frozenset of int
        The same without 0: the number before that of the ending behind it, or the
        one after that of the ending in front of it, or 1.

    Examples
    --------
    >>> name_endings([frozenset(), frozenset({0}), frozenset({2})])
    [frozenset(), frozenset({1}), frozenset({2})]
    """
    named: list[frozenset[int]] = []
    for k, numbers in enumerate(endings):
        if 0 in numbers:
            others = numbers - {0}
            behind = next((found for found in endings[k:] if 0 not in found), None)
            if not others and behind and min(behind) > 1:
                others = frozenset({min(behind) - 1})
            elif not others and named and named[-1]:
                is_same = endings[k - 1] == numbers
                others = named[-1] if is_same else frozenset({max(named[-1]) + 1})
            named.append(others or frozenset({1}))
        else:
            named.append(numbers)
    return named


def play_order(page: Sequence[RepeatSigns], most: int) -> tuple[int, ...]:
    """Walk through a page as a player does.

    Parameters
    ----------
    page : sequence of RepeatSigns
        The bars' signs, in the order of the page.
    most : int
        How many bars may be played; the walk stops there.

    Returns
    -------
    tuple of int
        Bars in playing order; longer than `most` by one when there would be more.

    Examples
    --------
    >>> first = RepeatSigns(times=2, endings=frozenset({1}))
    >>> second = RepeatSigns(endings=frozenset({2}))
    >>> play_order([RepeatSigns(), first, second], most=100)
    (0, 1, 0, 2)
    """
    walk = _Walk(page)
    while walk.here < len(page) and len(walk.order) <= most:
        walk.step()
    # Senseless brackets may pass over every bar: then the page is read straight on.
    return tuple(walk.order or range(len(page)))


@dataclass(slots=True)
class _Walk:
    """Where a player is, and what he remembers of the way."""

    page: Sequence[RepeatSigns]
    here: int = 0
    start: int = 0
    """Where a closing sign leads back to."""

    time: int = 1
    """The how-manieth time this stretch is played."""

    has_jumped: bool = False
    order: list[int] = field(default_factory=list)

    def step(self) -> None:
        """Play one bar, or pass over one that is not for this time."""
        signs = self.page[self.here]
        if self._leaves_endings():
            self.start, self.time = self.here, 1
        if signs.opens and self.start != self.here:
            self.start, self.time = self.here, 1
        if signs.endings and not self._is_for_this_time(signs):
            self.here += 1
            return
        self.order.append(self.here)
        self.here = self._next_bar(signs)

    def _leaves_endings(self) -> bool:
        """Tell whether the endings of a stretch lie just behind."""
        return (
            self.here > self.start
            and not self.page[self.here].endings
            and bool(self.page[self.here - 1].endings)
        )

    def _is_for_this_time(self, signs: RepeatSigns) -> bool:
        """Tell whether an ending is played now."""
        group = self._endings_here()
        if not any(bar.times > 1 for bar in group):
            return True
        passes = _passes(group)
        now = passes if self.has_jumped else min(self.time, passes)
        return now in signs.endings or now < _first_number(group)

    def _endings_here(self) -> Sequence[RepeatSigns]:
        """Give all the bars under brackets that stand together here."""
        first = last = self.here
        while first > 0 and self.page[first - 1].endings:
            first -= 1
        while last < len(self.page) and self.page[last].endings:
            last += 1
        return self.page[first:last]

    def _next_bar(self, signs: RepeatSigns) -> int:
        """Decide where to go after a bar that was played."""
        if signs.times > 1 and not self.has_jumped:
            times = _passes(self._endings_here()) if signs.endings else signs.times
            if self.time < times:
                self.time += 1
                return self.start
            if not signs.endings:
                self.start, self.time = self.here + 1, 1
        if self.has_jumped:
            return self._next_after_jump(signs)
        if signs.words & JUMPS and self._is_last_time():
            self.has_jumped = True
            self.start = self._find("segno") if "dal segno" in signs.words else 0
            return self.start
        return self.here + 1

    def _is_last_time(self) -> bool:
        """Tell whether no closing sign ahead leads back over this bar again."""
        for k in range(self.here + 1, len(self.page)):
            signs = self.page[k]
            if signs.opens:
                return True
            if signs.times > 1:
                return self.time >= signs.times
        return True

    def _next_after_jump(self, signs: RepeatSigns) -> int:
        """Go on, out to the coda, or home at *fine*."""
        if "fine" in signs.words:
            return len(self.page)
        if "to coda" in signs.words:
            return max(self._find("coda"), self.here + 1)
        return self.here + 1

    def _find(self, word: str) -> int:
        """Give the last bar with a word; the first bar of all if there is none."""
        places = [k for k, bar in enumerate(self.page) if word in bar.words]
        return max(places, default=0)


def _passes(group: Sequence[RepeatSigns]) -> int:
    """Tell how often a stretch with these endings is played.

    A bracket that stands alone and closes the stretch is left out the last time.
    """
    last = max(number for bar in group for number in bar.endings)
    is_alone = len({bar.endings for bar in group}) == 1
    return last + 1 if is_alone and any(bar.times > 1 for bar in group) else last


def _first_number(group: Sequence[RepeatSigns]) -> int:
    """Give the lowest number of these endings."""
    return min(number for bar in group for number in bar.endings)


def route_word_in(text: str) -> str:
    """Give the word of `RepeatSigns` that a text stands for; "" for none.

    Examples
    --------
    >>> route_word_in("D.S. al Coda"), route_word_in("fine"), route_word_in("dolce")
    ('dal segno', 'fine', '')
    """
    for word, pattern in ROUTE_WORDS:
        if len(text) <= LONGEST_ROUTE and pattern.search(text):
            return word
    return ""
