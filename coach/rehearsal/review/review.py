"""What many runs of one etude say: where it goes wrong, what got better, what next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.marked import Marked, map_marks
from coach.rehearsal.review.often_rushed import RushedKind, find_rushed
from coach.rehearsal.review.progress import Best, DayOfPlaying, best_clean, tell_days
from coach.rehearsal.review.sounded_bars import (
    SoundedBars,
    SoundedEvenness,
    SoundedSettings,
    find_sounded,
    sounded_evenness,
)
from coach.rehearsal.review.trouble import Trouble, find_trouble
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.evidence import Evidence
from coach.rehearsal.run.run import Run
from coach.score.note import Note


@dataclass(frozen=True, slots=True)
class ReviewedEtude:
    """The etude that is reviewed."""

    title: str
    """Title of the part."""

    bars: tuple[int, int]
    """Numbers of its first and its last bar."""

    goal_bpm: float
    """The page's tempo."""

    notes: tuple[Note, ...] = ()
    """All its notes; empty where nothing is to be told of kinds of notes."""


@dataclass(frozen=True, slots=True)
class HeardRuns:
    """Runs of the etude with how they sounded."""

    settings: SoundedSettings
    """When they agree."""

    played: tuple[Evidence, ...] = ()
    """The newest, oldest first; those that nobody heard may be among them."""


@dataclass(frozen=True, slots=True)
class Review:
    """What the runs of one etude say."""

    etude: str
    """Title of the part."""

    runs: int
    """Runs that were rehearsed, cut off ones too."""

    attended: int
    """Of these, runs of which it is known how they went; all else is drawn from them
    alone."""

    goal_bpm: float
    """The page's tempo."""

    best: Best | None
    """Best clean run of the whole part; where there is none, of any segment."""

    trouble: tuple[Trouble, ...]
    """Places that go wrong more often than by chance; missed breaths first."""

    rushed: tuple[RushedKind, ...]
    """Kinds of notes that are rushed more often than by chance."""

    sounded: tuple[SoundedBars, ...]
    """Bars that runs which were heard play late or early, loud or soft."""

    evenness: SoundedEvenness | None
    """How evenly the sound is spent in them; None where too few were heard."""

    marked: tuple[Marked, ...]
    """All beats that were marked, by chance or not, in the order of the page."""

    days: tuple[DayOfPlaying, ...]
    """Each day on which it was played, oldest first."""

    air: AirEstimate
    """What the runs of all etudes, and long tones, tell of the player's air."""

    next: Advice
    """What comes next; the same that a rehearsal is told."""

    @property
    def progress(self) -> tuple[Best, ...]:
        """Best clean run of each day that has one, oldest first; the whole first."""
        bests = (day.whole or day.part for day in self.days)
        return tuple(best for best in bests if best is not None)

    @property
    def best_part(self) -> Best | None:
        """Best clean run of a part of it."""
        parts = [day.part for day in self.days if day.part is not None]
        return max(parts, key=lambda best: best.clean_bpm, default=None)

    @property
    def is_too_little(self) -> bool:
        """Something was marked, and too few runs uphold any place of it."""
        return bool(self.marked) and not self.trouble


def review(
    page: ReviewedEtude,
    runs: Sequence[Run],
    heard: HeardRuns,
    settings: TroubleSettings,
    air: AirEstimate,
    next_up: Advice,
) -> Review:
    """Sum up the runs of one etude.

    Parameters
    ----------
    runs : sequence of Run
        All its runs, oldest first; of others there must be none.
    heard : HeardRuns
        What its newest runs asked for and how they sounded.
    air : AirEstimate
        What is known of the player's air, from the runs of all etudes.

    Returns
    -------
    Review
        Empty of trouble and progress where there are no runs.
    """
    played = [run for run in runs if run.is_telling]
    return Review(
        etude=page.title,
        runs=sum(1 for run in runs if run.was_played),
        attended=len(played),
        goal_bpm=page.goal_bpm,
        best=best_clean(played),
        trouble=find_trouble(played, page.bars, settings),
        rushed=find_rushed(page.notes, played, settings),
        sounded=find_sounded(heard.played, heard.settings),
        evenness=sounded_evenness(heard.played, heard.settings),
        marked=map_marks(played),
        days=tell_days([run for run in runs if run.was_played]),
        air=air,
        next=next_up,
    )
