"""What counts as rushed, late, uneven or not to be judged: ``config/hearing.toml``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TimingSettings:
    """What counts as ahead and behind, as ``[timing]`` has it."""

    off_s: float
    """So far off is heard in an ensemble."""

    back_s: float
    """A stretch goes on until it is nearer than this."""

    drift_share: float
    """A tempo that differs by this share is noticed."""

    drift_notes: int
    """Over at least so many notes in a row."""

    least_notes: int
    """A stretch has at least so many notes."""

    smooth_notes: int
    """Single notes are smoothed over so many."""

    late_s: float
    """So late after a breath is told."""

    own_tempo_share: float
    """A tempo of its own differs from the click's by more than this share."""

    line_factor: float
    """Another line than the middle one has so many times the notes beside it."""


@dataclass(frozen=True, slots=True)
class SwingSettings:
    """What counts as swung, as ``[swing]`` has it."""

    least_count: int
    """At least so many pairs tell of it; ..."""

    least_share: float
    """... their second notes are behind by this share of a pair, ..."""

    least_s: float
    """... and by no less than this, ..."""

    held_share: float
    """... and this share of them by half of it at least."""


@dataclass(frozen=True, slots=True)
class GapSettings:
    """Which gaps are breaths, as ``[breaths]`` has it."""

    least_s: float
    """A gap from here on is a breath where one is planned ..."""

    unplanned_s: float
    """... and elsewhere from here on ..."""

    usual_factor: float
    """... if it is so many times as long as those ..."""

    usual_share: float
    """... which this share of the gaps is no longer than, after notes alike ..."""

    alike_factor: float
    """... which last at most so many times longer or shorter, ..."""

    near_notes: int
    """... at most so many notes away on either side, ..."""

    least_notes: int
    """... and of which there are at least so many; where there are fewer, ..."""

    joined_share: float
    """... if notes are joined: their gaps are no longer than this share of them, ..."""

    joined_s: float
    """... or than this."""

    valley_db: float
    """In a breath the sound sinks at least so far."""


@dataclass(frozen=True, slots=True)
class SoundSettings:
    """What counts as uneven, thin or giving out, as ``[evenness]`` has it."""

    step_db: float
    """How much louder a step of dynamics is."""

    least_notes: int
    """Evenness is told from so many notes on, in phrases of three or more."""

    least_of_pitch_notes: int
    """A pitch that was heard so often is told against its own average."""

    least_turn_semitones: float
    """Pitches must turn about their phrase's own line so far to be told apart."""

    room_spread_db: float
    """A usual room spreads even levels so far by itself."""

    gave_out_share: float
    """A note gave out that lost more than this share of its due length ..."""

    gave_out_s: float
    """... and at least so much of it ..."""

    gave_out_db: float
    """... at a level so far below that of its phrase's start."""

    gave_out_over_noise_db: float
    """Notes that follow one nearer to the noise than this may be hidden in it."""

    gave_out_clear_db: float
    """Nearer to the noise than this a note seems softer and shorter than it is ..."""

    gave_out_noisy_db: float
    """... and gave out only so far below its phrase's start."""

    thin_db: float
    """Tone is thin from so much less upper sound on, the page's dynamics apart."""

    thin_notes: int
    """Told from so many last notes of a phrase together."""


@dataclass(frozen=True, slots=True)
class TrustSettings:
    """When nothing is said, and how sure the ear is, as ``[trust]`` has it."""

    shortest_s: float
    """A take shorter than this is not judged."""

    silent_db: float
    """Nothing in it is louder than this: silence."""

    over_noise_db: float
    """The horn stands at least so far over the noise."""

    noisy_db: float
    """Less than so far over it is doubtful."""

    clipped_share: float
    """Share of samples at full scale from which nothing is said."""

    doubtful_share: float
    """And from which it is doubtful."""

    loud_over_noise_db: float
    """What stands so far over the noise is loud ..."""

    loud_below_db: float
    """... and so is what lies at most so far below the loudest tenth: a sound with no
    pause in it leaves no noise to be held against."""

    faint_over_noise_db: float
    """A note that stands no farther out of the noise tells of no fault."""

    held_fit: float
    """Looks that fit a comb as well as this are a held pitch."""

    least_held_share: float
    """Share of the loud looks that are held pitches, for a horn."""

    some_held_share: float
    """In noise, this share of them tells that there is one."""

    least_explained_share: float
    """Share of the held pitches that are the page's, where it has them."""

    steady_s: float
    """Sound that keeps to a key for so long is a note ..."""

    least_steady_share: float
    """... and makes up this share of the held pitches, for a horn: speech glides."""

    least_found_share: float
    """Share of the notes reached that were found."""

    least_fit_share: float
    """The one times the other."""

    ring_db_per_s: float
    """A room that rings off slower than this is doubtful."""

    far_off_cents: float
    """A take farther off A4 = 440 Hz than this is told."""

    sure_fit: float
    """A note that fits by so much more than its rivals is sure."""
