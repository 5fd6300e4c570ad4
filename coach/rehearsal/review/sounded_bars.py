"""Where runs that were heard are late or early, louder or softer than the page asks.

One run says little: a place is told of where most of the newest runs agree, and by an
amount that others notice.  Levels are told against the rest of the same run, since a
microphone stands elsewhere every day.

Conventions
-----------
Seconds behind the click are positive; levels are decibels; bars are those of the page.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from statistics import fmean, median
from typing import Literal

from coach.planning.naming import say_bars, say_count
from coach.rehearsal.run.evidence import Evidence

SoundedKind = Literal["late", "early", "loud", "soft"]

MS = 1000.0

HALVES = 2
"""A run that lies off by half as much as is told of, on the same side, agrees."""

LEAST_OF_PITCH = 3
"""Notes of one pitch that have a middle: fewer would be told against themselves."""

LEAST_ON_BREATH = 4
"""Notes of one breath through which a line of levels is laid."""


@dataclass(frozen=True, slots=True)
class SoundedSettings:
    """When runs agree: ``[sounded]`` in ``config/rehearsal.toml``."""

    newest_runs: int
    """Runs that are looked at."""

    least_runs: int
    """Runs in which a bar was heard, at least."""

    agree_share: float
    """This share of them lies off on the same side, by half of the line at least."""

    behind_s: float
    """A bar is told of that lies ahead or behind by this."""

    level_db: float
    """A bar is told of that lies above or below by this."""

    least_notes: int
    """Notes heard in a bar of one run, at least."""

    step_db: float
    """What a step of dynamics is worth."""


@dataclass(frozen=True, slots=True)
class SoundedBars:
    """Neighbouring bars that sound off in the same way."""

    kind: SoundedKind
    """In which way."""

    from_bar: int
    """The first."""

    to_bar: int
    """The last."""

    amount: float
    """By how much, above 0: in seconds for late and early, else in decibels."""

    runs: int
    """Runs in which they were heard, at least."""

    @property
    def says(self) -> str:
        """Say it in one sentence."""
        bars = say_bars(self.from_bar, self.to_bar).capitalize()
        is_one = self.from_bar == self.to_bar
        of = f"as heard in {say_count(self.runs, 'run')}"
        if self.kind in ("late", "early"):
            side = "behind" if self.kind == "late" else "ahead of"
            verb = "is" if is_one else "are"
            return f"{bars} {verb} {MS * self.amount:.0f} ms {side} the click, {of}."
        side = "louder" if self.kind == "loud" else "softer"
        verb = "sounds" if is_one else "sound"
        return f"{bars} {verb} {self.amount:.0f} dB {side} than the page asks, {of}."


@dataclass(frozen=True, slots=True)
class SoundedEvenness:
    """How evenly the sound was spent, in the middle of many runs."""

    slope_db_per_s: float
    """How the level ran through a breath, the page's dynamics taken off."""

    spread_db: float
    """How far notes lie from the line of their breath."""

    runs: int
    """Runs in which it was heard."""

    @property
    def says(self) -> str:
        """Say it in one sentence."""
        side = "louder" if self.slope_db_per_s > 0 else "softer"
        return (
            f"Evenness: notes within {self.spread_db:.1f} dB of their breath's line, "
            f"{abs(self.slope_db_per_s):.1f} dB {side} each second, as heard in "
            f"{say_count(self.runs, 'run')}."
        )


def find_sounded(
    played: Sequence[Evidence], settings: SoundedSettings
) -> tuple[SoundedBars, ...]:
    """Find bars that most of the newest runs play late or early, loud or soft.

    Parameters
    ----------
    played : sequence of Evidence
        Runs of one etude, oldest first.

    Returns
    -------
    tuple of SoundedBars
        In the order of the page, time before level; empty where too few were heard.
    """
    heard = [run for run in played if run.sounded][-settings.newest_runs :]
    times = _by_bar(heard, settings, _behind)
    levels = _by_bar(heard, settings, lambda run: levels_off(run, settings.step_db))
    return (
        *_stretches(times, settings, settings.behind_s, ("late", "early")),
        *_stretches(levels, settings, settings.level_db, ("loud", "soft")),
    )


def sounded_evenness(
    played: Sequence[Evidence], settings: SoundedSettings
) -> SoundedEvenness | None:
    """Tell how evenly the sound is spent; None where too few runs were heard."""
    heard = [run for run in played if run.sounded][-settings.newest_runs :]
    lines = [line for run in heard if (line := _line(run, settings)) is not None]
    if len(lines) < settings.least_runs:
        return None
    return SoundedEvenness(
        median(slope for slope, _ in lines),
        median(spread for _, spread in lines),
        len(lines),
    )


