"""Take our own click out of a take, where the microphone hears it.

What a click sounds like there is learnt from the take itself: all clicks of a kind are
averaged, those most that nothing else sounds with, as the count-in.

Conventions
-----------
Times are seconds from the take's first sample.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.features.features import TINY, Features, FeatureTaker

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BleedSettings:
    """When and how the click is taken out, as ``[bleed]`` has it."""

    before_s: float
    """A click may be heard so long before it is thought to ..."""

    after_s: float
    """... and is over so long after."""

    least_count: int
    """A click is learnt from at least so many of its kind."""

    stands_out_power: float
    """It has so many times the power of what averaging leaves of all else."""

    least_factor: float
    """No click is softer than the average by more than this ..."""

    most_factor: float
    """... nor louder."""

    around_s: float
    """Looks within this of a click are taken again."""


@dataclass(frozen=True, slots=True)
class HeardClick:
    """A click, as the take may have it."""

    at: float
    """When it sounded."""

    kind: int
    """Clicks of one kind sound alike."""


def take_out_clicks(
    features: Features,
    taker: FeatureTaker,
    clicks: Sequence[HeardClick],
    settings: BleedSettings,
) -> Features:
    """Take the clicks out that can be heard, and look at their places again.

    They go out of the sound where it lies: a long take is not held twice.
    """
    sound = features.sound
    before = round(settings.before_s * features.rate_hz)
    length = before + round(settings.after_s * features.rate_hz)
    taken: list[int] = []
    for kind in sorted({click.kind for click in clicks}):
        places = [
            round(click.at * features.rate_hz) - before
            for click in clicks
            if click.kind == kind
        ]
        inside = [p for p in places if 0 <= p < len(sound) - length]
        if _take_out(sound, inside, length, settings):
            taken += inside
    if not taken:
        return features
    around = round(settings.around_s / features.hop_s)
    wide = round(length / features.rate_hz / features.hop_s)
    begins = [round(p / features.rate_hz / features.hop_s) for p in sorted(taken)]
    spans = [(a - around, a + wide + around) for a in begins]
    whole = list(_joined(spans, len(features.level_db)))
    return taker.look_again(features, sound, whole)


def _take_out(
    sound: NDArray[np.float32],
    places: Sequence[int],
    length: int,
    settings: BleedSettings,
) -> bool:
    """Learn one kind of click and take it out of a sound; tell whether it was heard.

    It is told by the differences from sample to sample, which lift a click out of
    horn and room.  What any two of the pieces have in common is the click's power.
    """
    if len(places) < settings.least_count:
        return False
    pieces = np.stack([sound[p : p + length + 1] for p in places]).astype(np.float64)
    steps = np.diff(pieces, axis=1)
    energy = np.sum(steps**2, axis=1) + TINY
    weights = (1.0 / energy) / np.sum(1.0 / energy)
    step = weights @ steps
    power = float(step @ step)
    alone = float(weights**2 @ energy)
    common = (power - alone) / (1.0 - float(weights @ weights))
    if common < settings.stands_out_power * (power - common):
        return False
    gains = np.clip(steps @ step / power, settings.least_factor, settings.most_factor)
    click = weights @ pieces
    for place, gain in zip(places, gains, strict=True):
        sound[place : place + length + 1] -= gain * click
    return True


def _joined(spans: Sequence[tuple[int, int]], count: int) -> Iterator[tuple[int, int]]:
    """Join spans of looks that touch, and keep them inside the take."""
    begin, end = max(0, spans[0][0]), spans[0][1]
    for a, b in spans[1:]:
        if a > end:
            yield begin, min(end, count)
            begin = a
        end = b
    yield begin, min(end, count)
