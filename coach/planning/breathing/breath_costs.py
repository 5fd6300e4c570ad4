"""What a breath costs the music, and what lack of air costs the player.

Conventions
-----------
Costs have no unit; lower is better.  Every cost of lacking air falls, or stays,
as the air rises: more air is never worse.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from coach.errors import ConfigError
from coach.score.phrase import Bar, NoteTime, Part

NEIGHBOURS = 2
"""Notes on each side that a note is compared with."""

MOST_NEAR = 12
"""No more notes on each side count as near, however fast they are."""

SAME_PLACE = 1e-6
"""Places nearer than this, in quarter notes, are one."""


@dataclass(frozen=True, slots=True)
class BreathSettings:
    """Weights of a breath plan: the keys of ``config/breaths.toml``."""

    breath_lengths_s: tuple[float, ...]
    """Lengths to choose from where a note gives time, in seconds; increasing."""

    shortest_breath_s: float
    """Nothing shorter counts as a breath, in seconds."""

    enough_rest_s: float
    """A rest of this length is used as it stands: the note keeps its end."""

    most_taken_share: float
    """Most that may be taken from the note before, as a share of its length."""

    most_ways_count: int
    """Lengths to choose from at one place: the longest that the note can spare."""

    off_rest_weight: float
    """A breath that takes time from a note where no phrase ends."""

    full_from_share: float
    """A full breath gets to this level at least."""

    full_from_s: float
    """A full breath lasts this long at least, in seconds."""

    place_weight: float
    """A breath where no phrase ends."""

    rest_place_share: float
    """What is left of the place's weights where the notes are apart anyway."""

    rest_from_s: float
    """A rest of this length sets notes apart, in seconds; a shorter one in part."""

    unused_rest_weight: float
    """A rest of that length where a phrase ends, and no breath is taken."""

    short_note_weight: float
    """A breath after a note that is shorter than its neighbours."""

    leading_weight: float
    """A breath just before the beat that a group leads to."""

    near_s: float
    """A likelier phrase end draws breaths to itself from so far, in seconds."""

    near_weight: float
    """A breath near a likelier phrase end, times how much likelier that is."""

    barline_weight: float
    """A breath between a pickup and the bar that it leads into."""

    last_of_group_weight: float
    """A breath just before the last note of a beat."""

    slur_weight: float
    """A breath inside a slur."""

    grace_weight: float
    """A breath between a grace note and its main note."""

    taken_weight: float
    """Times the square of the share taken from the note before."""

    taken_s_weight: float
    """For each second taken from the note before."""

    below_half_weight: float
    """For each second and share of capacity below half."""

    high_below_half_weight: float
    """For each high note, times how far below half it begins."""

    high_from_midi: float
    """Notes from this key number up count as high."""

    low_share: float
    """Level that is not planned below without need."""

    below_low_weight: float
    """For each second and share of capacity below that."""

    dry_weight: float
    """For each note, times how far below empty it ends."""

    air_steps_count: int
    """A breath is planned to a whole one of so many steps of the capacity."""

    most_states_count: int
    """States kept at each place before the two most alike are merged."""

    most_gap_share: float
    """Searched again with more states while the proved gap is larger than this."""

    most_rounds_count: int
    """Searches at most; at least 1."""

    def __post_init__(self) -> None:
        """Refuse numbers that no plan can be made with."""
        increasing = all(a < b for a, b in pairwise((0.0, *self.breath_lengths_s)))
        wrong = {
            "breath_lengths_s must increase": not increasing,
            "most_taken_share must lie between 0 and 1": not (
                0.0 <= self.most_taken_share < 1.0
            ),
            "no weight may be below 0": any(
                getattr(self, name) < 0.0 for name in self.__slots__ if "weight" in name
            ),
            "air_steps_count and the counts for the search must be at least 1": min(
                self.air_steps_count,
                self.most_ways_count,
                self.most_states_count,
                self.most_rounds_count,
            )
            < 1,
            "rest_from_s must be above 0": self.rest_from_s <= 0.0,
        }
        for sentence, is_wrong in wrong.items():
            if is_wrong:
                raise ConfigError(
                    f"The settings for breaths do not work: {sentence}.",
                    "Mend them in your player file.",
                )