def levels_off(run: Evidence, step_db: float) -> tuple[float | None, ...]:
    """Tell how far each note's level lies off what its page asks, in decibels.

    What is asked is the page's dynamics; 0 is the middle of the notes of the same
    pitch in the same run, since horn and room give each pitch a loudness of its own.
    Of a pitch that was heard too seldom nothing is told.
    """
    off = [
        None
        if note.level_db is None
        else note.level_db - step_db * (asked.loud_start + asked.loud_end) / 2
        for note, asked in zip(run.sounded, run.notes, strict=True)
    ]
    of_pitch: dict[int, list[float]] = defaultdict(list)
    for level, asked in zip(off, run.notes, strict=True):
        if level is not None:
            of_pitch[asked.midi].append(level)
    return tuple(
        None
        if level is None or len(of_pitch[asked.midi]) < LEAST_OF_PITCH
        else level - median(of_pitch[asked.midi])
        for level, asked in zip(off, run.notes, strict=True)
    )


def _behind(run: Evidence) -> tuple[float | None, ...]:
    """Give how late each note was."""
    return tuple(note.behind_s for note in run.sounded)


def _by_bar(
    heard: Sequence[Evidence],
    settings: SoundedSettings,
    values_of: Callable[[Evidence], tuple[float | None, ...]],
) -> Mapping[int, Sequence[float]]:
    """Give for each bar the middle of each run that was heard in it."""
    found: dict[int, list[float]] = defaultdict(list)
    for run in heard:
        bars: dict[int, list[float]] = defaultdict(list)
        for note, value in zip(run.sounded, values_of(run), strict=True):
            if value is not None:
                bars[note.bar].append(value)
        for bar, values in bars.items():
            if len(values) >= settings.least_notes:
                found[bar].append(median(values))
    return found


def _stretches(
    by_bar: Mapping[int, Sequence[float]],
    settings: SoundedSettings,
    line: float,
    kinds: tuple[SoundedKind, SoundedKind],
) -> Iterator[SoundedBars]:
    """Put neighbouring bars together that lie off on the same side."""
    sides = {
        bar: kinds[0] if median(values) > 0 else kinds[1]
        for bar, values in by_bar.items()
        if _agree(values, settings, line)
    }
    bars = sorted(sides)
    begins = [
        bar
        for before, bar in pairwise([None, *bars])
        if bar is not None
        and (before is None or bar != before + 1 or sides[bar] != sides[before])
    ]
    for first, after in pairwise([*begins, None]):
        assert first is not None
        inside = [b for b in bars if b >= first and (after is None or b < after)]
        yield SoundedBars(
            sides[first],
            first,
            inside[-1],
            fmean(abs(median(by_bar[bar])) for bar in inside),
            min(len(by_bar[bar]) for bar in inside),
        )


def _agree(values: Sequence[float], settings: SoundedSettings, line: float) -> bool:
    """Tell whether runs agree that a bar lies off, by as much as is noticed."""
    middle = median(values)
    if len(values) < settings.least_runs or abs(middle) < line:
        return False
    side = line / HALVES if middle > 0 else -line / HALVES
    same = sum(1 for value in values if value * side >= side * side)
    return same >= settings.agree_share * len(values)


def _line(run: Evidence, settings: SoundedSettings) -> tuple[float, float] | None:
    """Give slope and spread of the levels of one run; None where too few are known."""
    ends = {breath.after_note for breath in run.breaths}
    phrases: list[list[tuple[float, float]]] = [[]]
    levels = levels_off(run, settings.step_db)
    for k, (note, level) in enumerate(zip(run.notes, levels, strict=True)):
        if level is not None:
            phrases[-1].append((note.start_s, level))
        if k in ends:
            phrases.append([])
    slopes, rest = [], []
    for points in phrases:
        if len(points) >= LEAST_ON_BREATH:
            slope, off = _fit(points)
            slopes.append(slope)
            rest += off
    if not slopes:
        return None
    return median(slopes), sqrt(fmean(one * one for one in rest))


def _fit(points: Sequence[tuple[float, float]]) -> tuple[float, list[float]]:
    """Lay a straight line through levels; give its slope and what lies off it."""
    x, y = (fmean(values) for values in zip(*points, strict=True))
    wide = sum((at - x) ** 2 for at, _ in points)
    slope = sum((at - x) * (level - y) for at, level in points) / wide
    return slope, [level - y - slope * (at - x) for at, level in points]
