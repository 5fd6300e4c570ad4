"""Let simulated players rehearse, and see how well the coach comes to know their air.

``uv run python -m tests.benchmarks.learned_air [PLAYERS] [FIRST SEED]``

Each player rehearses the shipped etudes, 4 runs a day on 20 days, from plans made for
what the coach has learned by that morning.  Told are: runs until the flow is within a
tenth and stays there, how often the band holds the truth, the bias by thirds of
players, what one wrong mark in ten does, how soon a change of a fifth is followed, and
how many run-outs the learned plan saves.  Beside it the same runs are shown to one
who is told how much this player's days differ, how often marks are forgotten or slip,
and that nothing ever changes: nobody can learn much more from them.  Seeds from 1000 on
are for tuning; figures that are told come from seeds below.

Belief is reckoned with arrays (`belief_in_arrays.py`), so that many can be followed.
What became of each player is kept until planning, learning or the players change, so
that a run cut short is gone on with and many short runs add up to a long one.
"""

from __future__ import annotations

import hashlib
import pickle
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import timedelta
from math import erf, exp, hypot, log, sqrt
from pathlib import Path
from random import Random
from statistics import fmean, median, stdev
from tempfile import gettempdir

from coach.config import read_settings, shipped
from coach.edges.scores.score_files import read_part
from coach.planning.air.lungs import measured
from coach.planning.breathing.passage import set_passage
from coach.planning.edits import Edits
from coach.planning.performer import Performer
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.plan import make_plan
from coach.rehearsal.learning import learning
from coach.rehearsal.learning.belief import flows_of
from coach.rehearsal.learning.candidates import (
    FLOW_LOGS,
    LearningSettings,
    air_as,
)
from coach.rehearsal.learning.learning import (
    AirEstimate,
    Learned,
    Study,
    TimedTone,
    begin_learning,
    begin_study,
    learn_day,
    see,
    see_long_tone,
    sum_up,
)
from coach.rehearsal.learning.replaying import Whom
from coach.rehearsal.learning.sights import Sight
from coach.rehearsal.run.evidence import Evidence, evidence_of
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import PlayedRun
from coach.score.tempo import Seconds
from tests.benchmarks.belief_in_arrays import after_day_in_arrays
from tests.hand_rehearsal import HandPlanner, plan_settings, trombone
from tests.simulated_player import (
    FIRST_DAY,
    SimulatedPlayer,
    draw_player,
    dry_at,
    hold_tone,
    off_by,
    rehearse,
    wake_up,
)

PLAYERS = 200
DAYS = 20
RUNS_A_DAY = 4
RUNS = DAYS * RUNS_A_DAY
LOOKED_AT = (4, 8, 12, 24, 48, 80)
CAPACITY_L = 4.5
EACH_SAVED = 16
"""One player in so many plays every etude from four plans, which takes long."""

A_CHANCE = 0.1
"""A run that was likelier than this to come out otherwise tells something."""

A_WEEK = 7

DARES = 0.25
"""Share of runs in which the player tries to do with fewer breaths ..."""

NEVER = 1e-4
"""As good as nothing, where nothing itself cannot be reckoned with."""

DARING = 0.7
"""... as if they took so much less air."""

SHARES = (0.7, 0.85, 1.0)
BINS = tuple(0.06 * k for k in range(-16, 19))
"""Flow scales that plans are made for, as natural logarithms."""

SETTINGS = read_settings(LearningSettings, "learning")
WHOM = Whom(measured(CAPACITY_L), plan_settings().air)
STUDY = begin_study(WHOM, SETTINGS)
SHORT = (0, 1, 2, 4, 5, 7, 8)
"""Etudes of no more than some two hundred notes, so that this ends today."""

Asked = dict[tuple[int, float, int], Evidence]


def ask(job: tuple[int, float, int]) -> Evidence:
    """Plan an etude at a share of its tempo for one flow scale."""
    etude, share, bin_ = job
    path = sorted(shipped("etudes").glob("*.musicxml"))[etude]
    part = read_part(path)
    planner = HandPlanner(replace(WHOM.player, flow_scale=exp(BINS[bin_])))
    plan = planner.plan(part, part.tempo.bpm * share, Edits())
    return evidence_of(plan, frozenset(), frozenset())


