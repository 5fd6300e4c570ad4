"""Hold `phrase_ends` to the phrases that people marked, and take its time.

    uv run python -m tests.benchmarks.phrase_ends

The ``erk*`` files of the Essen collection are not learned from.  Counted are the gaps
inside a tune, its last note excluded; F1 is over all gaps of all tunes.  In the same
run stands the local boundary detection model, cut where it is best on these very
tunes, so that the figures can be compared with published ones: on 1,705 melodies of
the same collection F1 was 0.66 for the best rules and for a hybrid, 0.63 for that
model, 0.58 for a statistical one (M. Pearce, D. Müllensiefen and G. Wiggins, "A
comparison of statistical and rule-based models of melodic segmentation", Proc. ISMIR
2008; figures from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from statistics import mean, median, pstdev
from tempfile import TemporaryDirectory
from time import perf_counter, process_time

from coach.edges.scores.score_files import read_part
from coach.planning.phrasing.phrase_signs import odds_to_chance
from coach.planning.phrasing.phrasing import phrase_ends
from coach.score.phrase import Part
from tests.benchmarks.essen import Song, in_bars_of_its_metre, read_songs
from tests.benchmarks.studies_of_songs import elaborate, join

Chances = Sequence[Sequence[float]]
CUTS = [k / 100 for k in range(5, 100)]
LONG_PART_NOTES = (1_250, 2_500, 5_000, 10_000)


@dataclass(frozen=True)
class Figures:
    """How well chances, cut somewhere, find the marked ends."""

    precision: float
    recall: float
    cut: float

    @property
    def f1(self) -> float:
        """Harmonic mean of precision and recall."""
        both = self.precision + self.recall
        return 2 * self.precision * self.recall / both if both else 0.0

    def __str__(self) -> str:
        """Write them in one line."""
        return (
            f"precision {self.precision:.3f}  recall {self.recall:.3f}  "
            f"F1 {self.f1:.4f}  (cut at {self.cut:.2f})"
        )


def measure(songs: Sequence[Song], chances: Chances, cut: float = 0.5) -> Figures:
    """Count the hits over all gaps of all songs."""
    hits = said = marked = 0
    for song, own in zip(songs, chances, strict=True):
        found = {k for k, chance in enumerate(own) if chance >= cut}
        hits += len(found.intersection(song.ends))
        said += len(found)
        marked += len(song.ends)
    return Figures(hits / max(1, said), hits / max(1, marked), cut)


def best_cut(songs: Sequence[Song], chances: Chances) -> Figures:
    """Cut where F1 is highest."""
    return max((measure(songs, chances, cut) for cut in CUTS), key=lambda x: x.f1)


def local_boundaries(part: Part) -> list[float]:
    """Give the peaks of strength by the local boundary detection model.

    E. Cambouropoulos, Proc. ICMC 2001: change of pitch interval, of time from start
    to start and of rest, each the interval times its differences from both its
    neighbours, each scaled to 1; weights 1/4, 1/2, 1/4.  Peaks are measured in
    standard deviations above the tune's mean, as Pearce et al. pick them, and mapped
    to 0 to 1.
    """
    notes = part.notes
    pairs = list(pairwise(notes))
    pitches = [float(abs(b.sounding.midi - a.sounding.midi)) for a, b in pairs]
    steps = [float(b.onset - a.onset) for a, b in pairs]
    rests = [max(0.0, float(b.onset - a.end)) for a, b in pairs]
    profiles = [_profile(values) for values in (pitches, steps, rests)]
    strengths = [p / 4 + s / 2 + r / 4 for p, s, r in zip(*profiles, strict=True)]
    around = [-1.0, *strengths, -1.0]
    middle, spread = mean(strengths), pstdev(strengths) or 1.0
    return [
        odds_to_chance((here - middle) / spread) if before < here >= after else 0.0
        for before, here, after in zip(around, strengths, around[2:], strict=False)
    ]


def _profile(values: list[float]) -> list[float]:
    change = [abs(a - b) / (a + b) if a + b else 0.0 for a, b in pairwise(values)]
    around = [0.0, *change, 0.0]
    raw = [v * (around[k] + around[k + 1]) for k, v in enumerate(values)]
    highest = max(raw)
    return [value / highest if highest else 0.0 for value in raw]


def time_each(
    songs: Sequence[Song], judge: Callable[[Part], Sequence[float]]
) -> tuple[list[Sequence[float]], list[float]]:
    """Judge every song and take the milliseconds of processor time of each."""
    chances, took_ms = [], []
    for song in songs:
        before = process_time()
        chances.append(judge(song.part))
        took_ms.append((process_time() - before) * 1000)
    return chances, took_ms


def show_time_of_long_parts(songs: Sequence[Song]) -> None:
    """Show that the time grows with the notes, and no faster."""
    in_two = [song for song in songs if str(song.part.bars[0].metre) == "2/4"]
    whole = join([elaborate(song, 0) for song in in_two]).part
    for count in LONG_PART_NOTES:
        part = replace(whole, notes=whole.notes[:count])
        before = process_time()
        phrase_ends(part)
        took_s = process_time() - before
        print(f"{count:6d} notes: {took_s:.3f} s, {took_s / count * 1e6:.0f} µs a note")


def show_reader(songs: Sequence[Song]) -> None:
    """Show that a song read by the coach's own reader gets the same chances."""
    alike = []
    with TemporaryDirectory() as folder:
        for song in songs:
            path = Path(folder) / "song.abc"
            path.write_text(song.music, encoding="utf-8")
            read = phrase_ends(read_part(path))
            own = phrase_ends(song.part)
            alike.append(
                len(read) == len(own)
                and max(abs(a - b) for a, b in zip(read, own, strict=True)) < 0.1
            )
    print(f"read by the coach: {sum(alike)} of {len(alike)} songs judged alike")


def main() -> None:
    """Print every figure."""
    songs = read_songs("erk*.abc")
    phrase_ends(songs[0].part)
    began = perf_counter()
    chances, took_ms = time_each(songs, phrase_ends)
    by_the_clock_ms = (perf_counter() - began) * 1000 / len(songs)
    models, model_ms = time_each(songs, local_boundaries)
    gaps = sum(len(own) for own in chances)
    print(f"{len(songs)} songs, {gaps} gaps, {sum(len(s.ends) for s in songs)} ends")
    print("phrase_ends        ", measure(songs, chances))
    print("  at its best cut  ", best_cut(songs, chances))
    print("local boundaries   ", best_cut(songs, models))
    print(
        f"processor time a song: mean {mean(took_ms):.2f} ms, median "
        f"{median(took_ms):.2f}, worst {max(took_ms):.1f}; "
        f"{mean(took_ms) / mean(model_ms):.0f} × the model's; "
        f"by the clock {by_the_clock_ms:.2f} ms"
    )
    bare = [in_bars_of_its_metre(song.part) for song in songs]
    print("bars of the metre  ", measure(songs, [phrase_ends(part) for part in bare]))
    studies = [elaborate(song, 7) for song in songs]
    print(
        "studies of them    ",
        measure(studies, [phrase_ends(study.part) for study in studies]),
    )
    print(
        "  local boundaries ",
        best_cut(studies, [local_boundaries(study.part) for study in studies]),
    )
    show_reader(songs[::40])
    show_time_of_long_parts(songs)


if __name__ == "__main__":
    main()
