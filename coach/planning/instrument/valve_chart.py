"""Which valves each pitch takes: the fingering chart, from physics.

A valve adds tube.  Alone it lowers the horn by its interval; together, valves add
the tube that each adds alone, which is too little, so that combinations sound sharp
(most of all 1-3 and 1-2-3).  A compensating valve brings the missing tube for the
others while it is down.  Slides that the player pulls mend the rest, up to a limit.

References
----------
Tube lengths of an equal-tempered valve: 2^(s/12) - 1 of the open horn for s
semitones.  That a third valve is tuned so that 2-3 is in tune is common practice,
no published source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from coach.planning.instrument.partials import (
    CENTS_IN_SEMITONE,
    lay_partials,
    lowered_semitones,
    tube_length_cm,
    tube_ratio,
)
from coach.planning.instrument.placement import Placement

OPEN = "0"

STAND_IN = "3"
"""Stands in for 1-2, which is usual (common practice, no published source)."""


@dataclass(frozen=True, slots=True)
class ValveSide:
    """One horn with its valves; a double horn has two."""

    prefix: str
    """Letter before the valves: the thumb valve of a double horn; may be empty."""

    pedal_midi: int
    """Sounding key of the first partial with no valve down."""

    sound_mps: float
    """Speed of sound in the tube: with the pedal it gives the tube's length."""

    valve_semitones: tuple[float, ...]
    """How much each valve lowers the horn alone, from the first."""

    pull_cents: tuple[float, ...]
    """How much lower the player can make it with each valve's slide."""

    compensated_by: str
    """The valve that brings tube for the others; empty for none."""

    sharp_cents: float
    """A fingering that stays further out of tune than this is not used."""

    partial_offset_cents: tuple[float, ...]
    """How far each partial of this horn lies above the harmonic series."""

    used_partials: tuple[int, ...]
    """Partials that are used at all."""

    usual_from_midi: int
    """Lowest key that is usually played on this side."""

    usual_to_midi: int
    """Highest key that is usually played on this side."""

    most_alternates_count: int
    """How many fingerings beside the usual one are offered."""

    @property
    def length_cm(self) -> float:
        """Sounding length of the open tube."""
        return tube_length_cm(self.pedal_midi, self.sound_mps)


@dataclass(frozen=True, slots=True)
class _Fingering:
    """One way to press the valves."""

    valves: str
    lowers: float
    pull: float


@dataclass(frozen=True, slots=True)
class _Found:
    """A place of one key, with what decides whether it is the usual one."""

    place: Placement
    rank: tuple[bool, int, bool, float, float]


def lay_valve_chart(
    sides: Sequence[ValveSide], lowest: int, highest: int
) -> Mapping[int, tuple[Placement, ...]]:
    """Find every fingering for every pitch of a valved instrument.

    Parameters
    ----------
    sides : sequence of ValveSide
        One, or two for a double horn.
    lowest, highest : int
        Range, in sounding keys.

    Returns
    -------
    mapping
        For each key that can be played its fingerings.  The usual one comes
        first: on the usual side, with the least tube, and of equally long ones not 3
        alone but the one that is best in tune, with slides pulled and then without.
    """
    found: dict[int, list[_Found]] = defaultdict(list)
    for side in sides:
        for key in range(lowest, highest + 1):
            found[key].extend(_fingerings(side, key))
    most = 1 + max(side.most_alternates_count for side in sides)
    return {key: _usual_first(places)[:most] for key, places in found.items() if places}


def _fingerings(side: ValveSide, key: int) -> Iterator[_Found]:
    """Find the fingerings of one key on one side."""
    is_other_side = not side.usual_from_midi <= key <= side.usual_to_midi
    for k, above in enumerate(lay_partials(side.partial_offset_cents)):
        if k + 1 not in side.used_partials:
            continue
        too_high = side.pedal_midi + above - key
        for way in _ways(side):
            raw = (too_high - way.lowers) * CENTS_IN_SEMITONE
            cents = max(0.0, raw - way.pull) if raw > 0 else raw
            if abs(cents) > side.sharp_cents:
                continue
            valves = side.prefix + way.valves
            place = Placement(side.prefix + (way.valves or OPEN), None, k + 1, valves)
            is_stand_in = way.valves == STAND_IN
            rank = (is_other_side, round(too_high), is_stand_in, abs(cents), abs(raw))
            yield _Found(replace(place, cents=cents), rank)


def _ways(side: ValveSide) -> Iterator[_Fingering]:
    """Press the valves in every way, none first."""
    numbers = range(len(side.valve_semitones))
    for size in range(len(numbers) + 1):
        for pressed in combinations(numbers, size):
            valves = "".join(str(k + 1) for k in pressed)
            lowers = lowered_semitones(_ratio(side, valves))
            yield _Fingering(valves, lowers, sum(side.pull_cents[k] for k in pressed))


def _ratio(side: ValveSide, valves: str) -> float:
    """Tell how much longer the tube is with some valves down."""
    main = side.compensated_by if side.compensated_by in valves else ""
    others = valves.replace(main, "") if main else valves
    added = sum(tube_ratio(side.valve_semitones[int(v) - 1]) - 1 for v in others)
    base = tube_ratio(side.valve_semitones[int(main) - 1]) if main else 1.0
    return base * (1.0 + added)


def _usual_first(found: Sequence[_Found]) -> tuple[Placement, ...]:
    """Order fingerings by rank; all but the first are alternates."""
    places = [item.place for item in sorted(found, key=lambda item: item.rank)]
    return (places[0], *(replace(place, is_alternate=True) for place in places[1:]))
