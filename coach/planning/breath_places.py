"""Where a breath can be taken, and every way to take it.

A gap lies between two neighbouring notes.  A way to breathe there uses the written
rest as it stands, or takes time from the note before; the note after never moves.

Conventions
-----------
Gaps are named by the index of the note before.  Times are in seconds of run time.
Air is a fraction of capacity.
"""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from coach.planning.air import AirSettings, NoteAir, air_of, still_empty
from coach.planning.breath_costs import AirCosts, BreathSettings, place_cost
from coach.planning.lungs import Player
from coach.score.phrase import NoteTime, Part, time_notes
from coach.score.tempo import TempoMap

TINY_S = 1e-9
"""Below any time that a player or a clock can tell apart."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to breathe in a gap."""

    gap_s: float
    """Time to breathe."""

    taken_s: float
    """Taken from the written length of the note before; 0 on a rest."""

    cost: float
    """What it costs the music, place and all."""

    used: float
    """Air that the note before now uses."""

    sounding_s: float
    """How long the note before now sounds."""

    still_empty: float
    """Share of the empty room that stays empty after it."""


@dataclass(frozen=True, slots=True)
class Places:
    """A part laid out for the search: what each note uses, where breaths may be."""

    times: tuple[NoteTime, ...]
    """When each note sounds, as written."""

    airs: tuple[NoteAir, ...]
    """How each note uses air."""

    used: tuple[float, ...]
    """Air that each whole note uses."""

    sounding_s: tuple[float, ...]
    """How long each whole note sounds."""

    are_high: tuple[bool, ...]
    """Whether each note counts as high."""

    ways: tuple[tuple[Way, ...], ...]
    """For each gap, every way to breathe there by free choice; shortest first."""

    asked_ways: tuple[tuple[Way, ...], ...]
    """The same where someone insists on a breath."""

    marked: frozenset[int]
    """Gaps with a mark on the page."""

    costs: AirCosts
    """What a level of air costs."""

    full: float
    """Level that a full breath reaches."""


def lay_places(
    part: Part,
    tempo_map: TempoMap,
    *,
    ends: Sequence[float],
    player: Player,
    air: AirSettings,
    costs: BreathSettings,
    effort: Sequence[float] | None = None,
) -> Places:
    """Lay a part out for the search.

    Parameters
    ----------
    part : Part
        What is played.
    tempo_map : TempoMap
        At which speeds.
    ends : sequence of float, length n - 1
        How likely a phrase ends in each gap, 0 to 1.
    player : Player
        Whose lungs.
    air : AirSettings
        The air model.
    costs : BreathSettings
        The weights.
    effort : sequence of float, length n, optional
        Factor on the air of each note, for tongue and arm.

    Returns
    -------
    Places
        Everything that does not depend on the player's locks.
    """
    notes = part.notes
    times = time_notes(part, tempo_map)
    efforts = effort if effort is not None else [1.0] * len(notes)
    airs = tuple(
        air_of(note, time.end - time.start, player, air, factor)
        for note, time, factor in zip(notes, times, efforts, strict=True)
    )
    ways, asked = [], []
    for k in range(len(notes) - 1):
        rest_s = times[k + 1].start - times[k].end
        length_s = times[k].end - times[k].start
        place = place_cost(notes, k, ends[k], costs)
        maker = _WayMaker(airs[k], rest_s, length_s, place, player, air, costs)
        ways.append(maker.ways(costs.most_taken_share))
        asked.append(maker.ways(costs.most_taken_if_asked_share))
    return Places(
        times=times,
        airs=airs,
        used=tuple(a.used_l(a.sounding_s) / player.capacity_l for a in airs),
        sounding_s=tuple(a.sounding_s for a in airs),
        are_high=tuple(note.sounding.midi >= costs.high_from_midi for note in notes),
        ways=tuple(ways),
        asked_ways=tuple(asked),
        marked=frozenset(k for k, note in enumerate(notes[:-1]) if note.breath_mark),
        costs=AirCosts(
            half=air.half_share,
            low=costs.low_share,
            empty=air.empty_share,
            half_weight=costs.below_half_weight,
            high_weight=costs.high_below_half_weight,
            low_weight=costs.below_low_weight,
            dry_weight=costs.dry_weight,
        ),
        full=air.full_share,
    )


@dataclass(frozen=True, slots=True)
class _WayMaker:
    """Everything about one gap that its ways have in common."""

    note_air: NoteAir
    rest_s: float
    length_s: float
    place: float
    player: Player
    air: AirSettings
    costs: BreathSettings

    def ways(self, most_share: float) -> tuple[Way, ...]:
        """List the ways that take at most a share of the note, shortest first."""
        most_s = self.length_s * most_share
        lengths = [self.rest_s] if self.rest_s > TINY_S else []
        lengths += [
            length
            for length in self.costs.breath_lengths_s
            if TINY_S < length - self.rest_s <= most_s
        ]
        return tuple(
            self._way(length)
            for length in lengths
            if length >= self.costs.shortest_breath_s
        )

    def _way(self, gap_s: float) -> Way:
        """Weigh a breath of one length."""
        taken_s = max(0.0, gap_s - self.rest_s)
        plays_s = min(self.note_air.sounding_s, self.length_s - taken_s)
        lost_share = 1.0 - plays_s / self.note_air.sounding_s
        cost = self.place
        if taken_s == 0.0:
            is_long = gap_s >= self.costs.long_rest_s
            cost += 0.0 if is_long else self.costs.on_rest_weight
        else:
            cost += self.costs.off_rest_weight
        cost += self.costs.taken_weight * lost_share * lost_share
        return Way(
            gap_s=gap_s,
            taken_s=taken_s,
            cost=cost,
            used=self.note_air.used_l(plays_s) / self.player.capacity_l,
            sounding_s=plays_s,
            still_empty=still_empty(gap_s, self.air),
        )


def choose_ways(
    places: Places, must: AbstractSet[int], must_not: AbstractSet[int]
) -> tuple[list[tuple[Way, ...]], list[bool], list[int]]:
    """Narrow the ways down to what the page and the player ask for.

    Parameters
    ----------
    places : Places
        The part, laid out.
    must, must_not : set of int
        The player's locks; they go before the page's marks, and a gap in both
        is kept free.

    Returns
    -------
    ways : list of tuple of Way
        For each gap, the ways that are allowed; none where no breath may be.
    forced : list of bool
        For each gap, whether one of them has to be taken.
    impossible : list of int
        Gaps where a breath is asked for and cannot be had.
    """
    ways = list(places.ways)
    forced = [False] * len(ways)
    impossible = []
    for k in must_not:
        ways[k] = ()
    for k in sorted(must | (places.marked - must_not)):
        if k in must_not or not places.asked_ways[k]:
            impossible.append(k)
            continue
        ways[k] = places.asked_ways[k]
        forced[k] = True
    return ways, forced, impossible
