"""Find where sounds begin: clicks, and notes that are tongued.

A sound begins where its level rises fast and far, well above the room; a slur has no
attack and is not found here.

Conventions
-----------
Samples are one channel of floats, full scale 1.  Times are in seconds from the first
sample.  The onset is the first sample that reaches a set share of the height that
the sound comes to a few milliseconds later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coach.config import read_settings
from coach.rehearsal.gear.gear import SoundHeard
from coach.score.tempo import Seconds

SILENCE_DB = -120.0
"""What is softer is nothing: below the noise of a 20-bit converter."""

FLOOR_PERCENTILE = 20
"""The room is what the softest fifth of the time sounds like."""

POWER_DB = 10.0


@dataclass(frozen=True, slots=True)
class OnsetSettings:
    """What counts as a beginning, as ``[onsets]`` in ``config/sound.toml`` has it."""

    frame_s: float
    """Segment over which the level is taken."""

    before_s: float
    """Segment before, which must have been softer."""

    rise_db: float
    """By how much it must have been softer."""

    above_floor_db: float
    """How far above the room a sound must rise."""

    below_peak_db: float
    """How far below the loudest sound another may be."""

    apart_s: float
    """Two sounds do not begin within this."""

    begun_share: float
    """A sound has begun when it reaches this share of its first height."""

    height_s: float
    """Segment in which it comes to its first height."""


def find_onsets(
    samples: ArrayLike, rate_hz: float, settings: OnsetSettings | None = None
) -> NDArray[np.float64]:
    """Find where sounds begin.

    Parameters
    ----------
    samples : array of float, shape (n,)
        One channel, full scale 1.
    rate_hz : float
        Samples a second.

    Returns
    -------
    array of float, shape (m,)
        Times in seconds from the first sample, rising; empty for silence.

    Examples
    --------
    >>> silence, click = [0.0] * 4800, [0.5, -0.5] * 100
    >>> find_onsets(silence + click + silence, 48000.0).round(4).tolist()
    [0.1]
    """
    if settings is None:
        settings = read_settings(OnsetSettings, "sound", "onsets")
    sound = np.asarray(samples, dtype=np.float64)
    frame = max(1, round(settings.frame_s * rate_hz))
    levels = _levels(sound, frame)
    rising = _rising(levels, settings)
    apart = round(settings.apart_s * rate_hz)
    onsets: list[int] = []
    for place in np.flatnonzero(rising) * frame:
        if onsets and place - frame < onsets[-1] + apart:
            continue
        onsets.append(_refine(sound, int(place), frame, rate_hz, settings))
    return np.array(onsets, dtype=np.float64) / rate_hz


def find_heard_onsets(blocks: Sequence[SoundHeard]) -> list[Seconds]:
    """Find where sounds begin in what the microphone heard.

    Parameters
    ----------
    blocks : sequence of SoundHeard
        In the order in which they were heard, of one rate.

    Returns
    -------
    list of Seconds
        Run time of each onset, by the stamp of the block that it lies in.
    """
    if not blocks:
        return []
    sounds = [np.frombuffer(block.samples, dtype="<f4") for block in blocks]
    begins = np.cumsum([0, *(len(sound) for sound in sounds)])
    rate_hz = blocks[0].rate_hz
    onsets = np.round(find_onsets(np.concatenate(sounds), rate_hz) * rate_hz)
    places = np.searchsorted(begins, onsets, side="right") - 1
    return [
        Seconds(blocks[k].at + float(onset - begins[k]) / rate_hz)
        for k, onset in zip(places, onsets, strict=True)
    ]


def _levels(sound: NDArray[np.float64], frame: int) -> NDArray[np.float64]:
    """Give the level of each whole frame, in decibels of full scale."""
    whole = sound[: len(sound) // frame * frame].reshape(-1, frame)
    power = np.mean(whole**2, axis=1)
    levels = POWER_DB * np.log10(power + 10.0 ** (SILENCE_DB / POWER_DB))
    return np.asarray(levels, dtype=np.float64)


def _rising(levels: NDArray[np.float64], settings: OnsetSettings) -> NDArray[np.bool_]:
    """Tell the frames that are far louder than just before, and than the room."""
    if not len(levels):
        return np.zeros(0, dtype=np.bool_)
    reach = max(1, round(settings.before_s / settings.frame_s))
    padded = np.concatenate([np.full(reach, levels[0]), levels[:-1]])
    windows = np.lib.stride_tricks.sliding_window_view(padded, reach)
    before = windows[: len(levels)].mean(axis=1)
    least = max(
        float(np.percentile(levels, FLOOR_PERCENTILE)) + settings.above_floor_db,
        float(levels.max()) - settings.below_peak_db,
    )
    return np.asarray((levels >= before + settings.rise_db) & (levels >= least))


def _refine(
    sound: NDArray[np.float64],
    place: int,
    frame: int,
    rate_hz: float,
    settings: OnsetSettings,
) -> int:
    """Find the sample of a frame, or of the one before it, where a sound begins."""
    begin = max(0, place - frame)
    end = place + frame + round(settings.height_s * rate_hz)
    near = np.abs(sound[begin:end])
    return begin + int(np.argmax(near >= settings.begun_share * near.max()))
