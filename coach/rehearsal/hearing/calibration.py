"""How much later than it was due a click is heard by the microphone.

Drivers do not know what converters, amplifiers, wireless links and synths add, so it is
measured once: clicks are played, heard, and the middle of the differences is kept.

Conventions
-----------
Times are run time in seconds.  A round trip is positive when a sound is heard later
than the drivers believe; it is taken off whatever the microphone hears.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from statistics import median

from coach.errors import GearError
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.score.tempo import Seconds

MS = 1000.0

WOBBLE = 7
"""After how many clicks their uneven distances come again: our own choice, a prime, so
that clicks taken for their neighbours do not agree."""


@dataclass(frozen=True, slots=True)
class RoundTripSettings:
    """How it is measured, as ``[round_trip]`` in ``config/sound.toml`` has it."""

    clicks_count: int
    """How many clicks are played."""

    apart_s: float
    """How far they are apart."""

    farthest_s: float
    """How far from its click a sound may be heard."""

    least_share: float
    """Share of the clicks that must be heard alike."""

    most_spread_s: float
    """What is heard alike lies within this."""


@dataclass(frozen=True, slots=True)
class RoundTrip:
    """What was measured."""

    delay: Seconds
    """How much later than due a click is heard."""

    spread: Seconds
    """Between the earliest and the latest of the clicks that were heard alike."""

    heard: int
    """How many clicks were heard alike."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """A round trip that is kept, and with which gear it was measured."""

    trip: RoundTrip
    """How the clicks were heard."""

    played: int
    """How many there were."""

    whole: Seconds
    """From making a sample to getting it back: what is kept."""

    output: str
    """The sound device or MIDI port that clicked."""

    microphone: str
    """The microphone that heard it."""


def lay_round_trip(click: ClickSettings, settings: RoundTripSettings) -> ClickTrack:
    """Lay the clicks that are to be heard.

    Their distances are uneven, so that one click cannot be taken for the next.

    Returns
    -------
    ClickTrack
        The clicks from run time 0 on, and time to hear the last.
    """
    step = settings.apart_s
    clicks = tuple(
        Click(
            due=Seconds(k * step + k * k % WOBBLE * step / (2 * WOBBLE)),
            length=Seconds(click.click_length_s),
            kind=SoundKind.BEAT,
            channel=click.click_channel,
            key=click.beat_key,
            velocity=click.accent_velocity,
        )
        for k in range(settings.clicks_count)
    )
    ends = Seconds(clicks[-1].due + settings.farthest_s)
    return ClickTrack(clicks, starts=Seconds(0.0), ends=ends)


def measure_round_trip(
    due: Sequence[Seconds], heard: Sequence[Seconds], settings: RoundTripSettings
) -> RoundTrip:
    """Measure how much later than due clicks are heard.

    Parameters
    ----------
    due : sequence of Seconds
        When each click was due; at least one.
    heard : sequence of Seconds
        When sounds began, by the microphone's stamps.

    Returns
    -------
    RoundTrip
        The middle of the differences, and how far they scatter.

    Raises
    ------
    GearError
        If too few clicks were heard, or they scatter too far.

    Notes
    -----
    Every sound is taken for every click near it; the fullest stretch of
    ``most_spread_s`` among the differences is the round trip, since uneven distances
    let only the right pairs agree.

    Examples
    --------
    >>> settings = RoundTripSettings(3, 1.0, 0.4, 0.6, 0.002)
    >>> due = [Seconds(0.0), Seconds(1.0), Seconds(2.25)]
    >>> heard = [Seconds(0.031), Seconds(1.030), Seconds(2.2795)]
    >>> round(measure_round_trip(due, heard, settings).delay, 4)
    0.03
    """
    needed = max(1, ceil(settings.least_share * len(due)))
    late = sorted(
        sound - click
        for sound in heard
        for click in due
        if abs(sound - click) <= settings.farthest_s
    )
    if len(heard) < needed or not late:
        raise GearError(
            f"The microphone heard {len(heard)} of {len(due)} clicks.",
            "Turn the sound up, or hold the headphones to the microphone.",
        )
    alike = max((_alike(late, k, settings) for k in range(len(late))), key=len)
    if len(alike) < needed:
        raise GearError(
            f"Only {len(alike)} of {len(due)} clicks were heard within "
            f"{settings.most_spread_s * MS:g} ms of each other.",
            "Measure again in a quiet moment, the microphone near the loudspeaker.",
        )
    spread = Seconds(alike[-1] - alike[0])
    return RoundTrip(Seconds(median(alike)), spread, len(alike))


def _alike(late: list[float], k: int, settings: RoundTripSettings) -> list[float]:
    """Give the differences from the k-th on that lie close together."""
    return late[k : bisect_right(late, late[k] + settings.most_spread_s)]
