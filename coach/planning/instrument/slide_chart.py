"""Where the slide must be for each pitch: the position chart, from physics.

A tube that is 2^(d/12) times as long sounds d semitones lower, and the slide makes
it longer by twice its way out.  So a partial that lies d semitones too high for a
pitch is in tune at ``x = (L / 2) (2^(d/12) - 1)``, with L the length in first
position, valve tubing included.  Positions are counted in semitones from first:
position ``1 + d``, written as the nearest whole one with ``#`` before it where the
slide comes in from there, ``b`` where it goes further out.

References
----------
Equal-tempered slide geometry as above; usual positions follow the rule "the
nearest position", as in K. W. Kennan, The Technique of Orchestration (1952),
pp. 136-141 (OEIS A309909), leaving out partials that no player uses first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from coach.planning.instrument.partials import (
    CENTS_IN_SEMITONE,
    lay_partials,
    tube_length_cm,
    tube_ratio,
)
from coach.planning.instrument.placement import Placement


@dataclass(frozen=True, slots=True)
class SlideTube:
    """The open horn and how its slide is used."""

    pedal_midi: int
    """Sounding key of the first partial in first position."""

    sound_mps: float
    """Speed of sound in the tube: with the pedal it gives the tube's length."""

    reach_cm: float
    """How far the slide goes out, in centimetres."""

    farthest_steps: int
    """Positions on the open horn."""

    lip_up_cents: float
    """How flat a partial may be in first, where the slide cannot mend it."""

    sign_cents: float
    """A place this far from its position is written raised or lowered."""

    valve_usual_from_steps: int
    """Where the open horn is out this far, a valve is the usual choice."""

    partial_offset_cents: tuple[float, ...]
    """How far each partial of this horn lies above the harmonic series."""

    usual_partials: tuple[int, ...]
    """Partials that the usual choice may come from."""

    spare_partials: tuple[int, ...]
    """Partials that are used, but never for the usual choice."""

    @property
    def length_cm(self) -> float:
        """Sounding length of the tube in first position."""
        return tube_length_cm(self.pedal_midi, self.sound_mps)


@dataclass(frozen=True, slots=True)
class SlideValve:
    """A valve, or two together, on a slide instrument."""

    valves: str
    """What is pressed, a letter for each; written before the position's number."""

    lowers_semitones: float
    """How much lower the horn sounds with it."""

    farthest_steps: int
    """Positions that the slide has room for."""

    used_partials: tuple[int, ...]
    """Partials that are played with it."""


def lay_slide_chart(
    tube: SlideTube, valves: Sequence[SlideValve], lowest: int, highest: int
) -> Mapping[int, tuple[Placement, ...]]:
    """Find every place for every pitch of a slide instrument.

    Parameters
    ----------
    valves : sequence of SlideValve
        Ways to lower it; may be empty.
    lowest, highest : int
        Range, in sounding keys.

    Returns
    -------
    mapping
        For each key that can be played its places, the usual one first (the
        nearest of the open horn, or a valve where that lies far out) and the others
        by how far out they lie.
    """
    used = (*tube.usual_partials, *tube.spare_partials)
    open_horn = SlideValve("", 0.0, tube.farthest_steps, used)
    found: dict[int, list[Placement]] = defaultdict(list)
    for way in (open_horn, *valves):
        for key, place in _places(tube, way, lowest, highest):
            found[key].append(place)
    return {key: _usual_first(tube, places) for key, places in sorted(found.items())}


def _places(
    tube: SlideTube, way: SlideValve, lowest: int, highest: int
) -> Iterator[tuple[int, Placement]]:
    """Find every place of one tube, partial by partial."""
    pedal = tube.pedal_midi - way.lowers_semitones
    for k, above in enumerate(lay_partials(tube.partial_offset_cents)):
        if k + 1 not in way.used_partials:
            continue
        for key in range(lowest, highest + 1):
            place = _place(tube, way, k + 1, pedal + above - key)
            if place is not None:
                yield key, place


def _place(
    tube: SlideTube, way: SlideValve, partial: int, too_high: float
) -> Placement | None:
    """Find the slide for a partial so many semitones too high, if there is one."""
    cents = min(0.0, too_high * CENTS_IN_SEMITONE)
    if cents < -tube.lip_up_cents:
        return None
    steps = max(0.0, too_high)
    half_length_cm = tube.length_cm * tube_ratio(way.lowers_semitones) / 2
    out_cm = half_length_cm * (tube_ratio(steps) - 1)
    number = 1 + round(steps)
    if out_cm > tube.reach_cm or number > way.farthest_steps:
        return None
    label = f"{_sign(steps, tube.sign_cents)}{way.valves}{number}"
    return Placement(label, out_cm, partial, way.valves, cents, number=number)


def _sign(steps: float, sign_cents: float) -> str:
    """Write how a place differs from the nearest whole position."""
    off_cents = (steps - round(steps)) * CENTS_IN_SEMITONE
    if abs(off_cents) < sign_cents:
        return ""
    return "b" if off_cents > 0 else "#"


def _usual_first(tube: SlideTube, places: list[Placement]) -> tuple[Placement, ...]:
    """Order places: the usual one, then those nearer to first."""

    def distance(place: Placement) -> tuple[bool, bool, float]:
        is_spare = place.partial not in tube.usual_partials
        is_far = not place.valves and place.number >= tube.valve_usual_from_steps
        is_odd = is_far or (bool(place.valves) and not needs_valve)
        return is_spare, is_odd, place.cm or 0.0

    needs_valve = all(
        place.valves or place.number >= tube.valve_usual_from_steps for place in places
    )
    usual = min(places, key=distance)
    others = [place for place in places if place is not usual]
    if not usual.valves:  # a valve that only leads further out buys nothing
        reach = usual.cm or 0.0
        others = [p for p in others if not p.valves or (p.cm or 0.0) <= reach]
    others.sort(key=lambda place: place.cm or 0.0)
    return (usual, *(replace(place, is_alternate=True) for place in others))
