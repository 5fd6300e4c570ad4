"""How much memory the child process takes that hears a recording, and how long.

Run it by hand: ``uv run python -m tests.benchmarks.hearing_memory --minutes 1 10``.  A
study as long as that is played, written as a file and read by the child, as it is for
``coach listen``; the peak is the system's own count of that process.
"""

from __future__ import annotations

import argparse
import tempfile
from dataclasses import replace
from pathlib import Path
from queue import SimpleQueue
from typing import Any

import soundfile

from coach.edges.hearing.ear_process import EarProcess
from coach.edges.hearing.frozen_words import to_words
from coach.edges.hearing.heard_answer import read_said
from coach.rehearsal.hearing.heard import Heard
from tests.benchmarks.heard_runs import cost_of
from tests.hearing_room.studies import PHRASE_BEATS
from tests.hearing_room.takes import cast_of, performed

BPM = 72.0
PATIENCE_S = 120.0


def measure(minutes: float, seed: int) -> None:
    """Print what hearing a take of some minutes costs."""
    phrases = round(minutes * BPM / PHRASE_BEATS)
    cast = replace(cast_of(seed, "partials"), bpm=BPM, phrase_count=phrases)
    one = performed(seed, cast)
    take = one.taken(seed)
    told: SimpleQueue[dict[str, Any] | None] = SimpleQueue()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "take.wav"
        soundfile.write(path, take.samples, round(take.rate_hz), subtype="PCM_24")
        child = EarProcess(told.put)
        try:
            child.ask(
                do="read",
                path=str(path),
                due=to_words(one.study.due),
                sounding=to_words(take.sounding),
            )
            answer: dict[str, Any] | None = {"share": 0.0}
            while answer is not None and "share" in answer:
                answer = told.get(timeout=PATIENCE_S)
            used_s, peak_mb = cost_of(child._process.pid)
        finally:
            child.end()
    said = read_said(answer) if answer else None
    found = (
        sum(n.heard is not None for n in said.notes) if isinstance(said, Heard) else 0
    )
    print(
        f"{take.length / 60.0:.1f} min, {found} of {len(one.study.due.notes)} notes: "
        f"peak {peak_mb:.0f} MB, {used_s:.2f} s of a core "
        f"({used_s / take.length:.4f} of real time)",
        flush=True,
    )


def main() -> None:
    """Measure takes of some lengths."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", nargs="+", type=float, default=[1.0, 5.0, 10.0])
    parser.add_argument("--seed", type=int, default=10)
    asked = parser.parse_args()
    for minutes in asked.minutes:
        measure(minutes, asked.seed)


if __name__ == "__main__":
    main()
