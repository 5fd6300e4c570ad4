"""Where runs go wrong more often than by chance.

Conventions
-----------
Runs are oldest first, and of one etude.  A bar *went wrong* in a run if a fault or a
missed breath is marked in it.  Of each bar the last few runs that came there are looked
at, in windows of several lengths, so that recent runs weigh more than old ones.

References
----------
The chance of so many runs or more is a binomial tail: Feller 1968, An Introduction to
Probability Theory, 3rd ed., VI.3.  Many places are tested at once: Benjamini & Hochberg
1995, J. R. Stat. Soc. B 57:289-300, step-up rule.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from math import comb
from typing import TypeAlias

from coach.rehearsal.review.marked import (
    TROUBLE_KINDS,
    came_to,
    most_often_at,
    say_runs,
    troubles_of,
)
from coach.rehearsal.review.progress import is_false_start
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run

_Passes: TypeAlias = Mapping[int, Sequence[tuple[Run, frozenset[MarkKind]]]]
"""By bar: the last runs that came there, oldest first, each with what went wrong."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """A place where runs go wrong, upheld by a test against chance."""

    from_bar: int
    """First bar of the place, on the page."""

    to_bar: int
    """Its last bar."""

    bar: int
    """The bar of these that went wrong most."""

    beat: float
    """The beat in it that went wrong most, from 1."""

    times: Mapping[MarkKind, int]
    """For each kind, runs in which it stands here; of the last `runs`."""

    wrong: int
    """Runs that went wrong here, of the last `runs`."""

    runs: int
    """So many of the last runs that came here are counted."""

    seen: int
    """Runs that came here in all."""

    chance: float
    """How likely so many would be by chance at one place, 0 to 1."""

    @property
    def kind(self) -> MarkKind:
        """What goes wrong here: a missed breath if often, else what does most."""
        missed = self.times[MarkKind.MISSED_BREATH]
        if missed and 2 * missed >= self.wrong:
            return MarkKind.MISSED_BREATH
        return max(TROUBLE_KINDS, key=lambda kind: self.times[kind])

    @property
    def says(self) -> str:
        """Say it, as ``ran out in bar 7 in 3 of the last 6 runs``."""
        last = "" if self.runs == self.seen else "last "
        bars = self.from_bar, self.to_bar
        return say_runs(bars, self.times, self.wrong, self.runs, last)


def find_trouble(
    runs: Sequence[Run], bars: tuple[int, int], settings: TroubleSettings
) -> tuple[Trouble, ...]:
    """Name the places that go wrong more often than by chance.

    Parameters
    ----------
    runs : sequence of Run
        Runs of one etude of which it is known how they went, oldest first.
    bars : (int, int)
        Numbers of the first and the last bar of the part.

    Returns
    -------
    tuple of Trouble
        Missed breaths first, then what goes wrong most.
    """
    passes = _passes(runs, bars, max(settings.windows_runs))
    named: frozenset[int] = frozenset()
    # What is named leaves what chance is measured by, so another round may name more.
    for _ in range(len(settings.windows_runs) + 1):
        named = _named(passes, named, settings)
    pairs = _pairs(passes, named, settings)
    places = []
    for place in (*_stretches(named), *pairs):
        usual = _usual(passes, {*named, *range(place[0], place[1] + 1)}, settings)
        places.append(_place(passes, place, _seen(runs, place), usual, settings))
    return tuple(
        sorted(
            places,
            key=lambda place: (
                place.kind is not MarkKind.MISSED_BREATH,
                -place.wrong / place.runs,
                place.from_bar,
            ),
        )
    )


def tail(times: int, runs: int, share: float) -> float:
    """Tell how likely `times` or more of `runs` are, each with the same chance.

    Parameters
    ----------
    share : float
        The chance of one, 0 to 1.

    Examples
    --------
    >>> tail(2, 2, 0.5), tail(0, 4, 0.1)
    (0.25, 1.0)
    """
    return sum(
        comb(runs, k) * share**k * (1 - share) ** (runs - k)
        for k in range(times, runs + 1)
    )


def _passes(runs: Sequence[Run], bars: tuple[int, int], most: int) -> _Passes:
    """Sort the last runs by the bars that they came to."""
    found: dict[int, list[tuple[Run, frozenset[MarkKind]]]] = {
        bar: [] for bar in range(bars[0], bars[1] + 1)
    }
    for run in reversed(runs):
        if is_false_start(run):
            continue
        wrong: dict[int, set[MarkKind]] = {}
        for mark in troubles_of(run):
            wrong.setdefault(mark.bar, set()).add(mark.kind)
        for bar, there in found.items():
            if len(there) < most and came_to(run, bar):
                there.append((run, frozenset(wrong.get(bar, ()))))
    return {bar: there[::-1] for bar, there in found.items() if there}


def _named(
    passes: _Passes, before: AbstractSet[int], settings: TroubleSettings
) -> frozenset[int]:
    """Name bars, when those named before are left out of what is usual."""
    chances = {
        bar: _best(
            [bool(kinds) for _, kinds in there],
            _usual(passes, {*before, bar}, settings),
            settings,
        )[0]
        for bar, there in passes.items()
    }
    order = sorted(chances, key=lambda bar: (chances[bar], bar))
    upheld = 0
    for rank, bar in enumerate(order, start=1):
        if chances[bar] * len(order) <= settings.chance_share * rank:
            upheld = rank
    return frozenset(
        bar for bar in order[:upheld] if not _is_mended(passes[bar], settings)
    )


def _usual(
    passes: _Passes, left_out: AbstractSet[int], settings: TroubleSettings
) -> float:
    """Tell in which share of runs the other bars go wrong."""
    others = [there for bar, there in passes.items() if bar not in left_out]
    wrong = sum(1 for there in others for _, kinds in there if kinds)
    count = sum(len(there) for there in others)
    weight = settings.usual_weight_runs
    return (wrong + weight * settings.usual_share) / (count + weight)


def _best(
    wrong: Sequence[bool], usual: float, settings: TroubleSettings
) -> tuple[float, int]:
    """Find the window that is least likely by chance: how likely, and how long."""
    windows = sorted({min(size, len(wrong)) for size in settings.windows_runs})
    return min((tail(sum(wrong[-size:]), size, usual), size) for size in windows)


def _is_mended(
    there: Sequence[tuple[Run, frozenset[MarkKind]]], settings: TroubleSettings
) -> bool:
    """Tell whether it has gone well long enough."""
    last = there[-settings.mended_clean_runs :]
    if len(last) == settings.mended_clean_runs and all(run.is_clean for run, _ in last):
        return True
    last = there[-settings.mended_runs :]
    return len(last) == settings.mended_runs and not any(kinds for _, kinds in last)


def _pairs(
    passes: _Passes, named: AbstractSet[int], settings: TroubleSettings
) -> list[tuple[int, int]]:
    """Name pairs of neighbours that only together are more than chance.

    A key is pressed a little early or late: one place beside a barline is marked now in
    the bar before it, now in the bar after it.
    """
    taken = {bar + step for bar in named for step in (-1, 0, 1)}
    found = []
    for bar in passes:
        if {bar, bar + 1} & taken or bar + 1 not in passes:
            continue
        if any(_is_mended(passes[one], settings) for one in (bar, bar + 1)):
            continue
        usual = _usual(passes, {*named, bar, bar + 1}, settings)
        both = _joined(passes, bar, bar + 1)
        chance, _ = _best(
            [bool(kinds) for _, kinds in both], 1 - (1 - usual) ** 2, settings
        )
        if 2 * chance * len(passes) <= settings.chance_share:
            found.append((bar, bar + 1))
            taken |= {bar, bar + 1, bar + 2}
    return found


def _joined(
    passes: _Passes, first: int, last: int
) -> list[tuple[Run, frozenset[MarkKind]]]:
    """Put the passes of several bars together, by run, oldest first."""
    by_run: dict[int, tuple[Run, frozenset[MarkKind]]] = {}
    for bar in range(first, last + 1):
        for run, kinds in passes[bar]:
            _, before = by_run.get(id(run), (run, frozenset()))
            by_run[id(run)] = (run, before | kinds)
    return sorted(by_run.values(), key=lambda one: one[0].started)


def _stretches(named: AbstractSet[int]) -> list[tuple[int, int]]:
    """Join bars that lie side by side to one place."""
    found: list[tuple[int, int]] = []
    for bar in sorted(named):
        if found and found[-1][1] == bar - 1:
            found[-1] = (found[-1][0], bar)
        else:
            found.append((bar, bar))
    return found


def _seen(runs: Sequence[Run], place: tuple[int, int]) -> int:
    """Count the runs that came to a place, however long ago."""
    bars = range(place[0], place[1] + 1)
    played = (run for run in runs if not is_false_start(run))
    return sum(any(came_to(run, bar) for bar in bars) for run in played)


def _place(
    passes: _Passes,
    place: tuple[int, int],
    seen: int,
    usual: float,
    settings: TroubleSettings,
) -> Trouble:
    """Describe a place by the window that tells most of it."""
    first, last = place
    there = _joined(passes, first, last)
    wrong = [bool(kinds) for _, kinds in there]
    chance, size = _best(wrong, 1 - (1 - usual) ** (last - first + 1), settings)
    told = there[-size:]
    marks = [
        mark
        for run, _ in told
        for mark in troubles_of(run)
        if first <= mark.bar <= last
    ]
    bar, beat = most_often_at([(mark.bar, mark.beat) for mark in marks])
    return Trouble(
        from_bar=first,
        to_bar=last,
        bar=bar,
        beat=beat,
        times={kind: sum(kind in kinds for _, kinds in told) for kind in TROUBLE_KINDS},
        wrong=sum(wrong[-size:]),
        runs=size,
        seen=seen,
        chance=chance,
    )
