"""What a breath costs the music, and what lack of air costs the player.

Conventions
-----------
Costs have no unit; lower is better.  Every cost of lacking air falls, or stays,
as the air rises: more air is never worse.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coach.score.note import Note


@dataclass(frozen=True, slots=True)
class BreathSettings:
    """Weights of a breath plan: the keys of ``config/breaths.toml``."""

    breath_lengths_s: tuple[float, ...]
    """Lengths to choose from where time is taken from a note, in seconds."""

    shortest_breath_s: float
    """Nothing shorter counts as a breath, in seconds."""

    most_taken_share: float
    """Most that may be taken from the note before, as a share of its length."""

    most_taken_if_asked_share: float
    """The same where the player or the page insists."""

    long_rest_s: float
    """A breath on a rest of this length costs nothing, in seconds."""

    on_rest_weight: float
    """A breath on a shorter rest."""

    off_rest_weight: float
    """A breath that takes time from a note."""

    full_from_share: float
    """A full breath gets to this level at least."""

    full_from_s: float
    """A full breath lasts this long at least, in seconds."""

    place_weight: float
    """A breath where no phrase ends."""

    short_note_weight: float
    """A breath after a note that is shorter than its neighbours."""

    leading_weight: float
    """A breath just before the beat that a group leads to."""

    last_of_group_weight: float
    """A breath just before the last note of a beat."""

    slur_weight: float
    """A breath inside a slur."""

    grace_weight: float
    """A breath between a grace note and its main note."""

    taken_weight: float
    """Times the square of the share taken from the note before."""

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

    most_labels_count: int
    """States kept at each place before the two most alike are merged."""

    most_gap_share: float
    """Searched again with more states while the proved gap is larger than this."""

    most_rounds_count: int
    """Searches at most."""


@dataclass(frozen=True, slots=True)
class AirCosts:
    """What a level of air costs while notes sound."""

    half: float
    """Level where the top half ends."""

    low: float
    """Level that is not planned below without need."""

    empty: float
    """Level below which nothing more can be blown."""

    half_weight: float
    """For each second and share below half."""

    high_weight: float
    """For each high note and share below half at its start."""

    low_weight: float
    """For each second and share below low at a note's end."""

    dry_weight: float
    """For each note and share below empty at its end."""

    def of_note(
        self, before: float, after: float, seconds: float, *, is_high: bool
    ) -> float:
        """Weigh one note by the air at its start and end.

        Parameters
        ----------
        before, after : float
            Air, as a fraction of capacity.
        seconds : float
            How long it sounds.
        is_high : bool
            Counts as high.

        Returns
        -------
        float
            At least 0; never grows when both levels rise together.
        """
        below_at_end = self.half - after
        if below_at_end <= 0.0:
            return 0.0
        below_at_start = max(0.0, self.half - before)
        cost = self.half_weight * seconds * (below_at_start + below_at_end) / 2
        if is_high:
            cost += self.high_weight * below_at_start
        if after < self.low:
            cost += self.low_weight * seconds * (self.low - after)
            cost += self.dry_weight * max(0.0, self.empty - after)
        return cost


def place_cost(
    notes: Sequence[Note], k: int, phrase_end: float, costs: BreathSettings
) -> float:
    """Weigh the place after a note, whatever the length of the breath.

    Parameters
    ----------
    notes : sequence of Note
        All notes of the part.
    k : int
        The note before the gap.
    phrase_end : float
        How likely a phrase ends here, 0 to 1.
    costs : BreathSettings
        The weights.

    Returns
    -------
    float
        At least 0; 0 where a phrase surely ends.
    """
    before, after = notes[k], notes[k + 1]
    cost = costs.place_weight
    longest = max(note.length for note in notes[max(0, k - 2) : k + 3])
    cost += costs.short_note_weight * (1.0 - float(before.length / longest))
    if before.length < 1 and after.onset == before.end:
        if after.beat.denominator == 1:
            cost += costs.leading_weight
        elif (after.beat * 2).denominator > 1 and _ends_on_beat(after):
            cost += costs.last_of_group_weight
    cost *= 1.0 - phrase_end
    if after.is_slurred:
        cost += costs.slur_weight
    if before.is_grace:
        cost += costs.grace_weight
    return cost


def _ends_on_beat(note: Note) -> bool:
    """Tell whether a note is the last of its beat, counting in quarter notes."""
    return note.end.denominator == 1
