"""What many runs of one etude say: where it goes wrong, what got better, what next."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from operator import itemgetter

from coach.rehearsal.click.tempo_scale import TempoSettings, say_bpm, step_tempo
from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.review.advice import Advice, Standing
from coach.rehearsal.review.ladder import LadderSettings, advise
from coach.rehearsal.run.mark import say_fault
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.rehearsal.run.run import Run


@dataclass(frozen=True, slots=True)
class ReviewSettings:
    """What counts as trouble."""

    least_runs: int
    """Runs in which a spot went wrong before it is advised."""

    most_spots_count: int
    """Spots advised at most."""

    around_bars: int
    """Bars played before and after a spot."""

    most_runs_count: int
    """Newest runs of an etude that are looked at."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """One beat where runs went wrong."""

    bar: int
    """Bar on the page."""

    beat: float
    """Beat in the bar, from 1."""

    times: Mapping[MarkKind, int]
    """For each kind of fault, runs in which it stands here."""

    runs: int
    """Runs that came this far."""

    @property
    def went_wrong(self) -> int:
        """Faults in all, each kind once a run."""
        return sum(self.times.values())


@dataclass(frozen=True, slots=True)
class Best:
    """The best clean run of a day, or of all."""

    day: date
    """When, by the player's own clock."""

    clean_bpm: float
    """Its tempo."""

    from_bar: int
    """Its first bar."""

    to_bar: int
    """Its last bar."""

    is_whole: bool
    """It was the whole part."""


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
    """Beats that went wrong, in the order of the page."""

    progress: tuple[Best, ...]
    """Best clean run of each day that has one, oldest first; the whole part first."""

    air: AirEstimate
    """What the runs of all etudes, and long tones, tell of the player's air."""

    next: tuple[Advice, ...]
    """What to work on, the worst first."""


def review(
    etude: str,
    runs: Sequence[Run],
    here: Standing,
    settings: ReviewSettings,
    ladder: LadderSettings,
    scale: TempoSettings,
    air: AirEstimate,
) -> Review:
    """Sum up the runs of one etude.

    Parameters
    ----------
    etude : str
        Title of the part.
    runs : sequence of Run
        All its runs, oldest first; of others there must be none.
    here : Standing
        The whole part, the tempo wanted next and the goal.
    air : AirEstimate
        What is known of the player's air, from the runs of all etudes.

    Returns
    -------
    Review
        Empty of trouble and progress where there are no runs.
    """
    played = [run for run in runs if run.is_telling]
    return Review(
        etude=etude,
        runs=sum(1 for run in runs if run.was_played),
        attended=len(played),
        goal_bpm=here.goal_bpm,
        best=best_clean(played),
        trouble=map_trouble(played),
        progress=_progress(played),
        air=air,
        next=(
            *_spots(played, here.rounded, settings, scale),
            advise(played, here, ladder, scale),
        ),
    )


def map_trouble(runs: Sequence[Run]) -> tuple[Trouble, ...]:
    """Count at each beat the runs that went wrong there.

    Parameters
    ----------
    runs : sequence of Run
        Runs of one etude that were played.

    Returns
    -------
    tuple of Trouble
        In the order of the page; a kind counts once a run and beat.
    """
    seen: dict[tuple[int, float], dict[MarkKind, int]] = defaultdict(
        lambda: dict.fromkeys(FAULTS, 0)
    )
    for run in runs:
        for bar, beat, kind in {
            (mark.bar, mark.beat, mark.kind) for mark in run.faults
        }:
            seen[bar, beat][kind] += 1
    return tuple(
        Trouble(
            bar=bar,
            beat=beat,
            times=times,
            runs=sum(1 for run in runs if _came_to(run, bar)),
        )
        for (bar, beat), times in sorted(seen.items(), key=itemgetter(0))
    )


def best_clean(runs: Sequence[Run]) -> Best | None:
    """Give the best clean run: of the whole part, or else of any segment.

    Parameters
    ----------
    runs : sequence of Run
        Runs of one etude.

    Returns
    -------
    Best or None
        The fastest; of equally fast ones the oldest; None if no run was clean.
    """
    clean = [run for run in runs if run.is_clean]
    if not clean:
        return None
    run = max(clean, key=lambda run: (run.is_whole, run.bpm))
    return Best(run.started.date(), run.bpm, run.from_bar, run.to_bar, run.is_whole)


def _progress(runs: Sequence[Run]) -> tuple[Best, ...]:
    """Give the best clean run of each day."""
    days: dict[date, list[Run]] = defaultdict(list)
    for run in runs:
        days[run.started.date()].append(run)
    bests = (best_clean(days[day]) for day in sorted(days))
    return tuple(best for best in bests if best is not None)


def _spots(
    runs: Sequence[Run],
    here: Standing,
    settings: ReviewSettings,
    scale: TempoSettings,
) -> tuple[Advice, ...]:
    """Advise the bars that go wrong most, the worst first."""
    kinds: dict[int, Counter[MarkKind]] = defaultdict(Counter)
    wrong: Counter[int] = Counter()
    for run in runs:
        marks = {(mark.bar, mark.kind) for mark in run.faults}
        wrong.update({bar for bar, _ in marks})
        for bar, kind in sorted(marks):
            kinds[bar][kind] += 1
    came = {bar: sum(1 for run in runs if _came_to(run, bar)) for bar in wrong}
    worst = sorted(
        (bar for bar in wrong if wrong[bar] >= settings.least_runs),
        key=lambda bar: (-wrong[bar] / came[bar], bar),
    )
    advice = []
    for bar in worst[: settings.most_spots_count]:
        kind = kinds[bar].most_common(1)[0][0]
        first = max(here.bars[0], bar - settings.around_bars)
        last = min(here.bars[1], bar + settings.around_bars)
        what = f"{say_fault(kind, bar).capitalize()} in {wrong[bar]} of "
        what += f"{came[bar]} runs"
        if kind is MarkKind.RAN_OUT:
            why = f"{what}: breathe before it, or softer; slower would take more air."
            advice.append(Advice("breathe", first, last, here.bpm, why))
        else:
            bpm = step_tempo(here.bpm, -1, scale)
            why = f"{what}: bars {first} to {last} alone, at {say_bpm(bpm)}."
            advice.append(Advice("slower", first, last, bpm, why))
    return tuple(advice)


def _came_to(run: Run, bar: int) -> bool:
    """Tell whether a run came as far as a bar."""
    marked = [mark.bar for mark in run.marks]
    if bar in marked:
        return True
    if run.is_completed:
        reached = run.to_bar
    elif run.reached_bar is not None:
        reached = run.reached_bar
    else:
        reached = max(marked)
    return run.from_bar <= bar <= reached
