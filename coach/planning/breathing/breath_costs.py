"""What a breath costs the music, and what lack of air costs the player.

Long, since each of its many settings says what it means.

Conventions
-----------
Costs have no unit; lower is better.  Every cost of lacking air falls, or stays,
as the air rises: more air is never worse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from coach.score.phrase import Bar, NoteTime, Part
from coach.setting_kinds import refuse_together

NEIGHBOURS = 2
"""Notes on each side that a note is compared with."""

FAST_OF_BEAT = 4
"""Notes of which so many fill a beat, or more, make a fast run."""

MOST_NEAR = 12
"""No more notes on each side count as near, however fast they are."""

MOST_WORTH = 0.3
"""No quick breath gives more: a plan that asks for it would have none."""

SAME_DEPTH = 1e-9
"""Depths nearer than this, in shares of capacity, are one."""

SAME_PLACE = 1e-6
"""Places nearer than this, in quarter notes, are one."""


@dataclass(frozen=True, slots=True)
class BreathSettings:
    """Weights of a breath plan: the keys of ``config/breaths.toml``."""

    worth_share: float
    """A breath off a rest gives at least this share of capacity."""

    soonest_s: float
    """From one breath to the next at least this is played, in seconds."""

    soonest_in_need_s: float
    """The same where the player would otherwise be dry."""

    soonest_on_rest_s: float
    """The same where the later breath uses a rest as it stands; 0 for who is dry."""

    least_heard_s: float
    """A note that gives time is heard for this long at least, in seconds."""

    longest_taken_s: float
    """No breath that takes from a note is longer, in seconds."""

    enough_rest_s: float
    """A rest of this length is used as it stands: the note keeps its end."""

    most_taken_share: float
    """Most that may be taken from the note before, as a share of its length."""

    most_ways_count: int
    """Lengths to choose from at one place, up to what the note can spare."""

    breath_weight: float
    """Any breath that takes time from a note, wherever it stands."""

    off_rest_weight: float
    """A breath that takes time from a note where no phrase ends."""

    gasp_weight: float
    """A breath drawn as a gasp."""

    full_from_s: float
    """A breath from this length on is called full, in seconds."""

    place_weight: float
    """A breath where no phrase ends."""

    rest_place_share: float
    """What is left of the place's weights where the notes are apart anyway."""

    rest_from_s: float
    """A rest of this length sets notes apart, in seconds; a shorter one in part."""

    unused_end_weight: float
    """Where a phrase of a slow line surely ends, and no breath is taken."""

    unused_from_share: float
    """From this chance of a phrase end on that counts; below 1."""

    slow_pace_s: float
    """Notes of this length on the whole make a slow line, in seconds."""

    fast_pace_s: float
    """Notes of this length make a fast one, in seconds; less than the slow."""

    unused_hold_weight: float
    """A fermata, and no breath is taken."""

    unused_strain_weight: float
    """The end of a strain, where a repeat sign turns back, and no breath is taken."""

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

    torn_weight: float
    """A breath before the last note of a phrase, times how much likelier it ends
    after that note."""

    barline_weight: float
    """A breath between a pickup and the bar that it leads into."""

    last_of_group_weight: float
    """A breath just before the last note of a beat."""

    off_downbeat_weight: float
    """In a run of even short notes, a breath that follows no first note of a beat."""

    weak_beat_weight: float
    """There, one that follows a beat which does not begin the bar."""

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
    """For each second in which nothing more can be blown."""

    dry_note_weight: float
    """For each note at whose end nothing more can be blown."""

    leave_out_weight: float
    """A breath for which notes are left out."""

    snatched_weight: float
    """Where breaths between two full ones, none of which ends a phrase, cost more than
    this, notes may be left out though nobody would be dry."""

    left_note_weight: float
    """Each note left out that is repeated, passes, or leaves and returns."""

    left_leap_weight: float
    """Each other note left out."""

    left_half_weight: float
    """More for one that stands halfway through the beat."""

    most_left_out_count: int
    """Adjacent notes left out for one breath at most."""

    turning_notes_count: int
    """A note above or below so many on both sides is a turning point."""

    fermata_hold_share: float
    """A fermata is held for so many times its written length; at least 1."""

    alike_weight: float
    """A place of a repeat that is breathed at in one pass and not in another."""

    change_weight: float
    """A place breathed at anew, or no more, after an edit or a notch of tempo."""

    sure_within_share: float
    """A breath is sure that stands with tempo and air so much more or less ..."""

    sure_within_bpm: int
    """... and at each whole beat a minute faster or slower up to this."""

    air_steps_count: int
    """A breath is planned to a whole one of so many steps of the capacity."""

    most_states_count: int
    """States kept at each place before the two most alike are merged."""

    most_gap_share: float
    """Searched again more closely while the proved gap is larger than this."""

    most_rounds_count: int
    """Searches at most; at least 1."""

    def __post_init__(self) -> None:
        """Refuse numbers that no plan can be made with."""
        wrong = {
            "worth_share must lie between 0 and 0.3": not (
                0.0 < self.worth_share <= MOST_WORTH
            ),
            "no time may be below 0": min(
                self.soonest_s,
                self.soonest_in_need_s,
                self.soonest_on_rest_s,
                self.least_heard_s,
                self.longest_taken_s,
            )
            < 0.0,
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
            "slow_pace_s must be above fast_pace_s": (
                self.slow_pace_s <= self.fast_pace_s
            ),
            "a fermata must not be shorter than its note": (
                self.fermata_hold_share < 1.0
            ),
        }
        refuse_together("breaths", wrong)


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
    """For each second beyond empty."""

    dry_note_weight: float
    """For each note that ends beyond empty."""

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
        cost = 0.0
        if end > self.empty_depth + SAME_DEPTH:
            dry = min(1.0, (end - self.empty_depth) / (end - start))
            cost = self.dry_weight * seconds * dry + self.dry_note_weight
        end = min(end, self.empty_depth)
        start = min(max(start, 0.0), self.empty_depth)
        cost += self.half_weight * seconds * (start + end) / 2 + high * start
        if end > self.low_depth:
            cost += self.low_weight * seconds * (end - self.low_depth)
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
        joined = 1.0 - apart * (1.0 - costs.rest_place_share)
        following = ends[k + 1] if k + 1 < len(ends) else 1.0
        cost *= (1.0 - end) * joined
        cost += costs.torn_weight * max(0.0, following - end) * joined
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
    felt = {bar.number: felt_beat(bar) for bar in part.bars}
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
    return [
        cost + extra
        for cost, extra in zip(
            weighed[1:], _run_costs(part, lengths, felt, costs), strict=True
        )
    ]


def _run_costs(
    part: Part,
    lengths: Sequence[float],
    felt: Mapping[int, tuple[float, float]],
    costs: BreathSettings,
) -> Iterator[float]:
    """Weigh what a breath in each gap does to a run of even short notes.

    There a breath is least heard after a downbeat: the figure has come to its goal,
    and the rest of the beat is on the way to the next one.
    """
    for k, note in enumerate(part.notes[:-1]):
        beat, unit = felt[note.bar]
        around = lengths[max(0, k - NEIGHBOURS) : k + NEIGHBOURS + 1]
        is_run = (
            lengths[k] * FAST_OF_BEAT <= beat + SAME_PLACE
            and max(around) - min(around) < SAME_PLACE
        )
        place = (float(note.beat) - 1.0) * unit
        into_beat = place % beat
        if not is_run or place < SAME_PLACE:
            yield 0.0
        elif min(into_beat, beat - into_beat) < SAME_PLACE:
            yield costs.weak_beat_weight
        else:
            yield costs.off_downbeat_weight


def felt_beat(bar: Bar) -> tuple[float, float]:
    """Give the length of a bar's felt beat and of its written unit, in quarters."""
    return float(bar.metre.beat), float(bar.metre.unit_beats)
