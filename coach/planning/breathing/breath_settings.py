"""What is weighed in choosing where to breathe, and for how long.

Long, since each key of the file has its own words.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from coach.setting_kinds import refuse_together

MOST_WORTH = 0.3
"""No quick breath gives more: a plan that asks for it would have none."""


@dataclass(frozen=True, slots=True)
class BreathSettings:
    """Weights of a breath plan: the keys of ``config/breaths.toml``."""

    worth_share: float
    """A breath gives at least this share of capacity, unless on a clear rest ..."""

    worth_at_end_share: float
    """... and this where it fills the lungs at the end of a slow line."""

    soonest_s: float
    """From one breath to the next at least this is played, in seconds."""

    soonest_at_end_s: float
    """The same where the later one stands at the end of a slow line."""

    soonest_in_need_s: float
    """The same where the player would otherwise be dry or squeeze, or tear the end."""

    snatched_weight: float
    """A breath that only need lets follow so soon."""

    soonest_on_rest_s: float
    """The same where the later one has a rest to breathe on; 0 for who is dry."""

    least_heard_s: float
    """A note that gives time is heard for this long at least, in seconds."""

    least_heard_longer_s: float
    """The same of a note that is longer than the next."""

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
    """A breath drawn as a gasp; times its length in full breaths where it is longer."""

    full_from_s: float
    """A breath from this length on is called full, in seconds."""

    about_full_share: float
    """If no more than this share of capacity is lacking after it; else deep."""

    place_weight: float
    """A breath where no phrase ends."""

    rest_place_share: float
    """What is left of the place's weights where the notes are apart anyway."""

    rest_from_s: float
    """A rest of this length sets notes apart, in seconds; a shorter one in part."""

    unused_end_weight: float
    """Where a phrase of a slow line surely ends, and no breath is taken."""

    out_first_half_share: float
    """How much of ``below_half_weight`` counts for who breathes out first, 0 to 1."""

    out_first_end_share: float
    """How much of ``unused_end_weight`` counts for them, 0 to 1."""

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

    slur_in_bar_weight: float
    """More for that anywhere but at a bar line."""

    trill_weight: float
    """A breath between a trill and the note that it leads to, for no rest."""

    grace_weight: float
    """A breath after a grace note, or between a trill and those that close it."""

    taken_weight: float
    """Times the square of the share taken from the note before."""

    taken_s_weight: float
    """For each second taken from the note before."""

    clipped_s_weight: float
    """More for each second beyond a full breath that leaves no long note."""

    still_long_s: float
    """A note that sounds for so long is a long one still."""

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

    left_grace_weight: float
    """A grace note that comes quickly before its main note."""

    left_note_weight: float
    """Each note left out that is repeated, passes, or leaves and returns."""

    left_leap_weight: float
    """Each other note left out."""

    left_half_weight: float
    """More for one that stands halfway through the beat."""

    most_left_out_count: int
    """Adjacent notes left out for one breath at most."""

    quickest_felt_s: float
    """Beats of the page that are quicker are felt several as one."""

    turning_notes_count: int
    """A note above or below so many on both sides is a turning point."""

    fermata_hold_share: float
    """A fermata is held for so many times its written length; at least 1."""

    pass_weight: float
    """A place of the page that is breathed at in one pass and not in another."""

    alike_weight: float
    """The same where the music is written out again, or a bar goes like others."""

    as_long_weight: float
    """A breath that takes another time than in another pass, or the same music."""

    goal_breath_weight: float
    """A place breathed at in the page's tempo, and left out in a slower one."""
    change_weight: float
    """A place breathed at anew, or no more, after an edit or a notch of tempo."""

    low_told_share: float
    """So much of the playing below half, and the player is told, 0 to 1."""

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
            "worth_at_end_share must lie between 0 and worth_share": not (
                0.0 < self.worth_at_end_share <= self.worth_share
            ),
            "out_first_end_share must lie between 0 and 1": not (
                0.0 <= self.out_first_end_share <= 1.0
            ),
            "no time may be below 0": min(
                self.soonest_s,
                self.soonest_at_end_s,
                self.soonest_in_need_s,
                self.soonest_on_rest_s,
                self.least_heard_longer_s,
                self.longest_taken_s,
            )
            < 0.0,
            "least_heard_longer_s must be at most least_heard_s": (
                self.least_heard_longer_s > self.least_heard_s
            ),
            "out_first_half_share must lie between 0 and 1": not (
                0.0 <= self.out_first_half_share <= 1.0
            ),
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
            "full_from_s must be above 0": self.full_from_s <= 0.0,
            "slow_pace_s must be above fast_pace_s": (
                self.slow_pace_s <= self.fast_pace_s
            ),
            "a fermata must not be shorter than its note": (
                self.fermata_hold_share < 1.0
            ),
        }
        refuse_together("breaths", wrong)

    def of_gasp(self, gap_s: float) -> float:
        """Weigh a gasp of some seconds: who has time for a full breath needs none."""
        return self.gasp_weight * max(1.0, gap_s / self.full_from_s)

    def of_taken(self, lost_s: float, whole_s: float) -> float:
        """Weigh what a note of some seconds loses to the breath after it."""
        spared_s = max(self.full_from_s, whole_s - self.still_long_s)
        return (
            self.taken_s_weight * lost_s
            + self.taken_weight * (lost_s / whole_s) ** 2
            + self.clipped_s_weight * max(0.0, lost_s - spared_s)
        )

    def played_on(
        self, high_from_midi: float | None, *, is_out_first: bool
    ) -> BreathSettings:
        """Give the same for an instrument.

        Parameters
        ----------
        high_from_midi : float or None
            Notes from this key number up are its high ones; None as they are.
        is_out_first : bool
            Whether its players breathe out first, and so not at each line's end.
        """
        if high_from_midi is None:
            high_from_midi = self.high_from_midi
        played = replace(self, high_from_midi=high_from_midi)
        if not is_out_first:
            return played
        return replace(
            played,
            unused_end_weight=self.unused_end_weight * self.out_first_end_share,
            below_half_weight=self.below_half_weight * self.out_first_half_share,
        )
