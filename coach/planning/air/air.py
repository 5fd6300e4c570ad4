"""Litres that a note takes, and what a breath gives back.

Flow falls with pitch and grows by a fixed factor with each step of dynamics.  A
hairpin is followed exactly: loudness changes in a straight line over the note, so
the flow is an exponential in time and its integral has a closed form.

A breath fills the lungs fast at first and more slowly as they fill, since the
muscles that draw air in weaken with volume.  The first moments go to letting go of
the note and opening the mouth, so a tenth of a second gives next to nothing.

Conventions
-----------
Levels of air are fractions of the player's capacity.  Flow is in litres per second
at the lungs.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from coach.last_answers import remembered
from coach.planning.air.air_settings import AirSettings
from coach.score.note import Note

if TYPE_CHECKING:
    from coach.planning.air.lungs import Player


class NoteAir(NamedTuple):
    """How one note uses air, from its start; a tuple, since a plan makes thousands."""

    start_lps: float
    """Flow at its start, in litres per second, before the floor."""

    growth_per_s: float
    """Flow grows by ``exp(growth_per_s)`` in a second; 0 without a hairpin."""

    floor_lps: float
    """The flow is never less, in litres per second."""

    sounding_s: float
    """How long it sounds in its written length: less than that for staccato."""

    @property
    def steady_lps(self) -> float:
        """Flow all along, in litres per second; 0 where a hairpin changes it."""
        return 0.0 if self.growth_per_s else max(self.start_lps, self.floor_lps)

    def used_l(self, seconds: float) -> float:
        """Add up the air from its start, in litres.

        Parameters
        ----------
        seconds : float
            How long after its start; beyond `sounding_s` nothing more is used.

        Returns
        -------
        float
            The integral of the flow, exact.
        """
        time = min(max(seconds, 0.0), self.sounding_s)
        growth = self.growth_per_s
        if growth == 0.0:
            return max(self.start_lps, self.floor_lps) * time
        # Where the exponential meets the floor: after it if it falls, before it if it
        # rises, the floor is what flows.
        crossing = math.log(self.floor_lps / self.start_lps) / growth
        meets = min(max(crossing, 0.0), time)
        if growth > 0.0:
            return self.floor_lps * meets + self._grown_l(meets, time)
        return self._grown_l(0.0, meets) + self.floor_lps * (time - meets)

    def _grown_l(self, start: float, end: float) -> float:
        """Integrate the exponential between two times, in litres."""
        at_start = self.start_lps * math.exp(self.growth_per_s * start)
        return (
            at_start
            * math.expm1(self.growth_per_s * (end - start))
            / (self.growth_per_s)
        )


class Blowing(NamedTuple):
    """How the page has a note blown, whoever plays it and however fast."""

    plain_lps: float
    """Flow at its start without signs, in litres per second, before the floor."""

    factor: float
    """How much harder signs have it blown."""

    growth: float
    """Logarithm of how many times more flows at its end than at its start."""

    share: float
    """Of its written length, what it sounds."""

    def lasting(self, seconds: float, scale: float, floor_lps: float) -> NoteAir:
        """Tell how the note uses air.

        Parameters
        ----------
        seconds : float
            Its written length in time; greater than 0.
        scale : float
            How many times more air flows for this player, tongue and arm.
        floor_lps : float
            The least flow of a plain note, in litres per second.
        """
        factor = scale * self.factor
        return NoteAir(
            factor * self.plain_lps,
            self.growth / seconds,
            factor * floor_lps,
            seconds * self.share,
        )


def flow_lps(hertz: float, loudness: float, settings: AirSettings) -> float:
    """Tell the flow of a steady plain note, in litres per second.

    Parameters
    ----------
    hertz : float
        Sounding frequency.
    loudness : float
        Steps from mezzo-forte.

    Returns
    -------
    float
        Litres per second, never below the floor.
    """
    return max(settings.floor_lps, _bare_flow_lps(hertz, loudness, settings))


def _bare_flow_lps(hertz: float, loudness: float, settings: AirSettings) -> float:
    """Tell the flow without the floor."""
    by_pitch: float = (hertz / settings.reference_hz) ** -settings.pitch_power
    by_loudness: float = settings.loud_step_factor**loudness
    return settings.flow_f3_mf_lps * by_loudness * by_pitch


def air_of(
    note: Note,
    seconds: float,
    player: Player,
    settings: AirSettings,
    effort: float = 1.0,
) -> NoteAir:
    """Tell how a note uses air.

    Parameters
    ----------
    seconds : float
        Its written length in time; greater than 0.

    Returns
    -------
    NoteAir
        Flow over its time, hairpins, signs and effort taken in.
    """
    blowing = _blowing(note, settings)
    return blowing.lasting(seconds, player.flow_scale * effort, settings.floor_lps)


@remembered
def blow_notes(notes: tuple[Note, ...], settings: AirSettings) -> tuple[Blowing, ...]:
    """Tell how notes are blown: no tempo changes that, and no player."""
    return tuple(_blowing(note, settings) for note in notes)


def _blowing(note: Note, settings: AirSettings) -> Blowing:
    """Tell how a note is blown."""
    return Blowing(
        plain_lps=_bare_flow_lps(note.sounding.hertz, note.loud_start, settings),
        factor=_blown_factor(note, settings),
        growth=math.log(settings.loud_step_factor) * (note.loud_end - note.loud_start),
        share=sounding_share(note, settings),
    )


def _blown_factor(note: Note, settings: AirSettings) -> float:
    """Tell how much harder accents blow a note."""
    if not note.articulations:
        return 1.0
    if "strong-accent" in note.articulations:
        return settings.strong_accent_factor
    return settings.accent_factor if "accent" in note.articulations else 1.0


def sounding_share(note: Note, settings: AirSettings) -> float:
    """Tell which share of its written length a note sounds; 1 for a plain one."""
    if not note.articulations:
        return 1.0
    shares = {
        "staccatissimo": settings.staccatissimo_share,
        "spiccato": settings.staccatissimo_share,
        "staccato": settings.staccato_share,
        "detached-legato": settings.detached_legato_share,
    }
    return min((shares.get(sign, 1.0) for sign in note.articulations), default=1.0)


def refill(
    air: float, gap_s: float, settings: AirSettings, *, is_gasp: bool = False
) -> float:
    """Tell the level of air after a breath.

    Parameters
    ----------
    air : float
        Level when the breath starts, as a fraction of capacity; what would lie
        below empty counts as empty.
    gap_s : float
        How long the breath may take, in seconds.

    Returns
    -------
    float
        Level at its end: up to full, and never less than before.  It grows with
        `air` and with `gap_s`.

    Notes
    -----
    The lungs fill towards the whole capacity, ``1 - (1 - air) * exp(-e / fill_s)``
    with ``e = t * t / (t + 2 * release_s)``, and the breath stops at full.
    """
    start = max(air, settings.empty_share)
    filled = 1.0 - (1.0 - start) * still_empty(gap_s, settings, is_gasp=is_gasp)
    return max(start, min(settings.full_share, filled))


def still_empty(gap_s: float, settings: AirSettings, *, is_gasp: bool = False) -> float:
    """Tell which share of the empty room a breath of `gap_s` seconds leaves empty."""
    if gap_s <= 0.0:
        return 1.0
    filling = gap_s * gap_s / (gap_s + 2.0 * settings.release_s)
    return math.exp(
        -filling / (settings.gasp_fill_s if is_gasp else settings.calm_fill_s)
    )


def time_to_fill(share: float, settings: AirSettings) -> float:
    """Tell how long a gasp takes that leaves only `share` of the room empty.

    Parameters
    ----------
    share : float
        Of the empty room, above 0 and at most 1.

    Returns
    -------
    float
        Seconds: the inverse of `still_empty`.
    """
    # The positive root of t² = filling * (t + 2 * release).
    filling = -settings.gasp_fill_s * math.log(share)
    return (filling + math.sqrt(filling * (filling + 8.0 * settings.release_s))) / 2.0
