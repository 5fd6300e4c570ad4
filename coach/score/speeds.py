"""How fast each place of a page is: marks with a number, marks in words.

Conventions
-----------
Places are in quarter notes from the start of the page, bars in page order.
A mark in words has no number of its own, so it is looked up in a table; *rit.* and
*accel.* move beat by beat to the next mark.  What had to be decided is remarked.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from math import ceil

from coach.score.metre import Metre
from coach.score.speed_words import (
    AS_BEFORE,
    AS_FIRST,
    FASTER,
    FREE,
    SAME,
    SLOWER,
    TWICE,
    UNMEASURED,
    SpeedMark,
    words_at,
    words_on_the_way,
)
from coach.score.tempo import Beats, Tempo, TempoMark, beats, speed_at

OWN_GOAL = "set the tempo that you want to reach"


@dataclass(frozen=True, slots=True)
class SpeedSettings:
    """What a page leaves open about tempo."""

    default_bpm: float
    """Beats a minute when the page has no mark."""

    slower_share: float
    """What is left of the tempo at the end of a *rit.* that leads nowhere."""

    faster_share: float
    """The tempo at the end of an *accel.* that leads nowhere."""

    gradual_quarters: float
    """The longest stretch that one *rit.* or *accel.* is spread over."""

    slowest_bpm: float
    """Slower beats a minute are hardly meant."""

    fastest_bpm: float
    """Nor are faster ones."""

    names_bpm: tuple[tuple[str, float], ...]
    """Marks in words, lower case, and beats a minute."""


@dataclass(frozen=True, slots=True)
class PageSpeeds:
    """All speeds of a page."""

    goal: Tempo
    """The first mark, counted in beats."""

    marks: tuple[TempoMark, ...]
    """In order of place on the page; at least one."""

    remarks: tuple[tuple[Beats | None, str], ...]
    """Where something had to be decided (None: for all the page), and what."""

    is_guessed: bool = False
    """No number says how fast the goal is."""

    def at(self, place: Beats) -> float:
        """Give quarter notes a minute at a place of the page."""
        return speed_at(self.marks, place)

    def between(self, start: Beats, end: Beats) -> Iterator[TempoMark]:
        """Give the marks after a place and before another."""
        first = bisect_right(self.marks, start, key=lambda mark: mark.at)
        for mark in self.marks[first:]:
            if mark.at >= end:
                return
            yield mark


def read_speeds(
    marks: Sequence[SpeedMark], metre: Metre, end: Beats, settings: SpeedSettings
) -> PageSpeeds:
    """Turn tempo marks into speeds.

    Parameters
    ----------
    marks : sequence of SpeedMark
        In order of place.
    metre : Metre
        The first time signature: its beat is counted where no note value is printed.
    end : Beats
        Where the page ends.

    Returns
    -------
    PageSpeeds
        The goal, the speeds and what had to be decided.
    """
    reading = _Reading(metre, settings)
    telling = [mark for mark in marks if _tells(mark, settings)]
    stops = [list(group) for _, group in groupby(telling, key=lambda mark: mark.at)]
    for k, here in enumerate(stops):
        following = stops[k + 1] if k + 1 < len(stops) else []
        reading.read(here, following, end)
    return reading.result()


def _tells(mark: SpeedMark, settings: SpeedSettings) -> bool:
    """Tell whether a mark says anything about tempo: *dolce* does not."""
    if mark.quarters_per_minute is not None or mark.equal is not None:
        return True
    patterns = (SLOWER, FASTER, AS_BEFORE, AS_FIRST, UNMEASURED, SAME, TWICE, FREE)
    is_pattern = any(pattern.search(mark.words) for pattern in patterns)
    return is_pattern or _named_bpm(mark.words, settings) is not None


def _named_bpm(words: str, settings: SpeedSettings) -> float | None:
    """Look up the longest name of a tempo in some words, but for *più allegro*."""
    words = UNMEASURED.sub("", words)
    names = [
        (len(name), bpm)
        for name, bpm in settings.names_bpm
        if name in words.lower() and re.search(rf"\b{re.escape(name)}\b", words, re.I)
    ]
    return max(names)[1] if names else None


class _Reading:
    """Speeds found so far."""

    def __init__(self, metre: Metre, settings: SpeedSettings) -> None:
        self.metre = metre
        self.settings = settings
        self.marks: list[TempoMark] = []
        self.remarks: list[tuple[Beats | None, str]] = []
        self.goal: Tempo | None = None
        self.is_guessed = False
        self.steady = settings.default_bpm * float(metre.beat)
        """The last speed that was not on its way."""
        self.now = self.steady

    def read(
        self, here: Sequence[SpeedMark], following: Sequence[SpeedMark], end: Beats
    ) -> None:
        """Take in all that is printed at one place."""
        fixed = self._fixed(here)
        if fixed is not None:
            self._set(here[0].at, fixed)
        words = words_on_the_way(here) if fixed is not None else words_at(here)
        until = following[0].at if following else end
        if SLOWER.search(words):
            self._spread(here[0].at, until, words, following, is_slower=True)
        elif FASTER.search(words):
            self._spread(here[0].at, until, words, following, is_slower=False)
        elif fixed is None and UNMEASURED.search(words):
            self._remark(here[0].at, f"“{words}” has no number, the tempo stays.")
        elif fixed is None and SAME.search(words):
            told = f"“{words}” is taken as notes that last as long as before."
            self._remark(here[0].at, told)
        elif FREE.search(words_at(here)):
            told = f"“{words_at(here)}” is free; the click goes on in time."
            self._remark(here[0].at, told)

    def result(self) -> PageSpeeds:
        """Give what was found; the default where nothing was."""
        goal = self.goal
        if goal is None:
            self.is_guessed = True
            goal = Tempo(self.settings.default_bpm, self.metre.beat)
            self.remarks.append(
                (
                    None,
                    f"No tempo mark: {goal.bpm:g} beats a minute is a guess; "
                    f"{OWN_GOAL}.",
                )
            )
        if not self.settings.slowest_bpm <= goal.bpm <= self.settings.fastest_bpm:
            told = f"{goal.bpm:g} beats a minute can hardly be meant: {OWN_GOAL}."
            self.remarks.append((None, told))
        if not self.marks:
            self.marks.append(TempoMark(beats(0), goal.quarters_per_minute))
        return PageSpeeds(
            goal, tuple(self.marks), tuple(self.remarks), is_guessed=self.is_guessed
        )

    def _fixed(self, here: Sequence[SpeedMark]) -> float | None:
        """Find a speed at one place: a number first, then words."""
        numbers = [mark for mark in here if mark.quarters_per_minute is not None]
        printed = [mark for mark in numbers if mark.beat is not None]
        for mark in [*printed, *numbers]:
            speed = mark.quarters_per_minute or self.now
            self._aim(speed, mark.beat or self.metre.beat)
            return speed
        for mark in here:
            if mark.equal is not None:
                return self.now * float(mark.equal[1] / mark.equal[0])
        return self._named(here)

    def _named(self, here: Sequence[SpeedMark]) -> float | None:
        """Find a speed in words: a return, or a name from the table."""
        words = words_at(here)
        if AS_FIRST.search(words) and self.goal is not None:
            return self.goal.quarters_per_minute
        if AS_BEFORE.search(words):
            return self.steady
        if TWICE.search(words):
            self._remark(here[0].at, f"“{words}” is twice as fast.")
            return 2 * self.steady
        bpm = _named_bpm(words, self.settings)
        if bpm is None:
            return None
        is_goal = self.goal is None
        self.is_guessed |= is_goal
        more = f" is a guess; {OWN_GOAL}" if is_goal else ""
        text = f"“{words}” has no number: {bpm:g} beats a minute{more}."
        self._remark(here[0].at, text)
        self._aim(bpm * float(self.metre.beat), self.metre.beat)
        return bpm * float(self.metre.beat)

    def _aim(self, speed: float, beat: Beats) -> None:
        """Keep the first speed of the page as the goal."""
        if self.goal is None:
            self.goal = Tempo(speed / float(beat), beat)

    def _set(self, place: Beats, speed: float) -> None:
        """Go on at a speed."""
        self.steady = self.now = speed
        self.marks.append(TempoMark(place, speed))

    def _remark(self, place: Beats, text: str) -> None:
        """Tell what was decided."""
        self.remarks.append((place, text))

    def _spread(
        self,
        start: Beats,
        end: Beats,
        words: str,
        following: Sequence[SpeedMark],
        *,
        is_slower: bool,
    ) -> None:
        """Move from one speed to another, one quarter note at a time."""
        length = end - start
        if length <= 0 or length > self.settings.gradual_quarters:
            self._remark(start, f"“{words}” has no end, the tempo stays.")
            return
        settings = self.settings
        share = settings.slower_share if is_slower else settings.faster_share
        goal = self.now * share
        for mark in following:
            speed = mark.quarters_per_minute
            if speed is not None and (speed < self.now) == is_slower:
                goal = speed
        if not self.marks:
            self.marks.append(TempoMark(min(beats(0), start), self.now))
        steps = ceil(length)
        first = self.now
        for k in range(steps):
            self.now = first + (goal - first) * (k + 1) / steps
            place = Beats(start + Fraction(length * k, steps))
            if place > self.marks[-1].at:
                self.marks.append(TempoMark(place, self.now))
        percent = round(100 * self.now / first)
        way = "slower" if is_slower else "faster"
        text = f"“{words}” is taken as evenly {way}, to {percent} % of the tempo."
        self._remark(start, text)
