"""Let simulated players climb by the ladder's advice, and beside it by fixed rules.

``uv run python -m tests.benchmarks.ladder_climbs [PLAYERS] [FIRST SEED]``

A player can play each bar comfortably up to a tempo of its own, which rises as it is
practised near that tempo; a run is clean if no bar goes wrong.  The fixed rules play
the whole: up a notch after so many clean runs in a row, down after so many failed ones,
beginning at a share of the goal.  The goal is reached with three clean runs of the
whole in a row.  Seeds from 1000 on were for tuning.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from math import exp, log
from random import Random
from statistics import fmean, median, stdev

from coach.config import read_settings
from coach.rehearsal.ahead.outlook import Ahead, Elsewhere, Outlook
from coach.rehearsal.click.tempo_scale import TempoSettings, step_tempo
from coach.rehearsal.review.advice import Advice, Standing
from coach.rehearsal.review.ladder import advise
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.parts import first_tempo
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds

PLAYERS = 200
BARS = (1, 16)
PARTS = ((1, 5), (5, 9), (9, 13), (13, 16))
GOAL_BPM = 96.0
MOST_RUNS = 240
RUNS_A_DAY = 24
QUICK_RUNS = 3
"""A turn is quick that comes so few runs after the move that it takes back."""

PACE_PER_S = 8.0
"""Notes a second at the goal; only its share matters."""

FIRST_DAY = datetime(2025, 3, 3, 9, tzinfo=UTC)
SCALE = read_settings(TempoSettings, "rehearsal", "tempo")
LADDER = read_settings(LadderSettings, "rehearsal", "ladder")
Rule = tuple[int, int, float]
FIXED: Sequence[Rule] = tuple(
    (up, down, share)
    for up in (1, 2, 3, 5)
    for down in (1, 2, 3)
    for share in (0.5, 0.65, 0.8, 1.0)
)


@dataclass
class Climber:
    """A player, with the tempo up to which each bar is comfortable."""

    chance: Random
    comfort: dict[int, float] = field(default_factory=dict)
    learns: float = 0.012

    def play(self, bars: tuple[int, int], bpm: float) -> list[int]:
        """Play bars once, learn by it, and give those that went wrong."""
        wrong = []
        for bar in range(bars[0], bars[1] + 1):
            above = log(bpm / self.comfort[bar])
            if self.chance.random() < 0.3 / (1 + exp(-(above - 0.1) / 0.03)):
                wrong.append(bar)
            self.comfort[bar] *= exp(self.learns * exp(-((above / 0.2) ** 2)))
        return wrong


def draw(seed: int, share: float | None = None, learns: float = 0.012) -> Climber:
    """Draw a player; `share` of the goal is comfortable in all bars if given."""
    chance = Random(seed)
    level = chance.uniform(0.55, 0.9) if share is None else share
    spread = 0.1 if share is None else 0.0
    comfort = {
        bar: GOAL_BPM * level * exp(abs(chance.gauss(0.0, spread)))
        for bar in range(BARS[0], BARS[1] + 1)
    }
    return Climber(chance, comfort, learns)


Choose = Callable[[Sequence[Run], Standing], Advice]


def climb(player: Climber, choose: Choose, most: int = MOST_RUNS) -> list[Run]:
    """Do as is said until the goal is reached three times in a row, or for long."""
    runs: list[Run] = []
    bars, bpm, now, today = BARS, GOAL_BPM, FIRST_DAY, 0
    while len(runs) < most and not _is_there(runs):
        advice = choose(runs, _standing(bars, bpm, now, runs))
        if advice.kind == "rest":
            now += timedelta(minutes=6)
            if (today and "rest the lips" not in advice.why) or today >= RUNS_A_DAY:
                now, today = _morning_after(now), 0
            bars = BARS
            continue
        bars, bpm = (advice.from_bar, advice.to_bar), advice.bpm
        wrong = player.play(bars, bpm)
        runs.append(_run(now, bars, bpm, wrong))
        now, today = now + timedelta(seconds=50), today + 1
        if today >= RUNS_A_DAY:
            now, today = _morning_after(now), 0
    return runs


def by_ladder(runs: Sequence[Run], here: Standing) -> Advice:
    """Ask the coach."""
    return advise(runs, here, LADDER, SCALE)


def by_ladder_and_log(seed: int) -> Choose:
    """Ask the coach, which knows from other etudes what this player can do.

    There a player is as quick as in the harder half of this one's bars, a tenth more or
    less, since no two etudes are alike.
    """
    comfort = sorted(draw(seed).comfort.values())
    level = fmean(comfort[: len(comfort) // 2]) * exp(Random(seed).gauss(0.0, 0.1))
    elsewhere = Elsewhere(PACE_PER_S * level / GOAL_BPM, is_limit=True)
    outlook = Outlook(
        lambda _, bpm: Ahead(0.6, None, (), PACE_PER_S * bpm / GOAL_BPM, 0.5),
        lambda: elsewhere,
    )
    return lambda runs, here: by_ladder(runs, replace(here, outlook=outlook))


def by_rule(rule: Rule) -> Choose:
    """Give a fixed rule."""
    up, down, share = rule
    begin = first_tempo(GOAL_BPM, SCALE, replace(LADDER, start_share=share))

    def choose(runs: Sequence[Run], _: Standing) -> Advice:
        bpm, clean, failed = begin, 0, 0
        for run in runs:
            clean, failed = (clean + 1, 0) if run.is_clean else (0, failed + 1)
            if clean >= up and bpm < GOAL_BPM:
                bpm, clean = min(GOAL_BPM, step_tempo(bpm, 1, SCALE)), 0
            elif failed >= down:
                bpm, failed = step_tempo(bpm, -1, SCALE), 0
        return Advice("again", *BARS, bpm, "")

    return choose


def turns(runs: Sequence[Run]) -> tuple[int, int]:
    """Count moves of the tempo of the same bars in a day, and quick turns of these."""
    moves = quick = 0
    last: dict[tuple[int, int], tuple[float, int, int, datetime]] = {}
    for k, run in enumerate(runs):
        bars = (run.from_bar, run.to_bar)
        bpm, way, since, when = last.get(bars, (run.bpm, 0, k, run.started))
        if run.bpm != bpm:
            turned = 1 if run.bpm > bpm else -1
            moves += 1
            quick += turned == -way and k - since <= QUICK_RUNS
            way, since = turned, k
        last[bars] = (run.bpm, way, since, when)
    return moves, quick


def _is_there(runs: Sequence[Run]) -> bool:
    """Tell whether the last three runs were the whole, at the goal, and clean."""
    return len(runs) > 2 and all(
        run.is_clean and run.is_whole and run.bpm >= GOAL_BPM for run in runs[-3:]
    )


def _standing(
    bars: tuple[int, int], bpm: float, now: datetime, runs: Sequence[Run]
) -> Standing:
    """Say where the rehearsal stands."""
    following = None
    if bars != BARS:
        following = next((part for part in PARTS if part[0] >= bars[1]), None)
    day = tuple(run for run in runs if run.started.date() == now.date())
    return Standing(
        *bars, bars == BARS, bpm, GOAL_BPM, following, BARS, now, parts=PARTS, day=day
    )


def _run(now: datetime, bars: tuple[int, int], bpm: float, wrong: list[int]) -> Run:
    """Make the run, with its marks."""
    return Run(
        started=now,
        etude="Simulated",
        from_bar=bars[0],
        to_bar=bars[1],
        bpm=bpm,
        is_completed=True,
        is_clean=not wrong,
        is_whole=bars == BARS,
        reached_bar=bars[1],
        lasted=Seconds(2.5 * (bars[1] - bars[0] + 1)),
        marks=tuple(Mark(MarkKind.MISSED, bar, 1.0, Seconds(bar)) for bar in wrong),
    )


def _morning_after(now: datetime) -> datetime:
    """Give nine o'clock of the next day."""
    return now.replace(hour=9, minute=0, second=0) + timedelta(days=1)


