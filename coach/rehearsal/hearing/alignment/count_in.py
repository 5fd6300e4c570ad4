"""Find the count-in in a recording that was made elsewhere.

The notes tell roughly where the recording lies in run time; the clicks, if they can be
heard near there, tell exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

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
    hop_s = step / features.rate_hz
    before = [click.at for click in clicks if click.at < settings.before_run_s]
    reach = round(_reach_s(before, settings) / hop_s)
    shifts = np.arange(-reach, reach + 1)
    places = [round((at - about) / hop_s) - shifts for at in before]
    count = len(features.sound) // step
    inside = [one for one in places if one[-1] >= 0 and one[0] < count]
    if len(inside) < settings.least_clicks_count:
        return None
    rises = _rises(features, inside, step, settings)
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


def _reach_s(clicks: Sequence[float], settings: CountInSettings) -> float:
    """Tell how far about its place a count-in is looked for."""
    apart = min((b - a for a, b in pairwise(clicks)), default=0.0)
    return max(settings.reach_s, settings.reach_share * apart)


def _rises(
    features: Features,
    places: Sequence[NDArray[np.int64]],
    step: int,
    settings: CountInSettings,
) -> list[NDArray[np.float64]]:
    """Tell how far the level of what changes rises at some places, in steps.

    Only what lies about them is looked at: a recording may be long.
    """
    back = max(1, round(settings.before_s / settings.step_s))
    first = max(0, min(int(one.min()) for one in places) - back - 1)
    last = max(int(one.max()) for one in places) + 1
    sound = features.sound[first * step : last * step].astype(np.float64)
    power = np.diff(sound, prepend=0.0).reshape(-1, step) ** 2
    level = np.log10(power.mean(axis=1) + TINY)
    padded = np.concatenate([np.full(back, level[0]), level])
    windows = np.lib.stride_tricks.sliding_window_view(padded, back)[: len(level)]
    rise = np.clip(level - windows.max(axis=1), 0.0, settings.most_rise)
    return [rise[one - first] for one in places]