def ask_all(pool: ProcessPoolExecutor) -> Asked:
    """Plan everything that may be asked; kept for the next time."""
    kept = Path(gettempdir()) / f"asked-{_planned_by()}.pickle"
    if kept.exists():
        asked: Asked = pickle.loads(kept.read_bytes())
        return asked
    jobs = [(e, s, b) for e in SHORT for s in SHARES for b in range(len(BINS))]
    asked = dict(zip(jobs, pool.map(ask, jobs, chunksize=8), strict=True))
    kept.write_bytes(pickle.dumps(asked))
    return asked


def _planned_by(*also: str) -> str:
    """Tell one way of planning from another, by all that it is made of."""
    digest = hashlib.sha256()
    for name in ("config", "coach/planning", "coach/score", "etudes", *also):
        folder = Path(name)
        files = [folder] if folder.is_file() else sorted(folder.rglob("*.*"))
        for path in files:
            if path.suffix in (".toml", ".json", ".py", ".musicxml"):
                digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def _kept_folder() -> Path:
    """Give the folder of players that were followed by this way of learning."""
    made_of = _planned_by(
        "coach/rehearsal",
        "tests/simulated_player.py",
        "tests/benchmarks/learned_air.py",
    )
    folder = Path(gettempdir()) / f"learned-air-{made_of}"
    folder.mkdir(exist_ok=True)
    return folder


def bin_of(scale: float) -> int:
    """Find the scale that plans were made for next above one."""
    return next((k for k, b in enumerate(BINS) if b >= log(scale)), len(BINS) - 1)


@dataclass(frozen=True)
class Followed:
    """What became of one player."""

    player: SimulatedPlayer
    estimates: tuple[AirEstimate, ...]
    """After each run."""

    informative: tuple[bool, ...]
    """Whether each run says something to one who knows nothing of the player."""

    played: tuple[PlayedRun, ...]

    sights: tuple[Sight | None, ...]
    """What each run shows."""


class Learner:
    """Learns run by run, as the coach does day by day."""

    def __init__(self, study: Study = STUDY) -> None:
        self.study = study
        self.before = self.learned = begin_learning(study)
        self.today: list[Sight] = []

    def see(self, sight: Sight | None) -> AirEstimate:
        """Learn from one run or long tone."""
        if sight is not None:
            if self.today and sight.day != self.today[0].day:
                self.before, self.today = self.learned, []
            self.today.append(sight)
            self.learned = learn_day(self.study, self.before, self.today)
        return sum_up(self.study, self.learned)


def is_informative(sight: Sight | None, before: Learned) -> bool:
    """Tell whether nobody could have known beforehand how a run would come out.

    One that ran out is; one to the end is if by what was believed before it there
    was at least a chance in ten of running out.
    """
    if sight is None:
        return False
    edge = sight.edges[1][2]
    lasts_up_to = min(edge.before, edge.latest)
    spread = hypot(SETTINGS.days_differ_share, SETTINGS.runs_differ_share)
    runs_out = sum(
        belief * (1.0 + erf((flow - lasts_up_to) / spread / sqrt(2.0))) / 2.0
        for flow, belief in zip(FLOW_LOGS, flows_of(before.belief), strict=True)
    )
    return sight.ran_out or runs_out >= A_CHANCE


@dataclass(frozen=True)
class Ways:
    """How a player rehearses."""

    days: int = DAYS
    changes_on: int = -1
    change: float = 1.0
    tone_on: int = -1


