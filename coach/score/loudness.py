"""How loud each place of a page is: dynamics, hairpins and what lies between.

Conventions
-----------
Places are in quarter notes from the start of the page, bars in page order.
Loudness is in steps from mezzo-forte, as in `coach.score.note`.  A dynamic holds
until the next one.  A hairpin moves to the dynamic written at its end; without one
it moves by a set number of steps.  Before the first dynamic the page is mf.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from coach.score.note import DYNAMIC_STEPS
from coach.score.tempo import Beats

SOFTEST = min(DYNAMIC_STEPS.values())
LOUDEST = max(DYNAMIC_STEPS.values())

GROWING = re.compile(r"\bcresc", re.I)
FALLING = re.compile(r"\b(decresc|dim(in)?\b|diminuendo)", re.I)


@dataclass(frozen=True, slots=True)
class LoudnessSettings:
    """What a page leaves open about loudness."""

    hairpin_steps: float
    """How far a hairpin goes when no dynamic says where to."""

    sforzato_steps: float
    """How much a sforzato stands out of what is around it."""

    open_words_quarters: float
    """How long *cresc.* in words lasts when no dynamic ends it."""


@dataclass(frozen=True, slots=True)
class Dynamic:
    """A written dynamic: ``p``, ``mf``, ``sfz``, ``fp`` and so on."""

    at: Beats
    """Where it stands."""

    name: str
    """Its letters."""


@dataclass(frozen=True, slots=True)
class Hairpin:
    """A stretch that grows or falls."""

    start: Beats
    """Where it opens."""

    end: Beats | None
    """Where it closes; None for *cresc.* in words, which the next dynamic ends."""

    direction: int
    """1 when it grows, -1 when it falls."""


@dataclass(frozen=True, slots=True)
class Return:
    """A later ending: it is as loud at its start as the first one was."""

    at: Beats
    """Where the later ending starts."""

    to: Beats
    """Where the first ending starts."""


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A hairpin whose end is known."""

    start: Beats
    end: Beats
    direction: int


Event = Return | Dynamic | _Stretch


@dataclass(frozen=True, slots=True)
class Swell:
    """A stretch of page whose loudness changes evenly."""

    start: Beats
    """Where it starts."""

    end: Beats
    """Where it ends; after `start`."""

    first: float
    """Steps at its start."""

    last: float
    """Steps at its end, held from there on."""


