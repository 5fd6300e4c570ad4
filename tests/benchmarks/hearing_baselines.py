"""How our ear compares with generic ways to find where notes begin, on the same takes.

Run it by hand; librosa (ISC licence) is wanted by this benchmark alone, so it is
installed for the run::

    uv run --with librosa==0.11.0 python -m tests.benchmarks.hearing_baselines

Every way is given the same takes and scored in the same run by mir_eval (onsets matched
by time, windows of 50 and 25 ms): raw, and with the way's own median error taken off
each take, since a constant delay says more of a definition than of a detector.  Each
way has one number that is tuned, over the seeds of `--tune`, which no figure is told
of.  Only the last two ways know the page.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import mir_eval.onset
import mir_eval.util
import numpy as np
from numpy.typing import NDArray

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.take import Take
from tests.benchmarks.hearing import casts
from tests.hearing_room.takes import performed
from tests.hearing_room.whole_takes import hear

Numbers = NDArray[np.float64]
Way = Callable[[Take, DuePart, float], Numbers]
"""Onsets in seconds of the take, of a take, the page and the tuned number."""

SETTINGS = read_hearing_settings()
RATE_HZ = 22_050
HOP = 220
"""10 ms."""

WINDOW = 1024
LOWEST_HZ, HIGHEST_HZ = 55.0, 1400.0
"""Around a trombone's range, as a general tracker would be told."""

FASTEST_S = 0.05
"""Two onsets of one instrument are no nearer."""


@dataclass
class Tally:
    """F1 of each take, and errors of onsets that were found."""

    at_50: list[float] = field(default_factory=list)
    at_25: list[float] = field(default_factory=list)
    shifted_50: list[float] = field(default_factory=list)
    shifted_25: list[float] = field(default_factory=list)
    errors: list[float] = field(default_factory=list)
    spent_s: float = 0.0
    length_s: float = 0.0

    def add(self, true: Numbers, told: Numbers) -> None:
        """Score one take."""
        self.at_50.append(f1(true, told, 0.05))
        self.at_25.append(f1(true, told, 0.025))
        errors = errors_of(true, told)
        shift = float(np.median(errors)) if len(errors) else 0.0
        self.shifted_50.append(f1(true, told - shift, 0.05))
        self.shifted_25.append(f1(true, told - shift, 0.025))
        self.errors += errors.tolist()

    def row(self) -> str:
        """Sum it up in one line."""
        errors = np.array(self.errors or [0.0]) * 1000
        means = (self.at_50, self.at_25, self.shifted_50, self.shifted_25)
        figures = " ".join(f"{np.mean(mean):.3f}" for mean in means)
        return (
            f"F1 50/25 ms, shifted 50/25: {figures}; "
            f"median {np.median(errors):+.1f} ms, "
            f"|median| {np.median(np.abs(errors)):.1f}, "
            f"p95 {np.percentile(np.abs(errors), 95):.0f}; of real time "
            f"{self.spent_s / max(self.length_s, 1e-9):.3f}"
        )


def f1(true: Numbers, told: Numbers, window_s: float) -> float:
    """Give F1 by mir_eval, which takes no times below 0."""
    told = np.sort(np.maximum(told, 0.0))
    return float(mir_eval.onset.f_measure(true, told, window=window_s)[0])


def errors_of(true: Numbers, told: Numbers) -> Numbers:
    """Pair onsets within 100 ms and give how late each one was told."""
    pairs = mir_eval.util.match_events(true, np.sort(told), 0.1)
    return np.array([np.sort(told)[k] - true[j] for j, k in pairs])


