"""Which notes in a row were ahead or behind together, and who came late after a breath.

Conventions
-----------
Behind is positive, in seconds; None for a note that was not heard.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from statistics import median

import numpy as np

from coach.rehearsal.hearing.heard import HeardBreath, LateEntry, Stretch
from coach.rehearsal.hearing.judging.judging_settings import TimingSettings
from coach.rehearsal.hearing.running_medians import running_medians
from coach.score.tempo import Seconds

Behind = Sequence[float | None]


def find_stretches(
    due: Sequence[float], behind: Behind, sign: int, settings: TimingSettings
) -> tuple[Stretch, ...]:
    """Find where notes in a row were off to one side.

    A stretch is off by as much as an ensemble notices, or drifts away at a tempo that
    a listener notices, over notes enough to be no accident.

    Parameters
    ----------
    due : sequence of float
        When each note was due.
    sign : int
        1 for behind, -1 for ahead.

    Returns
    -------
    tuple of Stretch
        In order; their notes do not overlap.
    """
    heard = [k for k, one in enumerate(behind) if one is not None]
    off = [sign * float(behind[k] or 0.0) for k in heard]
    smooth = running_medians(off, settings.smooth_notes)
    is_off = _held_off(smooth, settings)
    _add_drifts(is_off, [due[k] for k in heard], smooth, settings)
    stretches = []
    for a, b in _rows(is_off):
        if b - a >= settings.least_notes:
            middle = median(off[a:b])
            stretches.append(Stretch(heard[a], heard[b - 1], Seconds(sign * middle)))
    return tuple(stretches)


def _held_off(smooth: Sequence[float], settings: TimingSettings) -> list[bool]:
    """Tell which notes are off: from far off until nearer again."""
    is_off = []
    inside = False
    for value in smooth:
        inside = value >= (settings.back_s if inside else settings.off_s)
        is_off.append(inside)
    return is_off


def _add_drifts(
    is_off: list[bool],
    due: Sequence[float],
    smooth: Sequence[float],
    settings: TimingSettings,
) -> None:
    """Add the notes in which a stretch drifted off."""
    width = settings.drift_notes
    for a in range(len(smooth) - width + 1):
        times = np.array(due[a : a + width])
        values = np.array(smooth[a : a + width])
        away = times - times.mean()
        slope = float(away @ values / (away @ away))
        ends_off = values[-1] >= settings.off_s and values[-1] > abs(values[0])
        if ends_off and slope >= settings.drift_share:
            begun = int(np.argmax(values >= settings.back_s))
            for k in range(a + begun, a + width):
                is_off[k] = True


def _rows(flags: Sequence[bool]) -> Iterable[tuple[int, int]]:
    """Give begin and end of what is set in a row."""
    begin = None
    for k, flag in enumerate([*flags, False]):
        if flag and begin is None:
            begin = k
        elif not flag and begin is not None:
            yield begin, k
            begin = None


def find_entry(behind: Sequence[float], settings: TimingSettings) -> float | None:
    """Tell how late a run came in that stayed so; None where it came in in time.

    The first notes are as late as the last ones and as the middle one of all.

    Parameters
    ----------
    behind : sequence of float
        How far behind the notes heard were, in order.
    """
    few = settings.drift_notes
    whole, first, last = median(behind), median(behind[:few]), median(behind[-few:])
    stays = max(abs(first - whole), abs(first - last)) <= settings.back_s
    return whole if stays and abs(whole) >= settings.off_s else None


def find_late_entries(
    behind: Behind, breaths: Sequence[HeardBreath], settings: TimingSettings
) -> tuple[LateEntry, ...]:
    """Find the notes that came late after a breath, later than the notes before it."""
    late = []
    for breath in breaths:
        after = next(
            (
                k
                for k in range(breath.after_note + 1, len(behind))
                if behind[k] is not None
            ),
            None,
        )
        if after is None:
            continue
        value = behind[after] or 0.0
        before = [
            one
            for one in behind[max(0, breath.after_note - 3) : breath.after_note + 1]
            if one is not None
        ]
        usual = max(0.0, median(before)) if before else 0.0
        if value >= settings.late_s and value - usual >= settings.late_s / 2:
            late.append(LateEntry(after, Seconds(value)))
    return tuple(late)
