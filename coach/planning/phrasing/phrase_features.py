"""First look at each gap: what the page shows there.

Named columns, one number for each gap, that describe length, pitch, metre and form.
How much each counts is learned, not written here.

Conventions
-----------
Gap k follows note k.  Steps are compared as logarithms to base 2, so that an eighth
among sixteenths counts like a half note among quarters.  Places are in bars.

References
----------
D. Temperley, The Cognition of Basic Musical Structures, 2001, chapter 3: gaps, phrase
length and metrical parallelism.
"""

from __future__ import annotations

from coach.planning.phrasing.melody import ALMOST, NEAR_NOTES, Melody
from coach.planning.phrasing.phrase_likeness import (
    ABSENT,
    FARTHEST_BARS,
    NO_NOTE,
    Columns,
    look_for_likeness,
)

FARTHEST_NOTES = 40
"""More notes from the beginning or the end are not told apart."""

LONGEST_LOOK = 30
"""Notes searched for a step as long: keeps the time linear."""

RUN_NOTES = 5
"""Notes before and after a gap whose mean step is compared with its own."""

WIDEST_INTERVAL = 14
"""Wider intervals, in semitones, are not told apart: songs hardly have any."""

NO_INTERVAL = WIDEST_INTERVAL + 1
"""What stands where there is no interval."""


def look_first(melody: Melody) -> Columns:
    """Give all columns of the first look.

    Parameters
    ----------
    melody : Melody
        The line; at least two notes.

    Returns
    -------
    dict of str to list of float, each of length ``melody.gaps``
        What the page shows at each gap.
    """
    return {
        **_lengths(melody),
        **_peaks(melody),
        **_pitches(melody),
        **_metre(melody),
        **_form(melody),
        **_waits(melody),
        **look_for_likeness(melody),
    }


def _lengths(m: Melody) -> Columns:
    """Compare each step with what is usual around it and with its neighbours."""
    gaps, steps, usual = range(m.gaps), m.steps, m.usual_steps
    columns: Columns = {
        "step": [steps[k] - usual[k] for k in gaps],
        "rest": [m.rests[k] / 2.0 ** usual[k] for k in gaps],
        "rest_share": [m.rests[k] / 2.0 ** steps[k] for k in gaps],
        "shorter_share": m.shorter_shares[:-1],
        "longer_share": m.longer_shares[:-1],
    }
    for by in (-2, -1, 1, 2):
        columns[f"step_against{by:+d}"] = [
            steps[k] - steps[k + by] if 0 <= k + by <= m.gaps else ABSENT for k in gaps
        ]
    return columns


def _peaks(m: Melody) -> Columns:
    """Compare each step with the longest and the mean of several before and after."""
    gaps, steps = range(m.gaps), m.steps
    columns: Columns = {}
    for width in (6, 10):
        columns[f"peak_before{width}"] = [
            steps[k] - max(steps[max(0, k - width) : k]) if k else ABSENT for k in gaps
        ]
    for width in (3, 6):
        columns[f"peak_after{width}"] = [
            steps[k] - max(steps[k + 1 : k + 1 + width]) for k in gaps
        ]
    before = [steps[max(0, k - RUN_NOTES) : k] for k in gaps]
    after = [steps[k + 1 : k + 1 + RUN_NOTES] for k in gaps]
    columns["run_before"] = [
        sum(run) / len(run) - steps[k] if run else ABSENT
        for k, run in enumerate(before)
    ]
    columns["run_after"] = [
        sum(run) / len(run) - steps[k] for k, run in enumerate(after)
    ]
    return columns


def _pitches(m: Melody) -> Columns:
    """Tell the leap at each gap and how high the notes around it lie."""
    gaps, keys = range(m.gaps), m.keys
    mean = _mean_around([float(key) for key in keys])
    intervals = [NO_INTERVAL, *m.intervals, NO_INTERVAL]
    return {
        "interval_before": intervals[:-2],
        "interval": m.intervals,
        "interval_after": intervals[2:],
        "leap": [abs(interval) for interval in m.intervals],
        "height": [keys[k] - mean[k] for k in gaps],
        "above_last": [_limit(key - keys[-1]) for key in keys[:-1]],
        "next_above_first": [_limit(key - keys[0]) for key in keys[1:]],
    }


def _mean_around(values: list[float]) -> list[float]:
    """Give the mean around each value."""
    sums = [0.0]
    for value in values:
        sums.append(sums[-1] + value)
    means = []
    for k in range(len(values)):
        low, high = max(0, k - NEAR_NOTES), min(len(values), k + NEAR_NOTES + 1)
        means.append((sums[high] - sums[low]) / (high - low))
    return means


def _limit(semitones: int) -> int:
    """Keep an interval within what songs have."""
    return max(-WIDEST_INTERVAL, min(WIDEST_INTERVAL, semitones))


def _metre(m: Melody) -> Columns:
    """Tell where the notes around each gap stand in the bar."""
    return {
        "phase": m.phases[:-1],
        "next_phase": m.phases[1:],
        "steps_in_bar": [
            m.bar_beats[k] / 2.0 ** m.usual_steps[k] for k in range(m.gaps)
        ],
        "level": m.levels[:-1],
        "next_level": m.levels[1:],
        "level_after_next": [*m.levels[2:], NO_NOTE],
    }


def _form(m: Melody) -> Columns:
    """Tell how far each gap is from the beginning and the end."""
    since = [place - m.places[0] + ALMOST for place in m.places[1:]]
    left = [m.end_place - place + ALMOST for place in m.places[1:]]
    in_all = m.end_place - m.places[0]
    columns: Columns = {
        "bars_since_start": [min(bars, FARTHEST_BARS) for bars in since],
        "bars_left": [min(bars, FARTHEST_BARS) for bars in left],
        "bars_in_all": [min(in_all, 3 * FARTHEST_BARS)] * m.gaps,
        "bars_in_all_in4": [(in_all + ALMOST) % 4] * m.gaps,
        "pickup": [m.phases[0]] * m.gaps,
        "notes_since_start": [min(k, FARTHEST_NOTES) for k in range(m.gaps)],
        "notes_left": [min(m.gaps - k, FARTHEST_NOTES) for k in range(m.gaps)],
    }
    for group in (1, 2, 4):
        columns[f"since_start_in{group}"] = [bars % group for bars in since]
    for group in (2, 4):
        columns[f"left_in{group}"] = [bars % group for bars in left]
    return columns


def _waits(m: Melody) -> Columns:
    """Tell how far the last rest is, and the nearest steps as long as this one."""
    since: list[float] = []
    until: list[float] = []
    since_rest: list[float] = []
    steps, places = m.steps, m.places
    rested = places[0]
    for k in range(m.gaps):
        shorter = steps[k] - ALMOST
        j = k - 1
        while j >= 0 and steps[j] < shorter and k - j < LONGEST_LOOK:
            j -= 1
        since.append(min(places[k + 1] - places[j + 1], FARTHEST_BARS))
        j = k + 1
        while j <= m.gaps and steps[j] < shorter and j - k < LONGEST_LOOK:
            j += 1
        end = places[j + 1] if j < m.gaps else m.end_place
        until.append(min(end - places[k + 1], FARTHEST_BARS))
        since_rest.append(min(places[k + 1] - rested, FARTHEST_BARS))
        if m.rests[k] > ALMOST:
            rested = places[k + 1]
    return {
        "bars_since_long": since,
        "bars_until_long": until,
        "bars_since_rest": since_rest,
    }
