"""What the coach suggests to play next, and where the rehearsal stands when it does."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Literal

from coach.planning.naming import say_bars, say_count
from coach.rehearsal.ahead.body_words import BodyWords
from coach.rehearsal.ahead.outlook import NO_OUTLOOK, Outlook
from coach.rehearsal.click.tempo_scale import say_bpm, whole_bpm
from coach.rehearsal.run.playing import say_room
from coach.rehearsal.run.run import Run
from coach.score.tempo import SECONDS_PER_MINUTE

SMALL_NUMBERS = ("three", "four", "five", "six", "seven", "eight", "nine")
"""Numbers from 3 on that are said as words."""

HOW_TO_SAY = "c says clean, t not clean, after a run or in the log"
"""How a run gets its word; the letters are read in lines of text too."""

AdviceKind = Literal[
    "again",
    "faster",
    "slower",
    "breathe",
    "less-room",
    "part",
    "next",
    "whole",
    "goal",
    "rest",
]


@dataclass(frozen=True, slots=True)
class Advice:
    """What to play next, and why."""

    kind: AdviceKind
    """What it comes to."""

    from_bar: int
    """First bar to play."""

    to_bar: int
    """Last bar to play."""

    bpm: float
    """Tempo to play it at, in whole beats a minute."""

    why: str
    """The reason, in the player's words."""

    clean: int = 0
    """Clean runs in a row at this tempo, where it goes up after `needed`."""

    needed: int = 0
    """So many take it up, or are enough at the goal; 0 where nothing is counted."""

    room_beats: float = 0.0
    """Beats of rest at each breath; 0 plays in time."""

    silence: str = field(default="", compare=False)
    """That the newest runs got no word, so that it goes by those before; else empty."""

    is_for_harm: bool = field(default=False, compare=False)
    """Words on a run say that playing harms: to rest now, whatever would come next."""

    @property
    def says(self) -> str:
        """The reason, behind what it leaves out."""
        return f"{self.silence} {self.why}".strip()

    @property
    def what(self) -> str:
        """Name bars, tempo and room: ``bars 5 to 8 at 84 with a beat of room``."""
        stretch = f"{say_bars(self.from_bar, self.to_bar)} at {say_bpm(self.bpm)}"
        return stretch + (
            f" with {say_room(self.room_beats)}" if self.room_beats else ""
        )


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the rehearsal stands when advice is asked for."""

    from_bar: int
    """First bar of the segment."""

    to_bar: int
    """Last bar of the segment."""

    is_whole: bool
    """The segment is the whole part."""

    bpm: float
    """Tempo it is played at, or the goal where nobody has asked for a tempo."""

    goal_bpm: float
    """The page's tempo."""

    following: tuple[int, int] | None
    """Bars of the segment after this one; None at the end."""

    bars: tuple[int, int]
    """First and last bar of the whole part."""

    now: datetime
    """The date and time, with a zone."""

    parts: tuple[tuple[int, int], ...] = ()
    """Bars of the parts to practise alone, in the order of the page, each with the bar
    that the next begins in; empty where they are not known."""

    is_from_end: bool = False
    """Parts are joined from the end of the page to its beginning."""

    room_beats: float = 0.0
    """Beats of rest that each breath has; 0 in time."""

    is_open: bool = False
    """Nobody has asked for a tempo."""

    has_breaths: bool = False
    """These bars are on the stand, and have a breath that could be given room."""

    day: tuple[Run, ...] = ()
    """Runs of all etudes since the day began, oldest first: for when a rest is due."""

    body: tuple[BodyWords, ...] = ()
    """Words on a run that say that playing harms, and what answers them."""

    outlook: Outlook = NO_OUTLOOK
    """Where to look ahead, for what the plan and other etudes tell."""

    @property
    def rounded(self) -> Standing:
        """The same in tempos that a player can set, to the slower side."""
        return replace(self, bpm=whole_bpm(self.bpm), goal_bpm=whole_bpm(self.goal_bpm))


def advice_on(here: Standing, kind: AdviceKind, bpm: float, why: str) -> Advice:
    """Give advice about the segment at hand, with the room that its breaths have."""
    return Advice(
        kind, here.from_bar, here.to_bar, bpm, why, room_beats=here.room_beats
    )


def say_goal(bpm: float, goal_bpm: float) -> str:
    """Say what the goal is to a tempo that is fast enough, in whole beats a minute.

    Examples
    --------
    >>> say_goal(92, 92), say_goal(96, 92)
    ('the goal', 'above the goal 92')
    """
    return "the goal" if bpm == goal_bpm else f"above the goal {say_bpm(goal_bpm)}"


def say_minutes(seconds: float) -> str:
    """Say a time in whole minutes, as ``21 minutes``."""
    return say_count(round(seconds / SECONDS_PER_MINUTE), "minute")


def say_often(times: int) -> str:
    """Say how often something happened: ``twice``, ``three times``, ``12 times``."""
    few = ("never", "once", "twice")
    if times < len(few):
        return few[times]
    return f"{say_number(times)} times"


def say_number(number: int) -> str:
    """Say a number from 3 on, as a word where it is small.

    Examples
    --------
    >>> say_number(4), say_number(12)
    ('four', '12')
    """
    more = number - 3
    return SMALL_NUMBERS[more] if more < len(SMALL_NUMBERS) else str(number)


def say_played(played_s: float, loud_s: float | None) -> str:
    """Say how long was played, and how much of it was loud where that is known.

    Examples
    --------
    >>> say_played(1260.0, 480.0), say_played(60.0, None), say_played(600.0, 20.0)
    ('21 minutes, 8 of them loud', '1 minute', '10 minutes')
    """
    loud = round((loud_s or 0.0) / SECONDS_PER_MINUTE)
    return say_minutes(played_s) + (f", {loud} of them loud" if loud else "")
