"""Find the moment of a note more finely than from look to look.

Where the pitch changes, the note begins when its pitch overtakes the one before; where
the sound also dips, the tongue was there, and the rise out of the dip tells, too.  A
repeated note has only its rise.

Conventions
-----------
Times are seconds from the take's first sample.  A tongued note is heard to begin when
it comes within 10 dB of its height, a slurred one in the middle of its change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.fine_onsets import FoundNote
from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence
from coach.rehearsal.hearing.alignment.moment_settings import RefineSettings
from coach.rehearsal.hearing.alignment.turned_sound import TurnedSound
from coach.rehearsal.hearing.features.features import Features

Floats = NDArray[np.float64]
Powers = NDArray[np.float32]

POWER_DB = 10.0
TINY = 1e-12
HEIGHT_SHARE = 0.1
"""10 dB below the height, as a share of power."""

PIECE_STEPS = 1 << 13
"""So many moments of the envelope are worked out at a time."""


@dataclass(frozen=True, slots=True)
class Onset:
    """How one note began."""

    at: float
    """When."""

    valley_db: float
    """How deep the sound dipped just before; 0 for not at all."""


@dataclass(frozen=True, slots=True)
class Envelope:
    """The power of a take, moment by moment."""

    whole: Powers
    """As it is."""

    dry: Powers
    """With the room's ring taken off."""

    step_s: float
    """From one moment to the next."""


def dry_envelope(
    features: Features, ring_db_per_s: float, settings: RefineSettings
) -> Envelope:
    """Give the power of a take without the ring of the room.

    Notes
    -----
    A room that rings off evenly holds a share of all that sounded before: its power is
    an exponential average of the whole, which can be worked out and taken off.
    """
    step = max(1, round(settings.step_s * features.rate_hz))
    step_s = step / features.rate_hz
    whole = _smooth_power(features, settings.window_s, step)
    kept = settings.ring_factor / (1.0 + settings.ring_factor)
    fall = ring_db_per_s * np.log(10.0) / POWER_DB * (1.0 + settings.ring_factor)
    age = np.arange(round(settings.longest_ring_s / step_s)) * step_s
    ring = np.where(age < settings.first_ring_s, 0.0, np.exp(-fall * age))
    return Envelope(whole, _dried(whole, kept * ring / ring.sum()), step_s)


def _dried(whole: Powers, ring: Floats) -> Powers:
    """Take off what rings of the power before, piece after piece."""
    dry = np.empty_like(whole)
    for begin in range(0, len(whole), PIECE_STEPS):
        first = max(0, begin - len(ring))
        piece = whole[first : begin + PIECE_STEPS].astype(np.float64)
        left = piece - np.convolve(piece, ring)[: len(piece)]
        dry[begin : begin + PIECE_STEPS] = np.maximum(left[begin - first :], 0.0)
    return dry


