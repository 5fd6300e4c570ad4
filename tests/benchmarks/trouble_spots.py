"""Mark simulated runs, and see which places the review takes for trouble.

``uv run python -m tests.benchmarks.trouble_spots [ETUDES] [FIRST SEED]``

Each etude has 8 to 48 bars; a bar goes wrong in 3 of 100 runs by chance, and planted
ones in 35.  Seeds from 1000 on were for tuning; figures that are told come from seeds
below.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from random import Random

from coach.config import read_settings
from coach.rehearsal.review.trouble import Trouble, find_trouble
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds

ETUDES = 300
BY_CHANCE = 0.03
PLANTED = 0.35
LENGTHS = (8, 16, 24, 36, 48)
FIRST_DAY = datetime(2025, 3, 3, 9, tzinfo=UTC)
SETTINGS = read_settings(TroubleSettings, "rehearsal", "trouble")


def play(bars: int, runs: int, often: Mapping[int, float], chance: Random) -> list[Run]:
    """Play so many runs; in each a bar goes wrong by chance."""
    return [
        _run(
            k,
            bars,
            [b for b in _all(bars) if chance.random() < often.get(b, BY_CHANCE)],
        )
        for k in range(runs)
    ]


def named(runs: list[Run], bars: int) -> tuple[Trouble, ...]:
    """Ask for trouble."""
    return find_trouble(runs, (1, bars), SETTINGS)


def _all(bars: int) -> range:
    """Count bars."""
    return range(1, bars + 1)


def _run(k: int, bars: int, wrong: list[int]) -> Run:
    """Make a run with its marks."""
    return Run(
        started=FIRST_DAY + timedelta(minutes=2 * k),
        etude="Simulated",
        from_bar=1,
        to_bar=bars,
        bpm=80.0,
        is_completed=True,
        is_clean=not wrong,
        is_whole=True,
        reached_bar=bars,
        marks=tuple(
            Mark(MarkKind.RUSHED, bar, 1.0, Seconds(4.0 * bar)) for bar in wrong
        ),
    )


def share_named_by_chance(runs: int, etudes: int, first_seed: int) -> float:
    """Tell in which share of etudes chance alone names a place."""
    found = 0
    for seed in range(first_seed, first_seed + etudes):
        chance = Random(seed)
        bars = LENGTHS[seed % len(LENGTHS)]
        found += bool(named(play(bars, runs, {}, chance), bars))
    return found / etudes


def find_planted(etudes: int, first_seed: int) -> tuple[float, float, float]:
    """Tell recall and precision by bar at 24 runs, and how many stay when mended."""
    planted_count = found = right = stay = 0
    for seed in range(first_seed, first_seed + etudes):
        chance = Random(seed)
        bars = LENGTHS[seed % len(LENGTHS)]
        planted = set(chance.sample(list(_all(bars)), 2))
        runs = play(bars, 24, dict.fromkeys(planted, PLANTED), chance)
        places = named(runs, bars)
        told = {bar for at in places for bar in range(at.from_bar, at.to_bar + 1)}
        planted_count += len(planted)
        right += len(told & planted)
        found += len(told)
        mended = [*runs, *(_run(24 + k, bars, []) for k in range(6))]
        stay += len(named(mended, bars))
    return right / planted_count, right / max(1, found), stay / etudes


def main() -> None:
    """Print the figures."""
    etudes = int(sys.argv[1]) if len(sys.argv) > 1 else ETUDES
    first_seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    for runs in (6, 24, 60):
        share = share_named_by_chance(runs, etudes, first_seed)
        print(f"chance only, {runs} runs: {share:.1%} of {etudes} etudes named")
    recall, precision, stay = find_planted(etudes, first_seed)
    print(f"two bars at {PLANTED:.0%}, 24 runs: recall {recall:.1%}, ", end="")
    print(f"precision {precision:.1%}; places left after six clean runs: {stay:.2f}")


if __name__ == "__main__":
    main()