def follow(
    player: SimulatedPlayer, asked: Asked, chance: Random, ways: Ways = Ways()
) -> Followed:
    """Let a player rehearse, and learn after each run."""
    learner = Learner()
    estimates: list[AirEstimate] = []
    informative: list[bool] = []
    runs: list[PlayedRun] = []
    sights: list[Sight | None] = []
    scale = 1.0
    mine = chance.sample(SHORT, 4)
    for number in range(ways.days):
        if number == ways.changes_on:
            player = replace(player, flow=player.flow * ways.change)
        day = wake_up(player, number, chance)
        if number == ways.tone_on:
            held = hold_tone(day, CAPACITY_L, WHOM.air, chance)
            when = FIRST_DAY.date() + timedelta(days=number)
            seen = see_long_tone(STUDY, TimedTone(held, when))
            scale = learner.see(seen).aim
        for k in range(RUNS_A_DAY):
            faster = int(chance.random() * 1.5 + number / DAYS * 2)
            share = SHARES[min(len(SHARES) - 1, faster)]
            dared = scale * (DARING if chance.random() < DARES else 1.0)
            evidence = asked[chance.choice(mine), share, bin_of(dared)]
            played = rehearse(day, evidence, CAPACITY_L, WHOM.air, chance, k)
            sight = see(STUDY, played)
            informative.append(is_informative(sight, learner.learned))
            estimates.append(learner.see(sight))
            runs.append(played)
            sights.append(sight)
        scale = estimates[-1].aim
    return Followed(
        player, tuple(estimates), tuple(informative), tuple(runs), tuple(sights)
    )


def told_the_spreads(learned: Followed) -> Followed:
    """Show the same runs to one who is told how the player's days and marks are."""
    player = learned.player
    settings = replace(
        SETTINGS,
        walk_per_day_share=NEVER,
        changed_days_share=0.0,
        change_share=NEVER,
        forgotten_share=max(NEVER, player.forgets),
        wrong_share=max(NEVER, player.slips),
    )
    days = (player.days_differ,) * len(STUDY.candidates.day_spreads)
    study = Study(WHOM, replace(STUDY.candidates, day_spreads=days), settings)
    learner = Learner(study)
    return replace(learned, estimates=tuple(map(learner.see, learned.sights)))


def settled_after(learned: Followed) -> float:
    """Count informative runs until the flow is within a tenth and stays there."""
    off = [abs(off_by(e.flow_scale, learned.player)) for e in learned.estimates]
    last = max((k for k, one in enumerate(off) if one > log(1.1)), default=-1)
    if last == len(off) - 1:
        return float("inf")
    return sum(learned.informative[: last + 1])


def shift_by_wrong_marks(learned: Followed, chance: Random) -> float:
    """Tell how far one wrong mark in ten shifts what was learned, as a logarithm."""
    right, wrong = Learner(), Learner()
    for played in learned.played:
        seen = see(STUDY, played)
        right.see(seen)
        if chance.random() < 0.1:
            notes = played.evidence.notes
            at = chance.uniform(0.0, notes[-1].start_s)
            mark = Mark(MarkKind.RAN_OUT, 1, 1.0, Seconds(at))
            marked = replace(played.run, marks=(*played.run.marks, mark))
            seen = see(STUDY, replace(played, run=marked))
        wrong.see(seen)
    return log(wrong.see(None).flow_scale / right.see(None).flow_scale)


@dataclass(frozen=True)
class Saved:
    """Run-outs at the goal tempo, and breaths, of one player on all etudes."""

    table: int
    middle: int
    learned: int
    true: int
    learned_breaths: int
    true_breaths: int


def saved_runs(learned: Followed, estimate: AirEstimate, chance: Random) -> Saved:
    """Play every etude at its tempo on a few days, from four plans."""
    player = learned.player
    whom = {
        "table": (1.0, 1.0, 1.0),
        "middle": (estimate.flow_scale, estimate.step_power, estimate.fill_factor),
        "learned": (estimate.aim, estimate.step_power, estimate.fill_factor),
        "true": (player.flow, player.step_power, 1.0),
    }
    dry = dict.fromkeys(whom, 0)
    breaths = dict.fromkeys(whom, 0)
    for path in sorted(shipped("etudes").glob("*.musicxml")):
        part = read_part(path)
        days = [wake_up(player, k, chance) for k in range(3)]
        seeds = [chance.random() for _ in days]
        for name, (flow, power, fill) in whom.items():
            air = air_as(WHOM.air, power, fill)
            plan = make_plan(
                set_passage(part, part.tempo.bpm, phrase_ends(part)),
                Performer(
                    replace(WHOM.player, flow_scale=flow),
                    trombone(),
                    replace(plan_settings(), air=air),
                ),
            )
            evidence = evidence_of(plan, frozenset(), frozenset())
            breaths[name] += len(evidence.breaths)
            for day, seed in zip(days, seeds, strict=True):
                luck = Random(seed)
                out = dry_at(day, evidence, CAPACITY_L, WHOM.air, luck)
                dry[name] += out is not None
    return Saved(
        dry["table"],
        dry["middle"],
        dry["learned"],
        dry["true"],
        breaths["learned"],
        breaths["true"],
    )