def flux(take: Take, due: DuePart, over: float) -> Numbers:
    """Find peaks of spectral flux over their surroundings (Dixon 2006, in short)."""
    del due
    sound = at_rate(take)
    frames = np.lib.stride_tricks.sliding_window_view(sound, WINDOW)[::HOP]
    power = np.abs(np.fft.rfft(frames * np.hanning(WINDOW), axis=1))
    rise = np.maximum(np.diff(np.log1p(100.0 * power), axis=0), 0.0).sum(axis=1)
    rise = rise / (rise.std() + 1e-9)
    around = np.array(
        [np.median(rise[max(0, k - 10) : k + 11]) for k in range(len(rise))]
    )
    peaks = [
        k
        for k in range(3, len(rise) - 3)
        if rise[k] == rise[k - 3 : k + 4].max() and rise[k] > around[k] + over
    ]
    return apart((k + 1) * HOP / RATE_HZ + WINDOW / 2 / RATE_HZ for k in peaks)


def library_flux(take: Take, due: DuePart, over: float) -> Numbers:
    """Find onsets by librosa's own detector: mel flux and peaks, not backtracked."""
    del due
    import librosa

    found: Any = librosa.onset.onset_detect(
        y=at_rate(take), sr=RATE_HZ, hop_length=HOP, delta=over, units="time"
    )
    return np.asarray(found, dtype=np.float64)


def tracked(take: Take, due: DuePart, apart_semitones: float) -> Numbers:
    """Track the pitch by pYIN, and cut where it is new or was not there."""
    del due
    keys = keys_of(take)
    held, onsets, silent = -1.0, [], 2
    for k, key in enumerate(keys):
        if key < 0:
            silent += 1
            continue
        ahead = keys[k : k + 4]
        is_held = len(ahead) == 4 and bool(np.all(np.abs(ahead - key) < 0.5))
        if is_held and (silent >= 2 or abs(key - held) > apart_semitones):
            onsets.append(k * HOP / RATE_HZ)
            held = key
        silent = 0
    return apart(onsets)


PITCHES: list[tuple[Take, Numbers]] = []
"""Pitch tracks of takes: slow, and the same whatever number is tuned."""


def keys_of(take: Take) -> Numbers:
    """Give the pitch of each frame by pYIN, in keys; -1 where there is none."""
    import librosa

    for other, keys in PITCHES:
        if other is take:
            return keys
    found: Any = librosa.pyin(
        at_rate(take),
        fmin=LOWEST_HZ,
        fmax=HIGHEST_HZ,
        sr=RATE_HZ,
        frame_length=2048,
        hop_length=HOP,
    )
    hertz = np.nan_to_num(found[0], nan=440.0)
    keys = np.where(found[1], 69.0 + 12.0 * np.log2(hertz / 440.0), -1.0)
    PITCHES.append((take, keys))
    return keys


def warped(take: Take, due: DuePart, weight: float) -> Numbers:
    """Lay the page along the take by DTW over semitones (librosa), as is usual."""
    import librosa

    spectrum: Any = np.abs(
        librosa.cqt(
            at_rate(take),
            sr=RATE_HZ,
            hop_length=HOP_CQT,
            fmin=librosa.midi_to_hz(LOWEST_KEY),
            n_bins=KEYS_COUNT,
        )
    )
    rise = np.maximum(np.diff(np.log1p(spectrum), axis=1, prepend=0.0), 0.0)
    heard = np.vstack([unit(spectrum), weight * unit(rise)])
    step_s = HOP_CQT / RATE_HZ
    lead_s = 0.5
    count = int((float(due.notes[-1].end) + 2 * lead_s) / step_s)
    roll, begins = np.zeros((KEYS_COUNT, count)), np.zeros((KEYS_COUNT, count))
    first = [int((float(note.due) + lead_s) / step_s) for note in due.notes]
    for at, note in zip(first, due.notes, strict=True):
        until = int((float(note.end) + lead_s) / step_s)
        for partial, share in ((0, 1.0), (12, 0.7), (19, 0.5), (24, 0.4)):
            key = note.midi - LOWEST_KEY + partial
            if 0 <= key < KEYS_COUNT:
                roll[key, at:until] = share
                begins[key, at : at + 2] = share
    page = np.vstack([unit(roll), weight * unit(begins)])
    path: Any = librosa.sequence.dtw(page, heard, metric="euclidean", subseq=True)[1]
    by_page: dict[int, int] = {int(row): int(column) for row, column in path}
    return np.array([by_page[at] * step_s for at in first if at in by_page])


