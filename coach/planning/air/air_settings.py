"""The numbers of the air model, and which of them no lungs and no horn can have.

Where they come from stands in ``config/air.toml``.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from coach.setting_kinds import refuse_together


@dataclass(frozen=True, slots=True)
class AirSettings:
    """Numbers of the air model: the keys of ``config/air.toml``."""

    flow_f3_mf_lps: float
    """Flow of F3 at mezzo-forte, in litres per second."""

    reference_hz: float
    """Frequency of that F3."""

    pitch_power: float
    """Flow falls with frequency to this power."""

    loud_step_factor: float
    """Flow grows by this factor with each step of dynamics; greater than 1."""

    floor_lps: float
    """No note takes less than this, in litres per second."""

    staccato_share: float
    """Share of its written length that a staccato note sounds."""

    staccatissimo_share: float
    """Share of its written length that a staccatissimo note sounds."""

    detached_legato_share: float
    """Share of its written length that a note with dot and dash sounds."""

    accent_factor: float
    """Flow of an accented note against a plain one."""

    strong_accent_factor: float
    """Flow of a note with a strong accent against a plain one."""

    tongue_stroke_s: float
    """Air that a stroke of the tongue adds: what the note takes in this time."""

    legato_stroke_s: float
    """Air that a soft legato stroke adds: what the note takes in this time."""

    arm_share_per_m: float
    """Air that a metre of slide adds, as a share of the note's that it leads to."""

    full_share: float
    """Level that a full breath reaches."""

    half_share: float
    """Level where the top half ends."""

    empty_share: float
    """Level below which nothing more can be blown."""

    release_s: float
    """Letting go and opening: the flow in rises over about twice this, in seconds."""

    calm_fill_s: float
    """Time constant of the filling in a calm breath, in seconds."""

    gasp_fill_s: float
    """The same in a gasp, drawn as fast as the player can; at most the calm one."""

    shortest_tone_s: float
    """Nobody runs out of a long tone sooner, in seconds."""

    longest_tone_s: float
    """Nobody holds a long tone for longer, in seconds."""

    pair_note_s: float
    """Length of the notes of which one breath is spent tongued, and one in twos."""

    least_loudness_apart_steps: float
    """Two long tones tell of the dynamics only when this far apart."""

    def __post_init__(self) -> None:
        """Refuse numbers that no lungs and no horn can have."""
        levels = (0.0, self.empty_share, self.half_share, self.full_share, 1.0)
        wrong = {
            "empty, half and full must rise from 0 to 1": any(
                a > b for a, b in pairwise(levels)
            )
            or not self.empty_share < self.half_share < self.full_share,
            "flows and times must be above 0": min(
                self.flow_f3_mf_lps, self.reference_hz, self.floor_lps, self.gasp_fill_s
            )
            <= 0.0
            or self.release_s < 0.0,
            "a gasp must not fill more slowly than a calm breath": (
                self.gasp_fill_s > self.calm_fill_s
            ),
            "loud_step_factor must be above 1": self.loud_step_factor <= 1.0,
            "a note must sound for some of its length, and for no more": any(
                not 0.0 < share <= 1.0
                for share in (
                    self.staccato_share,
                    self.staccatissimo_share,
                    self.detached_legato_share,
                )
            ),
            "no sign, stroke or arm may give air back": min(
                self.accent_factor - 1.0,
                self.strong_accent_factor - 1.0,
                self.tongue_stroke_s,
                self.legato_stroke_s,
                self.arm_share_per_m,
            )
            < 0.0,
        }
        refuse_together("air", wrong)
