"""What was marked in many runs, beat by beat, by chance or not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.rehearsal.run.run import Run

TROUBLE_KINDS = (MarkKind.MISSED_BREATH, *FAULTS)
"""What goes wrong; a missed breath first, for what comes after it comes of it."""


@dataclass(frozen=True, slots=True)
class Marked:
    """One beat where something was marked."""

    bar: int
    """Bar on the page."""

    beat: float
    """Beat in the bar, from 1."""

    times: Mapping[MarkKind, int]
    """For each kind, runs in which it stands here."""

    runs: int
    """Runs that came this far."""

    @property
    def went_wrong(self) -> int:
        """Marks in all, each kind once a run."""
        return sum(self.times.values())


def map_marks(runs: Sequence[Run]) -> tuple[Marked, ...]:
    """Count at each beat the runs that went wrong there, by chance or not.

    Parameters
    ----------
    runs : sequence of Run
        Runs of one etude that were played.

    Returns
    -------
    tuple of Marked
        In the order of the page; a kind counts once a run and beat.
    """
    seen: dict[tuple[int, float], dict[MarkKind, int]] = {}
    for run in runs:
        for bar, beat, kind in {
            (mark.bar, mark.beat, mark.kind) for mark in troubles_of(run)
        }:
            times = seen.setdefault((bar, beat), dict.fromkeys(TROUBLE_KINDS, 0))
            times[kind] += 1
    return tuple(
        Marked(bar, beat, seen[bar, beat], sum(came_to(run, bar) for run in runs))
        for bar, beat in sorted(seen)
    )


def came_to(run: Run, bar: int) -> bool:
    """Tell whether a run came as far as a bar."""
    marked = [mark.bar for mark in run.marks]
    if bar in marked:
        return True
    if run.is_completed:
        reached = run.to_bar
    elif run.reached_bar is not None:
        reached = run.reached_bar
    else:
        reached = max(marked, default=run.from_bar - 1)
    return run.from_bar <= bar <= reached


def troubles_of(run: Run) -> tuple[Mark, ...]:
    """Give the marks of a run that say what went wrong, missed breaths too."""
    return tuple(mark for mark in run.marks if mark.kind in TROUBLE_KINDS)


def is_one_place(runs: Sequence[Run]) -> bool:
    """Tell whether one and the same bar went wrong in all of these runs."""
    bars = [{mark.bar for mark in troubles_of(run)} for run in runs]
    return bool(set.intersection(*bars))


def missed_before(runs: Sequence[Run], bar: int) -> int | None:
    """Find the bar of a breath that was missed before the air ran out in another."""
    missed = Counter(
        mark.bar
        for run in runs
        for mark in run.marks
        if mark.kind is MarkKind.MISSED_BREATH and mark.bar <= bar
    )
    return missed.most_common(1)[0][0] if missed else None
