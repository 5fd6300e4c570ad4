"""What hearing how loud a run was does for learning a player's air.

Run it by hand: ``uv run python -m tests.benchmarks.heard_loudness``.  Simulated runs of
two breaths, whose player fades through each breath by chance, keeps some of the page's
dynamics too flat, and is out of air at a known moment.  Told is the error of the flow
that this moment shows, as a natural logarithm, mean of its size (and mean): with the
dynamics of the page, and drawn to what was heard, for several shares of belief.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from statistics import fmean

from coach.rehearsal.learning.replaying import (
    at_step,
    find_edge,
    lay_notes,
    lay_stretches,
)
from coach.rehearsal.learning.sounded_loudness import as_sounded
from coach.rehearsal.run.evidence import AskedNote, Evidence, SoundedNote, TakenBreath
from tests.rehearsal.learning.played_runs import AIR, SETTINGS, WHOM

RUNS = 250
NOTE_S = 0.3
BREATH_S = 0.5
KEYS = (46, 50, 53, 55, 58)
SHARES = (0.3, 0.5, 0.7, 1.0)


@dataclass(frozen=True, slots=True)
class SimulatedRun:
    """One run, as the page and the ear have it, and as it was."""

    page: Evidence
    true: Evidence
    out_s: float


def simulate(rng: random.Random, fade_steps: float, noise_db: float) -> SimulatedRun:
    """Play a run whose breaths fade by so many steps, heard with so much noise."""
    count = rng.choice([32, 48])
    half = count // 2
    keys = [rng.choice(KEYS) for _ in range(count)]
    own_db = {key: rng.gauss(0.0, 2.0) for key in KEYS}
    asked = [
        0.0 if (k // 8) % 2 == 0 else rng.choice([0.0, 1.0, -1.0]) for k in range(count)
    ]
    fades = [rng.gauss(0.0, fade_steps) for _ in range(2)]
    flat = 0.7 if rng.random() < 0.3 else 0.0
    off = [
        fades[k // half] * (1 - 2 * (k % half) / half)
        + rng.gauss(0.0, 0.2)
        - flat * asked[k]
        for k in range(count)
    ]
    starts = [k * NOTE_S + (BREATH_S if k >= half else 0.0) for k in range(count)]

    def notes(louder: list[float]) -> tuple[AskedNote, ...]:
        return tuple(
            AskedNote(at, NOTE_S, key, loud, loud, "tongued", 0.0)
            for at, key, loud in zip(starts, keys, louder, strict=True)
        )

    played = [ask + more for ask, more in zip(asked, off, strict=True)]
    sounded = tuple(
        SoundedNote(
            1 + k // 8,
            0.0,
            SETTINGS.step_db * played[k] + own_db[keys[k]] + rng.gauss(0.0, noise_db),
        )
        for k in range(count)
    )
    breath = TakenBreath(half - 1, starts[half] - BREATH_S, starts[half])
    out_s = starts[-1] * rng.uniform(0.55, 1.0)
    return SimulatedRun(
        Evidence(notes(asked), (breath,), sounded),
        Evidence(notes(played), (breath,)),
        out_s,
    )


def flow_shown(evidence: Evidence, out_s: float) -> float:
    """Give the flow at which the air is gone at a moment."""
    notes = [at_step(*note, 1.0, AIR) for note in lay_notes(evidence, WHOM)]
    laid = lay_stretches(evidence, notes, WHOM.player.capacity_l)
    return find_edge(laid, (out_s, out_s), AIR).latest


def errors(runs: list[SimulatedRun], share: float) -> Iterator[float]:
    """Give the error of each run, with so much of what was heard believed."""
    settings = replace(SETTINGS, heard_loudness_share=share)
    for run in runs:
        shown = flow_shown(as_sounded(run.page, settings), run.out_s)
        yield shown - flow_shown(run.true, run.out_s)


def main() -> None:
    """Print a row for each kind of player."""
    for fade_steps, noise_db in ((0.0, 1.0), (0.4, 1.0), (0.8, 1.0), (0.8, 2.0)):
        rng = random.Random(5)
        runs = [simulate(rng, fade_steps, noise_db) for _ in range(RUNS)]
        told = []
        for share in (0.0, *SHARES):
            found = list(errors(runs, share))
            size = fmean(map(abs, found))
            told.append(f"{share:g}: {size:.4f} ({fmean(found):+.4f})")
        print(f"fade {fade_steps} steps, noise {noise_db} dB; {' | '.join(told)}")


if __name__ == "__main__":
    main()