def _smooth_power(features: Features, window_s: float, step: int) -> Powers:
    """Give the power of a take about every `step`-th sample of its low rate.

    Piece after piece: a long take has more samples than should be held twice.
    """
    width = max(1, round(window_s / 2 * features.rate_hz))
    piece, margin = step * PIECE_STEPS, step * -(-2 * width // step)
    parts = []
    for begin in range(0, len(features.sound), piece):
        first = max(0, begin - margin)
        power = features.sound[first : begin + piece + margin].astype(np.float64) ** 2
        for _ in range(2):
            padded = np.pad(power, (width // 2 + 1, width - width // 2 - 1))
            sums = np.cumsum(padded)
            power = np.maximum(sums[width:] - sums[: len(power)], 0.0) / width
        parts.append(power[begin - first :][:piece:step].astype(np.float32))
    return np.concatenate(parts)


@dataclass(frozen=True, slots=True)
class MomentSigns:
    """All that tells of the moments in a take."""

    envelope: Envelope
    """Its power."""

    evidence: LookEvidence
    """What its looks say."""

    flux: Floats
    """How much of each look is new, shape (looks,)."""

    turned: TurnedSound
    """When one sound gives way to another."""


def refine_onsets(
    sound: MomentSigns,
    found: Sequence[FoundNote],
    keys: Sequence[int],
    late_s: float,
    settings: RefineSettings,
) -> list[Onset]:
    """Refine the onset of each note of a leg.

    Parameters
    ----------
    found : sequence of FoundNote
        In order.
    keys : sequence of int
        Key at which each was heard.
    late_s : float
        How late the room's ring makes a beginning seem.

    Returns
    -------
    list of Onset
        One for each.
    """
    onsets: list[Onset] = []
    hop_s = sound.evidence.hop_s
    for k, note in enumerate(found):
        earliest = onsets[-1].at + settings.apart_s if onsets else 0.0
        rise, valley = _find_rise(sound.envelope, note.begin * hop_s, settings)
        at = rise - settings.rise_bias_s
        gap_s = (note.begin - found[k - 1].end) * hop_s if k else settings.joined_s + 1
        if gap_s <= settings.joined_s and keys[k] == keys[k - 1]:
            at = _repeated(rise, sound, note, settings)
        elif gap_s <= settings.joined_s:
            crossing = _find_crossing(
                sound.evidence, note, (keys[k - 1], keys[k]), settings
            )
            if crossing is not None:
                at = _weighed(crossing, at, valley, settings)
            at = _turned(at, sound.turned.at(found, keys, k), settings)
        onsets.append(Onset(max(at - late_s, earliest), valley))
    return onsets


def _repeated(
    rise: float, sound: MomentSigns, note: FoundNote, settings: RefineSettings
) -> float:
    """Weigh the rise of a repeated note, the middle of what is new, and its look."""
    hop_s = sound.evidence.hop_s
    look_s, reach = note.begin * hop_s, round(settings.flux_reach_s / hop_s)
    first = max(0, note.begin - reach)
    near = sound.flux[first : note.begin + reach + 1]
    fresh = np.maximum(near - np.median(near), 0.0) + TINY
    middle_s = float(fresh @ (first + np.arange(len(near))) / fresh.sum()) * hop_s
    at = look_s + settings.repeat_rise_share * (rise - look_s)
    at += settings.repeat_flux_share * (middle_s - look_s)
    return at - settings.repeat_bias_s


def _turned(at: float, turn: float, settings: RefineSettings) -> float:
    """Weigh a beginning against the turn of the whole sound."""
    turn -= settings.turn_bias_s
    if abs(turn - at) > settings.turn_agree_s:
        return at
    return at + settings.turn_share * (turn - at)


def _weighed(
    crossing: float, rise: float, valley_db: float, settings: RefineSettings
) -> float:
    """Weigh a change of pitch against a rise out of a dip."""
    tongued = min(1.0, valley_db / settings.deep_db)
    crossing += settings.cross_bias_s * tongued
    if tongued < 1.0 or abs(rise - crossing) / 2 > settings.agree_s:
        return crossing
    return (rise + crossing) / 2


def _find_rise(
    envelope: Envelope, look_s: float, settings: RefineSettings
) -> tuple[float, float]:
    """Find the deepest place about a look, and where the sound rises out of it."""
    dry, step_s = envelope.dry, envelope.step_s
    a = max(0, round((look_s - settings.before_s) / step_s))
    b = round((look_s + settings.after_s) / step_s)
    c = max(b + 1, round((look_s + settings.height_after_s) / step_s))
    lowest = a + int(dry[a:b].argmin())
    height = _middle(dry[b:c])
    goal = dry[lowest] + HEIGHT_SHARE * max(height - dry[lowest], 0.0)
    risen = np.flatnonzero(dry[lowest:c] >= goal)
    rise_s = (lowest + int(risen[0])) * step_s if len(risen) else look_s
    return rise_s, _depth_db(envelope.whole, a, b, c)


def _depth_db(power: Powers, a: int, b: int, c: int) -> float:
    """Tell how far the sound dips from a to b, against before and until c."""
    after, before = power[b:c], power[max(0, 2 * a - b) : a]
    sides = min(_middle(before), _middle(after))
    depth = POWER_DB * np.log10((sides + TINY) / (power[a:b].min() + TINY))
    return max(0.0, float(depth))


def _middle(powers: Powers) -> float:
    """Give the middle one of some powers, the greater of two; 0 where there is none."""
    half = len(powers) // 2
    return float(np.partition(powers, half)[half]) if len(powers) else 0.0


def _find_crossing(
    evidence: LookEvidence,
    note: FoundNote,
    keys: tuple[int, int],
    settings: RefineSettings,
) -> float | None:
    """Find where one pitch overtakes another about a look; None if none does."""
    reach = round(settings.cross_reach_s / evidence.hop_s)
    a = max(0, note.begin - reach)
    old, new = (
        evidence.fits[a : note.begin + reach + 1, k - evidence.first_midi] for k in keys
    )
    lead = (new - old).astype(np.float64)
    up = np.flatnonzero((lead[:-1] < 0) & (lead[1:] >= 0))
    if not len(up):
        return None
    sums = np.concatenate([[0.0], np.cumsum(lead)])
    contrast = sums[-1] - 2 * sums[up + 1]
    k = int(up[contrast.argmax()])
    part = -lead[k] / (lead[k + 1] - lead[k])
    return float((a + k + part) * evidence.hop_s)