LOWEST_KEY, KEYS_COUNT, HOP_CQT = 28, 72, 256


def unit(columns: Numbers) -> Numbers:
    """Bring each column to length 1; what is nearly nothing stays so."""
    length = np.linalg.norm(columns, axis=0, keepdims=True)
    return np.asarray(columns / np.maximum(length, 0.05 * length.max()))


def ours(take: Take, due: DuePart, _: float) -> Numbers:
    """Find the notes of the page with our ear."""
    heard = hear(take, due, SETTINGS)
    if not isinstance(heard, Heard):
        return np.zeros(0)
    told = [float(note.heard) for note in heard.notes if note.heard is not None]
    return np.sort(np.array(told) - float(heard.offset))


def at_rate(take: Take) -> NDArray[np.float32]:
    """Give a take at the rate at which all but our ear look at it."""
    count = int(take.length * RATE_HZ)
    places = np.arange(count) * (take.rate_hz / RATE_HZ)
    known = np.arange(len(take.samples))
    width = max(1, round(take.rate_hz / RATE_HZ))
    smooth = np.convolve(take.samples, np.ones(width) / width, mode="same")
    return np.asarray(np.interp(places, known, smooth), dtype=np.float32)


def apart(times: Iterable[float]) -> Numbers:
    """Leave out what comes too soon after another."""
    kept: list[float] = []
    for time_s in times:
        if not kept or time_s - kept[-1] >= FASTEST_S:
            kept.append(time_s)
    return np.array(kept)


WAYS: dict[str, tuple[Way, Sequence[float]]] = {
    "spectral flux, peaks over their median": (flux, (0.5, 1.0, 1.5, 2.0, 3.0)),
    "librosa onset_detect": (library_flux, (0.03, 0.07, 0.15, 0.3)),
    "pYIN and segmentation": (tracked, (0.4, 0.6, 0.8)),
    "semitones and DTW (knows the page)": (warped, (0.0, 0.5, 1.0)),
    "our ear (knows the page)": (ours, (0.0,)),
}


def takes(seeds: range) -> Iterator[tuple[Take, DuePart, Numbers]]:
    """Record every voice in the usual world, with the onsets that are true."""
    for seed, cast in casts(seeds):
        one = performed(seed, cast)
        take = one.taken(seed)
        began = float(take.sounding.began or 0.0)
        true = np.sort(np.array([note.on - began for note in one.played.notes]))
        yield take, one.study.due, true


def score(
    way: Way, number: float, every: Iterable[tuple[Take, DuePart, Numbers]]
) -> Tally:
    """Score a way on takes."""
    tally = Tally()
    for take, due, true in every:
        began = time.process_time()
        told = way(take, due, number)
        tally.spent_s += time.process_time() - began
        tally.length_s += float(take.length)
        tally.add(true, told)
    return tally


def seeds_of(words: str) -> range:
    """Read seeds: first-last."""
    first, _, last = words.partition("-")
    return range(int(first), int(last or first) + 1)


def main() -> None:
    """Tune each way, then print its row."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="300-301", help="told of: first-last")
    parser.add_argument("--tune", default="1-2", help="tuned on: first-last")
    parser.add_argument("--ways", nargs="*", default=[], help="first words of rows")
    asked = parser.parse_args()
    tuned_on, told = (
        list(takes(seeds_of(asked.tune))),
        list(takes(seeds_of(asked.seeds))),
    )
    notes = sum(len(true) for _, _, true in told)
    print(f"{len(told)} takes, {notes} notes; tuned on {len(tuned_on)} others")
    for name, (way, numbers) in WAYS.items():
        if asked.ways and not any(name.startswith(word) for word in asked.ways):
            continue
        best = max(
            numbers,
            key=lambda number: (
                float(np.mean(score(way, number, tuned_on).at_50))
                if len(numbers) > 1
                else 0.0
            ),
        )
        print(f"{name} ({best:g})\n    {score(way, best, told).row()}", flush=True)


if __name__ == "__main__":
    main()