def _bars_of(climbs: Sequence[Sequence[Run]]) -> float:
    """Tell how many bars were played, which is the time that it took."""
    return fmean(sum(run.to_bar - run.from_bar + 1 for run in runs) for runs in climbs)


def main() -> None:
    """Print the figures."""
    players = int(sys.argv[1]) if len(sys.argv) > 1 else PLAYERS
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    seeds = range(first, first + players)
    climbs = [climb(draw(seed), by_ladder) for seed in seeds]
    moves, quick = (sum(both) for both in zip(*map(turns, climbs), strict=True))
    lengths = [len(runs) for runs in climbs]
    bars = _bars_of(climbs)
    print(f"{players} players; ladder: goal after {median(lengths)} runs ", end="")
    print(f"(mean {fmean(lengths):.1f}, {bars:.0f} bars played, ", end="")
    print(f"{sum(n >= MOST_RUNS for n in lengths)} not at all)")
    print(f"quick turns: {quick} of {moves} moves, {quick / moves:.1%}")
    known = [climb(draw(seed), by_ladder_and_log(seed)) for seed in seeds]
    print(f"with other etudes in the log: mean {fmean(map(len, known)):.1f}")
    fixed = sorted(
        (fmean(len(climb(draw(s), by_rule(rule))) for s in seeds), rule)
        for rule in FIXED
    )
    best_climbs = [climb(draw(seed), by_rule(fixed[0][1])) for seed in seeds]
    best = [len(runs) for runs in best_climbs]
    print(f"bars played by the best rule until then: {_bars_of(best_climbs):.0f}")
    for name, climbed in (("ladder", climbs), ("with the log", known)):
        more = [len(one) - other for one, other in zip(climbed, best, strict=True)]
        spread = stdev(more) / len(more) ** 0.5
        print(f"{name} against the best rule: {fmean(more):+.1f} ± {spread:.1f} runs")
    for mean, rule in fixed[:3]:
        print(f"fixed rule up {rule[0]} down {rule[1]} from {rule[2]}: mean {mean:.1f}")
    stuck = [climb(draw(seed, 0.75, 0.0), by_ladder, 80) for seed in seeds]
    moves, quick = (sum(both) for both in zip(*map(turns, stuck), strict=True))
    print(f"players who learn nothing: {quick} quick turns of {moves} moves, ", end="")
    print(f"{quick / moves:.1%}")
    easy = [climb(draw(seed, 0.65), by_ladder, 3) for seed in seeds]
    within = sum(any(run.is_clean for run in runs) for runs in easy)
    print(f"comfortable at 65 %: {within / players:.1%} have a clean run by the third")


if __name__ == "__main__":
    main()
