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

from dataclasses import dataclass
from math import floor
from typing import Literal

from coach.planning.naming import say_count
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.review.advice import Advice, say_minutes, say_played
from coach.score.tempo import SECONDS_PER_MINUTE

REST = "rest the lips, away from the horn"
"""What a rest is."""

ENOUGH = (
    "That is as much playing as the coach lays out for one day: more is for your "
    "teacher to say. Stop when it hurts; trouble that stays is for a doctor."
)
"""What is said where the day is full."""

BEGINS = (
    "Nobody knows yet what you can play, so this begins with what is easy: play "
    "whatever you are working on, and it goes on from there."
)
"""What is said where nobody knows what the player can do."""

THEN = "After each run do as it then says: this is where it begins."
"""What the turns do not tell."""


@dataclass(frozen=True, slots=True)
class TodaySettings:
    """How a day is laid out: the keys of ``[today]`` in ``config/rehearsal.toml``."""

    usual_s: float
    """Time that there is, unless the player says otherwise."""

    between_runs_s: float
    """From the end of a run to the first beat of the next."""

    least_turn_s: float
    """Nothing is laid out for less than this."""

    etudes_at_once_count: int
    """So many etudes are played in turn between two rests."""

    current_days: float
    """What was not played for longer is no longer worked on."""

    loud_s: float
    """More than this forte or louder in a day is told of."""

    most_played_s: float
    """No more playing than this is laid out for one day, all that was played in it."""

    long_rest_after_s: float
    """After so long of playing a rest is as long as that was."""

    warm_up_s: float
    """Before anything else that day the lips are warmed up for so long ..."""

    warm_up_share: float
    """... but for no more than this share of the time there is."""

    play_through_share: float
    """An etude is played through at the end if that takes no more of the time."""


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

    whole_bpm: float = 0.0
    """Tempo at which all of it stands."""

    whole_runs_out: int | None = None
    """Bar in which the air runs out when all of it is played at that; None where it
    lasts."""

    whole_s: float = 0.0
    """How long all of it lasts at that; 0 where all of it comes next anyway."""


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

    kind: Literal["warm-up", "play", "go-on", "play-through", "rest"]
    """Warm up, play what the advice says, go on with an etude from before, play all of
    one once, or rest."""

    starts_s: float
    """When."""

    lasts_s: float
    """How long."""

    work: Work | None = None
    """What is played; None in a rest and to warm up."""

    runs: int = 0
    """How many runs that may be; 0 in a rest and to warm up."""

    @property
    def minutes(self) -> tuple[int, int]:
        """Tell from which minute to which, in whole minutes."""
        ends_s = self.starts_s + self.lasts_s
        return _whole_minutes(self.starts_s), _whole_minutes(ends_s)

    @property
    def says(self) -> str:
        """Say what it is: an etude with bars and tempo, a rest, or warming up."""
        if self.work is None:
            warm_up = "warm up: long tones, softly, in the middle of the horn"
            return warm_up if self.kind == "warm-up" else REST
        if self.kind == "go-on":
            return f"{self.work.title}: go on as the coach says by then"
        if self.kind == "play-through":
            at = say_bpm(self.work.whole_bpm)
            bar = self.work.whole_runs_out
            out = (
                "" if bar is None else f": the air runs out in bar {bar}, breathe there"
            )
            return f"{self.work.title}: all of it once at {at}, whatever happens{out}"
        new = "new, " if self.work.is_new else ""
        times = f"{self.runs} runs or so" if self.runs > 1 else "once"
        return f"{self.work.title}: {new}{self.work.advice.what}, {times}"


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

    is_full: bool = False
    """No more is laid out for one day, whatever time there is."""

    is_bare: bool = False
    """There is nothing that could be played."""

    why_bare: str = ""
    """Why not; empty where no etude could be read."""

    not_on_shelf: tuple[str, ...] = ()
    """Etudes that the log has runs of and that no file on the shelf is of."""

    is_guess: bool = False
    """Nothing is worked on, and nobody knows what the player can do."""

    @property
    def says(self) -> tuple[str, ...]:
        """Say what was played already, and what to take care of."""
        told = [self._say_so_far()] if self.so_far.runs else []
        if self.is_loud:
            told.append(
                "That is much that was loud for one day: play what is left softer, "
                "with plugs in the ears, or tomorrow."
            )
        if self.is_full:
            told.append(ENOUGH)
        elif not self.turns:
            told.append(self._say_nothing())
        elif self.is_guess:
            told.append(BEGINS)
        if self.not_on_shelf:
            titles = ", ".join(self.not_on_shelf)
            told.append(
                f"In your log, but not on the shelf: {titles}. Put the file there "
                "(coach import FILE), and it takes its turn."
            )
        return tuple(told)

    @property
    def enough(self) -> tuple[str, ...]:
        """Say of what it is enough for today, and why: of several at once, once.

        What harms is no matter of one etude.
        """
        titles: dict[str, list[str]] = {}
        for work in self.done:
            titles.setdefault(work.advice.why, []).append(work.title)
        harm = {work.advice.why for work in self.done if work.advice.is_for_harm}
        return tuple(
            why if why in harm else f"Enough of {', '.join(those)}: {why}"
            for why, those in titles.items()
        )

    def _say_so_far(self) -> str:
        """Say what was played already."""
        played = say_played(self.so_far.played_s, self.so_far.loud_s)
        of = say_count(self.so_far.etudes, "etude")
        return f"Played today: {played}, {say_count(self.so_far.runs, 'run')} of {of}."

    def _say_nothing(self) -> str:
        """Say why there is nothing to play."""
        if any(work.advice.is_for_harm for work in self.done):
            return "Nothing more for now."
        if self.done:
            return "All that is worked on is done for today."
        if self.is_bare:
            return (
                self.why_bare
                or "No etude on the shelf could be read: coach plan NAME says why."
            )
        return f"{say_minutes(self.minutes * SECONDS_PER_MINUTE)} is too short for it."


def _whole_minutes(seconds: float) -> int:
    """Round up from the half on, always: a turn of a minute then has a minute."""
    return floor(seconds / SECONDS_PER_MINUTE + 0.5)