def kept_player(job: tuple[int, int, Asked, Path]) -> dict[str, object]:
    """Follow one player, or tell what became of them before."""
    seed, of_many, asked, folder = job
    kept = folder / f"{seed}-{of_many % EACH_SAVED}.pickle"
    if not kept.exists():
        told = one_player((seed, of_many, asked))
        part = kept.with_suffix(".part")
        part.write_bytes(pickle.dumps(told))
        part.replace(kept)
    before: dict[str, object] = pickle.loads(kept.read_bytes())
    return before


def one_player(job: tuple[int, int, Asked]) -> dict[str, object]:
    """Follow one player through all that is measured."""
    seed, of_many, asked = job
    chance = Random(seed)
    player = draw_player(chance)
    learned = follow(player, asked, chance)
    reference = told_the_spreads(learned)
    told: dict[str, object] = {
        "flow": player.flow,
        "settled": settled_after(learned),
        "told settled": settled_after(reference),
        "ran out": learned.estimates[-1].ran_out,
        "informative": sum(learned.informative),
    }
    for count in LOOKED_AT:
        estimate = learned.estimates[count - 1]
        told[f"off {count}"] = off_by(estimate.flow_scale, player)
        told[f"held {count}"] = estimate.low <= player.flow <= estimate.high
        told[f"width {count}"] = log(estimate.high / estimate.low)
        other = reference.estimates[count - 1]
        told[f"told off {count}"] = off_by(other.flow_scale, player)
        told[f"told held {count}"] = other.low <= player.flow <= other.high
    toned = follow(player, asked, Random(seed), Ways(days=6, tone_on=0))
    told["tone off"] = off_by(toned.estimates[-1].flow_scale, player)
    told["tone settled"] = settled_after(toned)
    if of_many % 2 == 0:
        told["shift"] = shift_by_wrong_marks(learned, Random(seed + 1))
        for change in (0.8, 1.25):
            ways = Ways(days=DAYS * 2, changes_on=DAYS, change=change)
            changed = follow(player, asked, Random(seed), ways)
            for days in (0, 7, 14, 20):
                estimate = changed.estimates[(DAYS + days) * RUNS_A_DAY - 1]
                told[f"change {change} {days}"] = off_by(
                    estimate.flow_scale, changed.player
                )
            ways = replace(ways, tone_on=DAYS + A_WEEK)
            toned = follow(player, asked, Random(seed), ways)
            estimate = toned.estimates[(DAYS + 2 * A_WEEK) * RUNS_A_DAY - 1]
            told[f"toned {change}"] = off_by(estimate.flow_scale, toned.player)
    if of_many % EACH_SAVED == 0:
        told["saved"] = saved_runs(learned, learned.estimates[-1], Random(seed))
    return told


