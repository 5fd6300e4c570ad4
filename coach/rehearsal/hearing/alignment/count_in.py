"""Find the count-in in a recording that was made elsewhere.

The notes tell roughly where the recording lies in run time; the clicks, if they can be
heard near there, tell exactly.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from coach.rehearsal.hearing.alignment.alignment_settings import CountInSettings
from coach.rehearsal.hearing.features.features import TINY, Features
from coach.rehearsal.hearing.take import TakenClick


def find_count_in(
    features: Features,
    clicks: Sequence[TakenClick],
    about: float,
    settings: CountInSettings,
) -> float | None:
    """Find the run time of a recording's first sample by its count-in.

    Parameters
    ----------
    about : float
        That run time, roughly.

    Returns
    -------
    float or None
        None where the clicks do not stand out.
    """
    step = max(1, round(settings.step_s * features.rate_hz))
    sound = np.diff(features.sound.astype(np.float64), prepend=0.0)
    count = len(sound) // step
    power = (sound[: count * step].reshape(count, step) ** 2).mean(axis=1)
    level = np.log10(power + TINY)
    back = max(1, round(settings.before_s / settings.step_s))
    padded = np.concatenate([np.full(back, level[0] if count else 0.0), level])
    windows = np.lib.stride_tricks.sliding_window_view(padded, back)[:count]
    rise = np.clip(level - windows.max(axis=1), 0.0, settings.most_rise)
    hop_s = step / features.rate_hz
    reach = round(settings.reach_s / hop_s)
    shifts = np.arange(-reach, reach + 1)
    rises = []
    for click in clicks:
        if click.at >= settings.before_run_s:
            continue
        places = round((click.at - about) / hop_s) - shifts
        inside = (places >= 0) & (places < count)
        if inside.all():
            rises.append(rise[places])
    if len(rises) < settings.least_clicks_count:
        return None
    smooth = [np.convolve(one, np.ones(3) / 3, "same") for one in rises]
    score = np.sum(smooth, axis=0)
    best = int(score.argmax())
    if min(float(one[best]) for one in smooth) < settings.least_rise:
        return None
    near = np.abs(shifts - shifts[best]) * hop_s < settings.apart_s
    rest = score[~near]
    stands_out = score[best] - rest.mean()
    rival = rest.max() - rest.mean()
    is_far_out = stands_out > settings.least_sigma * rest.std()
    is_alone = rival <= settings.most_rival_share * stands_out
    return about + float(shifts[best]) * hop_s if is_far_out and is_alone else None
