"""Bars of four with no page: to hear the click, and to time it."""

from __future__ import annotations

from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.score.tempo import Seconds

BEATS_IN_BAR = 4
BAR_S = 2.0
"""Our own choice: a beat of half a second, 120 a minute."""


def lay_bars(bars: int, parts_of_beat: int, settings: ClickSettings) -> ClickTrack:
    """Lay bars of four in which beats, and what divides them, are clicked.

    Parameters
    ----------
    bars : int
        How many; at least 1.
    parts_of_beat : int
        Clicks in each beat; at least 1.

    Returns
    -------
    ClickTrack
        From run time 0 on, with no count-in.
    """
    step_s = BAR_S / BEATS_IN_BAR / parts_of_beat
    clicks = []
    for k in range(bars * BEATS_IN_BAR * parts_of_beat):
        beat, part = divmod(k, parts_of_beat)
        key, velocity = settings.beat_key, settings.beat_velocity
        kind = SoundKind.BEAT
        if part:
            kind = SoundKind.SUBDIVISION
            key, velocity = settings.subdivision_key, settings.subdivision_velocity
        elif beat % BEATS_IN_BAR == 0:
            kind = SoundKind.ACCENT
            key, velocity = settings.accent_key, settings.accent_velocity
        clicks.append(
            Click(
                due=Seconds(k * step_s),
                length=Seconds(settings.click_length_s),
                kind=kind,
                channel=settings.click_channel,
                key=key,
                velocity=velocity,
                bar=1 + beat // BEATS_IN_BAR,
                beat=0.0 if part else 1.0 + beat % BEATS_IN_BAR,
            )
        )
    return ClickTrack(tuple(clicks), starts=Seconds(0.0), ends=Seconds(bars * BAR_S))
