"""What to play in the minutes that there are: a few etudes in turn, with rests.

Each etude asks the one voice what comes next; here is only decided in which order
and for how long, and when the lips rest.

Conventions
-----------
Times are in seconds from now.

References
----------
Carter & Grahn 2016, Front. Psychol. 7:1251: passages in turn, three minutes each.
Simmons 2012, J. Res. Music Educ. 59:357–368: what had a night between comes first.
Cash 2009: a rest of five minutes early on.  Loudness: NIOSH, recommended exposure
limit, 94 dB(A) for an hour a day; brass students were given 87 to 95 dB(A) in
practice rooms (Phillips & Mace 2008, Music Perf. Res. 2:36–47).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from coach.planning.naming import say_bars, say_count
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.review.advice import Advice, say_minutes, say_played
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.score.tempo import SECONDS_PER_MINUTE


@dataclass(frozen=True, slots=True)
class TodaySettings:
    """How a day is laid out: the keys of ``[today]`` in ``config/rehearsal.toml``."""

    usual_s: float
    """Time that there is, unless the player says otherwise."""

    between_runs_s: float
    """From the end of a run to the first beat of the next."""

    etudes_at_once_count: int
    """So many etudes are played in turn between two rests."""

    current_days: float
    """What was not played for longer is no longer worked on."""

    loud_s: float
    """More than this forte or louder in a day is told of."""


@dataclass(frozen=True, slots=True)
class Work:
    """An etude that is worked on."""

    title: str
    """Its title."""

    file: str
    """By what a command finds it."""

    advice: Advice
    """What comes next in it."""

    run_s: float
    """How long a run of that lasts."""

    path: str = ""
    """Where its file is."""

    is_new: bool = False
    """It was never played."""


@dataclass(frozen=True, slots=True)
class PlayedToday:
    """What was played since the day began, of all etudes."""

    runs: int
    """Runs."""

    etudes: int
    """How many etudes they are of."""

    played_s: float
    """How long they lasted, count-ins and pauses left out."""

    loud_s: float | None
    """How long of that was forte or louder; None where nothing tells."""

    since_rest_s: float
    """How long has been played since the last rest, pauses counted in."""


@dataclass(frozen=True, slots=True)
class Turn:
    """Some minutes of one thing."""

    kind: Literal["play", "go-on", "rest"]
    """Play what the advice says, go on with an etude from before, or rest."""

    starts_s: float
    """When."""

    lasts_s: float
    """How long."""

    work: Work | None = None
    """What is played; None in a rest."""

    runs: int = 0
    """How many runs that may be; 0 in a rest."""

    @property
    def minutes(self) -> tuple[int, int]:
        """Tell from which minute to which, in whole minutes."""
        ends_s = self.starts_s + self.lasts_s
        return (
            round(self.starts_s / SECONDS_PER_MINUTE),
            round(ends_s / SECONDS_PER_MINUTE),
        )

    @property
    def says(self) -> str:
        """Say what it is: an etude with bars and tempo, or a rest."""
        if self.work is None:
            return "rest the lips, away from the horn"
        if self.kind == "go-on":
            return f"{self.work.title}: go on as the coach says by then"
        advice = self.work.advice
        new = "new, " if self.work.is_new else ""
        return (
            f"{self.work.title}: {new}{say_bars(advice.from_bar, advice.to_bar)} "
            f"at {say_bpm(advice.bpm)}, {say_count(self.runs, 'run')} or so"
        )


@dataclass(frozen=True, slots=True)
class Today:
    """What to play today."""

    minutes: float
    """Time that there is."""

    so_far: PlayedToday
    """What was played already."""

    turns: tuple[Turn, ...]
    """In order; empty where nothing fits."""

    done: tuple[Work, ...]
    """What is enough for today, or comes after a night."""

    is_loud: bool
    """It was loud for long enough today."""

    @property
    def says(self) -> tuple[str, ...]:
        """Say what was played already, and what to take care of."""
        told = [self._say_so_far()] if self.so_far.runs else []
        if self.is_loud:
            told.append(
                "That is much that was loud for one day: play what is left softer, "
                "with plugs in the ears, or tomorrow."
            )
        if not self.turns:
            told.append(self._say_nothing())
        return tuple(told)

    def _say_so_far(self) -> str:
        """Say what was played already."""
        played = say_played(self.so_far.played_s, self.so_far.loud_s)
        of = say_count(self.so_far.etudes, "etude")
        return f"Played today: {played}, {say_count(self.so_far.runs, 'run')} of {of}."

    def _say_nothing(self) -> str:
        """Say why there is nothing to play."""
        if self.done:
            return "All that is worked on is done for today."
        return f"{say_minutes(self.minutes * SECONDS_PER_MINUTE)} is too short for it."


def lay_today(
    works: Sequence[Work],
    so_far: PlayedToday,
    minutes: float,
    settings: TodaySettings,
    ladder: LadderSettings,
) -> Today:
    """Lay out what to play.

    Parameters
    ----------
    works : sequence of Work
        In the order in which they are to come; what is to rest is left out of turns.
    so_far : PlayedToday
        What was played already.
    minutes : float
        Time that there is.
    """
    open_works = [work for work in works if work.advice.kind != "rest"]
    return Today(
        minutes=minutes,
        so_far=so_far,
        turns=tuple(
            _turns(
                open_works,
                so_far.since_rest_s,
                minutes * SECONDS_PER_MINUTE,
                settings,
                ladder,
            )
        ),
        done=tuple(work for work in works if work.advice.kind == "rest"),
        is_loud=(so_far.loud_s or 0.0) > settings.loud_s,
    )


def _turns(
    works: Sequence[Work],
    played_s: float,
    left_s: float,
    settings: TodaySettings,
    ladder: LadderSettings,
) -> Iterator[Turn]:
    """Give turn after turn, a rest before too much is played without one."""
    now_s = 0.0
    group = turn = 0
    begun: set[str] = set()
    while works:
        at_once = min(settings.etudes_at_once_count, len(works))
        work = works[(group * at_once + turn % at_once) % len(works)]
        run_s = work.run_s + settings.between_runs_s
        room_s = ladder.rest_after_s - played_s
        if played_s and room_s < run_s:
            if left_s < ladder.rest_s + run_s:
                return
            yield Turn("rest", now_s, ladder.rest_s)
            now_s, left_s = now_s + ladder.rest_s, left_s - ladder.rest_s
            played_s, group, turn = 0.0, group + 1, 0
            continue
        # With nothing to turn to it is played until the lips must rest.
        block_s = room_s if at_once == 1 else min(room_s, ladder.block_s)
        runs = max(1, int(min(block_s, left_s) // run_s))
        lasts_s = runs * run_s
        if lasts_s > left_s:
            return
        kind: Literal["play", "go-on"] = "go-on" if work.file in begun else "play"
        yield Turn(kind, now_s, lasts_s, work, runs)
        begun.add(work.file)
        now_s, left_s, played_s = now_s + lasts_s, left_s - lasts_s, played_s + lasts_s
        turn += 1