@dataclass(frozen=True, slots=True)
class Loudness:
    """Steps from mezzo-forte at every place of a page."""

    swells: tuple[Swell, ...]
    """In order of place; where two meet, the later one holds."""

    _starts: tuple[Beats, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Keep the starts apart, to look a place up quickly."""
        object.__setattr__(self, "_starts", tuple(s.start for s in self.swells))

    def at(self, place: Beats) -> float:
        """Give the loudness of what starts at a place."""
        return self._value(bisect_right(self._starts, place) - 1, place)

    def before(self, place: Beats) -> float:
        """Give the loudness of what ends at a place."""
        return self._value(bisect_left(self._starts, place) - 1, place)

    def _value(self, k: int, place: Beats) -> float:
        """Read a swell, or what was left by it."""
        if k < 0:
            return 0.0
        swell = self.swells[k]
        if place >= swell.end:
            return swell.last
        share = float((place - swell.start) / (swell.end - swell.start))
        return swell.first + (swell.last - swell.first) * share


def shape_loudness(
    dynamics: Sequence[Dynamic],
    hairpins: Sequence[Hairpin],
    returns: Sequence[Return],
    onsets: Sequence[Beats],
    settings: LoudnessSettings,
) -> Loudness:
    """Lay dynamics and hairpins out over a page.

    Parameters
    ----------
    dynamics : sequence of Dynamic
        In order of place.
    hairpins : sequence of Hairpin
        In order of start.
    returns : sequence of Return
        Second and later endings.
    onsets : sequence of Beats
        Where notes start, in order: a dynamic under the first note after a hairpin
        is where the hairpin leads to, and a sforzato lasts one note.

    Returns
    -------
    Loudness
        Steps from mezzo-forte at every place.
    """
    swells: list[Swell] = []
    events: list[Event] = [*returns, *dynamics, *_close(hairpins, dynamics, settings)]
    for event in sorted(events, key=_turn):
        now = Loudness(tuple(swells[-1:]))
        if isinstance(event, Return):
            level = Loudness(tuple(swells)).before(event.to)
            swells.append(Swell(event.at, event.at, level, level))
        elif isinstance(event, Dynamic):
            end = _next_onset(onsets, event.at)
            swells.append(_dynamic_swell(event, now.at(event.at), end, settings))
        else:
            goals = _goals(event, dynamics, onsets)
            level = now.at(event.start)
            swells.append(_hairpin_swell(event, level, goals, settings))
    return Loudness(tuple(swells))


def level_of(name: str) -> float | None:
    """Give the steps of a plain dynamic; None for a sforzato or no dynamic.

    Examples
    --------
    >>> level_of("mp"), level_of("ffff"), level_of("sfz")
    (-1.0, 3.0, None)
    """
    if name in DYNAMIC_STEPS:
        return float(DYNAMIC_STEPS[name])
    if name and set(name) == {"f"}:
        return float(LOUDEST)
    if name == "n" or (name and set(name) == {"p"}):
        return float(SOFTEST)
    return None


def _turn(event: Event) -> tuple[Beats, int]:
    """Sort by place; where things meet, a hairpin starts from the dynamic."""
    if isinstance(event, _Stretch):
        return event.start, 2
    return event.at, int(isinstance(event, Dynamic))


def _close(
    hairpins: Sequence[Hairpin],
    dynamics: Sequence[Dynamic],
    settings: LoudnessSettings,
) -> Iterator[_Stretch]:
    """Give every hairpin an end, at the latest where the next one starts."""
    for k, pin in enumerate(hairpins):
        end = pin.end
        if end is None:
            latest = Beats(pin.start + Fraction(settings.open_words_quarters))
            first = bisect_right(dynamics, pin.start, key=lambda dynamic: dynamic.at)
            plain = (d.at for d in dynamics[first:] if level_of(d.name) is not None)
            end = next(plain, latest)
        if k + 1 < len(hairpins):
            end = min(end, hairpins[k + 1].start)
        if end > pin.start:
            yield _Stretch(pin.start, end, pin.direction)


def _next_onset(onsets: Sequence[Beats], place: Beats) -> Beats:
    """Give the first onset after a place; the place itself if there is none."""
    k = bisect_right(onsets, place)
    return onsets[k] if k < len(onsets) else place


def _dynamic_swell(
    dynamic: Dynamic, level: float, end: Beats, settings: LoudnessSettings
) -> Swell:
    """Lay out a dynamic; a sforzato or *fp* falls off within its note."""
    at, name = dynamic.at, dynamic.name
    forte = float(DYNAMIC_STEPS["f"])
    plain = level_of(name)
    if plain is not None:
        return Swell(at, at, plain, plain)
    falls_to = level_of(name[name.find("p") :]) if name.endswith("p") else None
    if falls_to is not None:
        return Swell(at, end, max(level, forte), falls_to)
    if "f" in name:
        peak = max(level + settings.sforzato_steps, forte)
        return Swell(at, end, min(peak, LOUDEST), level)
    return Swell(at, at, level, level)


def _goals(
    pin: _Stretch, dynamics: Sequence[Dynamic], onsets: Sequence[Beats]
) -> list[Dynamic]:
    """Give the dynamics inside a hairpin and under the first note after it."""
    k = bisect_left(onsets, pin.end)
    reach = onsets[k] if k < len(onsets) else pin.end
    first = bisect_right(dynamics, pin.start, key=lambda dynamic: dynamic.at)
    last = bisect_right(dynamics, reach, key=lambda dynamic: dynamic.at)
    return [d for d in dynamics[first:last] if level_of(d.name) is not None]


def _hairpin_swell(
    pin: _Stretch, level: float, goals: Sequence[Dynamic], settings: LoudnessSettings
) -> Swell:
    """Lay out a hairpin, to the dynamic at its end or by a set way."""
    if goals:
        goal = level_of(goals[0].name) or 0.0
        if (goal - level) * pin.direction > 0:
            return Swell(pin.start, min(pin.end, goals[0].at), level, goal)
    goal = level + pin.direction * settings.hairpin_steps
    return Swell(pin.start, pin.end, level, min(max(goal, SOFTEST), LOUDEST))


def growth_in(text: str) -> int:
    """Tell whether a text says to grow (1), to fall (-1), or neither (0)."""
    if FALLING.search(text):
        return -1
    return 1 if GROWING.search(text) else 0