def report(told: Sequence[dict[str, object]]) -> Iterator[str]:
    """Write the figures out."""
    yield f"{len(told)} players, {RUNS} runs on {DAYS} days"

    def all_of(name: str, of: Sequence[dict[str, object]] = told) -> list[float]:
        return [float(one[name]) for one in of if name in one]  # type: ignore[arg-type]

    yield (
        f"runs that ran out {median(all_of('ran out')):.0f}, "
        f"informative {median(all_of('informative')):.0f} of {RUNS} (medians)"
    )
    for name in ("settled", "told settled", "tone settled"):
        counts = sorted(all_of(name))
        never = sum(count == float("inf") for count in counts)
        yield (
            f"{name}: informative runs until within a tenth: median "
            f"{median(counts)}, 90 % {counts[int(0.9 * len(counts))]}, never {never}"
        )
    for count in LOOKED_AT:
        held = all_of(f"held {count}")
        yield (
            f"after {count} runs: band holds {share_with_spread(held)}, "
            f"off by {fmean(all_of(f'off {count}')):+.1%} ± "
            f"{stdev(all_of(f'off {count}')):.1%}, "
            f"width {median(all_of(f'width {count}')):.2f}; "
            f"told the spreads: {share_with_spread(all_of(f'told held {count}'))}, "
            f"off by {fmean(all_of(f'told off {count}')):+.1%} ± "
            f"{stdev(all_of(f'told off {count}')):.1%}"
        )
    thirds = sorted(told, key=lambda one: float(one["flow"]))  # type: ignore[arg-type]
    size = len(thirds) // 3
    for name, third in (
        ("light", thirds[:size]),
        ("middle", thirds[size:-size]),
        ("heavy", thirds[-size:]),
    ):
        lines = [
            f"{count}: held {share_with_spread(all_of(f'held {count}', third))} "
            f"bias {fmean(all_of(f'off {count}', third)):+.1%} ± "
            f"{stdev(all_of(f'off {count}', third)) / len(third) ** 0.5:.1%}"
            f" (told the spreads {fmean(all_of(f'told off {count}', third)):+.1%})"
            for count in (12, 24, 48, 80)
        ]
        yield f"{name} blowers: " + "; ".join(lines)
    yield f"long tone, 6 days: bias {fmean(all_of('tone off')):+.1%}"
    shifts = [abs(one) for one in all_of("shift")]
    yield (
        f"one wrong mark in ten shifts by {median(shifts):.1%} "
        f"(median of {len(shifts)}), 90 % {sorted(shifts)[int(0.9 * len(shifts))]:.1%}"
        f", mean {fmean(all_of('shift')):+.1%}"
    )
    for change in (0.8, 1.25):
        yield f"flow times {change} on day {DAYS}: off by " + ", ".join(
            f"{fmean(all_of(f'change {change} {days}')):+.1%} after {days} days "
            f"({share_within(all_of(f'change {change} {days}')):.0%} within a tenth)"
            for days in (0, 7, 14, 20)
        )
        toned = all_of(f"toned {change}")
        yield (
            f"with a long tone after a week: off by {fmean(toned):+.1%} after 14 days "
            f"({share_within(toned):.0%} within a tenth)"
        )
    saved = [one["saved"] for one in told if "saved" in one]
    yield f"plans of {len(saved)} players after {RUNS} runs: {say_saved(saved)}"  # type: ignore[arg-type]


def share_with_spread(held: Sequence[float]) -> str:
    """Say a share with its standard error."""
    share = fmean(held)
    return f"{share:.0%} ± {(share * (1 - share) / len(held)) ** 0.5:.0%}"


def share_within(off: Sequence[float]) -> float:
    """Tell which share is within a tenth."""
    return fmean(abs(one) <= log(1.1) for one in off)


def say_saved(saved: Sequence[Saved]) -> str:
    """Say which share of avoidable run-outs plans save, and what they cost."""
    table, middle, learned, true = (
        sum(getattr(one, name) for one in saved)
        for name in ("table", "middle", "learned", "true")
    )
    avoidable = sum(max(0, one.table - one.true) for one in saved)
    by_aim = sum(max(0, one.table - max(one.learned, one.true)) for one in saved)
    by_middle = sum(max(0, one.table - max(one.middle, one.true)) for one in saved)
    extra = sum(one.learned_breaths for one in saved) / sum(
        one.true_breaths for one in saved
    )
    return (
        f"ran out {table} by the table, {middle} by the middle, {learned} as learned, "
        f"{true} by the true player's; saved {by_aim} (the middle alone {by_middle}) "
        f"of {avoidable} avoidable; "
        f"breaths {extra - 1:+.1%} against the true player's"
    )


def reckon_with_arrays() -> None:
    """Let this process reckon belief with arrays."""
    learning.after_day = after_day_in_arrays  # type: ignore[attr-defined]  # borrowed


def main(players: int = PLAYERS, first_seed: int = 0) -> None:
    """Measure and tell."""
    with ProcessPoolExecutor(2, initializer=reckon_with_arrays) as pool:
        asked = ask_all(pool)
        folder = _kept_folder()
        jobs = [(first_seed + k, k, asked, folder) for k in range(players)]
        told = list(pool.map(kept_player, jobs))
    for line in report(told):
        print(line, flush=True)


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