@dataclass(frozen=True, slots=True)
class AirCosts:
    """What lack of air costs while notes sound.

    Levels are given as depth: how far below half, as a fraction of capacity.
    """

    low_depth: float
    """Depth that is not planned beyond without need."""

    empty_depth: float
    """Depth beyond which nothing more can be blown."""

    half_weight: float
    """For each second and share below half."""

    low_weight: float
    """For each second and share below low at a note's end."""

    dry_weight: float
    """For each note and share below empty at its end."""

    def of_note(self, start: float, end: float, seconds: float, high: float) -> float:
        """Weigh one note by the air at its start and end.

        Parameters
        ----------
        start, end : float
            How far below half the air is, as a fraction of capacity.
        seconds : float
            How long it sounds.
        high : float
            Weight of being high; 0 for other notes.

        Returns
        -------
        float
            At least 0; never falls when both depths grow together.
        """
        if end <= 0.0:
            return 0.0
        start = max(start, 0.0)
        cost = self.half_weight * seconds * (start + end) / 2 + high * start
        if end > self.low_depth:
            cost += self.low_weight * seconds * (end - self.low_depth)
            if end > self.empty_depth:
                cost += self.dry_weight * (end - self.empty_depth)
        return cost


def place_costs(
    part: Part,
    ends: Sequence[float],
    times: Sequence[NoteTime],
    costs: BreathSettings,
) -> list[float]:
    """Weigh the place of every gap, whatever the length of the breath.

    Parameters
    ----------
    part : Part
        What is played, n notes.
    ends : sequence of float, length n - 1
        How likely a phrase ends in each gap, 0 to 1.
    times : sequence of NoteTime, length n
        When each note sounds, as written.
    costs : BreathSettings
        The weights.

    Returns
    -------
    list of float, length n - 1
        At least 0; 0 where a phrase surely ends outside a slur.
    """
    notes = part.notes
    lengths = [float(note.length) for note in notes]
    groups = _group_costs(part, lengths, costs)
    near = _best_near(ends, times, costs.near_s)
    weighed = []
    for k, end in enumerate(ends):
        rest_s = times[k + 1].start - times[k].end
        longest = max(lengths[max(0, k - NEIGHBOURS) : k + NEIGHBOURS + 1])
        cost = costs.place_weight + groups[k]
        cost += costs.short_note_weight * (1.0 - lengths[k] / longest)
        apart = min(1.0, rest_s / costs.rest_from_s)
        cost *= (1.0 - end) * (1.0 - apart * (1.0 - costs.rest_place_share))
        cost += costs.near_weight * (near[k] - end)
        if notes[k + 1].is_slurred:
            cost += costs.slur_weight
        if notes[k].is_grace:
            cost += costs.grace_weight
        weighed.append(cost)
    return weighed


def _best_near(
    ends: Sequence[float], times: Sequence[NoteTime], near_s: float
) -> list[float]:
    """Give the likeliest phrase end near each gap, itself taken in."""
    best = []
    first = last = 0
    for k in range(len(ends)):
        while times[k].end - times[first].end > near_s:
            first += 1
        while last < len(ends) and times[last].end - times[k].end <= near_s:
            last += 1
        best.append(max(ends[max(first, k - MOST_NEAR) : min(last, k + MOST_NEAR + 1)]))
    return best


def _group_costs(
    part: Part, lengths: Sequence[float], costs: BreathSettings
) -> list[float]:
    """Weigh what a breath in each gap does to the notes of one beat.

    A group of short notes leads to the next beat, and a pickup leads into its bar;
    so just before either is a bad place, and so is one before a group's last note.
    """
    felt = {bar.number: _felt_beat(bar) for bar in part.bars}
    weighed = []
    beat = 0.0
    for k, note in enumerate(part.notes):
        before = lengths[k - 1]
        is_short, is_pickup = before < beat, before <= beat and note.beat == 1
        beat, unit = felt[note.bar]
        into_beat = (note.beat.numerator / note.beat.denominator - 1.0) * unit % beat
        cost = costs.barline_weight if is_pickup else 0.0
        if is_short and min(into_beat, beat - into_beat) < SAME_PLACE:
            cost += costs.leading_weight
        elif is_short and abs(into_beat + lengths[k] - beat) < SAME_PLACE:
            cost += costs.last_of_group_weight
        weighed.append(cost)
    return weighed[1:]


def _felt_beat(bar: Bar) -> tuple[float, float]:
    """Give the length of a bar's felt beat and of its written unit, in quarters."""
    return float(bar.metre.beat), float(bar.metre.unit_beats)
