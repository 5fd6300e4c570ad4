"""What was marked in many runs, beat by beat, by chance or not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from coach.planning.naming import say_bars, say_beat, say_place
from coach.rehearsal.review.advice import say_often
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


def say_spots(marked: Sequence[Marked]) -> tuple[str, ...]:
    """Say where something was marked: beats of one bar are one spot.

    A key is pressed a beat early or late, so that one spot is marked now on this
    beat, now on that.

    Examples
    --------
    >>> say_spots([Marked(5, 1.0, {}, 3), Marked(5, 2.5, {}, 3), Marked(7, 4.0, {}, 3)])
    ('bar 5, beats 1 to 2.5', 'bar 7, beat 4')
    """
    beats: dict[int, list[float]] = {}
    for spot in marked:
        beats.setdefault(spot.bar, []).append(spot.beat)
    return tuple(
        say_place(bar, there[0])
        if len(there) == 1
        else f"bar {bar}, beats {say_beat(min(there))} to {say_beat(max(there))}"
        for bar, there in beats.items()
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


def most_often_at(places: Sequence[tuple[int, float]]) -> tuple[int, float]:
    """Give the bar that stands most often, and the beat in it that does."""
    bars = [bar for bar, _ in places]
    bar = max(sorted(set(bars)), key=bars.count)
    beats = [beat for one, beat in places if one == bar]
    return bar, max(sorted(set(beats)), key=beats.count)


def ran_out_most(runs: Sequence[Run]) -> tuple[tuple[int, int], int] | None:
    """Find where the air ran out in most runs: a bar, or two side by side.

    A key is pressed a little early or late, and no breath lasts to the same note twice.

    Returns
    -------
    ((int, int), int) or None
        First and last bar, and in how many runs; None where it never ran out.
    """
    out = [
        {mark.bar for mark in run.marks if mark.kind is MarkKind.RAN_OUT}
        for run in runs
    ]
    bars = sorted(set().union(*out))
    places = [(bar, bar) for bar in bars]
    places += [(bar, bar + 1) for bar in bars if bar + 1 in bars]
    counted = [(place, sum(1 for one in out if one & set(place))) for place in places]
    return max(counted, key=lambda one: one[1], default=None)


def say_times(kind: MarkKind, times: int, bar: int, last: int | None = None) -> str:
    """Say how often a thing happened where.

    Examples
    --------
    >>> say_times(MarkKind.RAN_OUT, 3, 7), say_times(MarkKind.RAN_OUT, 3, 7, 8)
    ('Ran out three times in bar 7', 'Ran out three times in bars 7 to 8')
    """
    where = say_bars(bar, bar if last is None else last)
    return f"{kind.words.capitalize()} {say_often(times)} in {where}"


def say_runs(
    bars: tuple[int, int],
    times: Mapping[MarkKind, int],
    wrong: int,
    runs: int,
    last: str = "",
) -> str:
    """Say in how many runs bars went wrong, and how: each kind, where they differ.

    Parameters
    ----------
    times : mapping
        For each kind, runs in which it stands there.
    wrong : int
        Runs in which anything does.
    runs : int
        Of so many.
    last : str
        What they are called, as ``last`` and a blank; empty where there are no others.

    Examples
    --------
    >>> say_runs((3, 3), {MarkKind.RAN_OUT: 2}, 2, 8)
    'ran out in bar 3 in 2 of the 8 runs'
    >>> say_runs((3, 3), {MarkKind.RAN_OUT: 2, MarkKind.RUSHED: 1}, 3, 8)
    'bar 3 went wrong in 3 of the 8 runs: ran out twice, rushed once'
    """
    where = say_bars(*bars)
    often = f"in {wrong} of the {last}{runs} runs" if runs > 1 else "in the only run"
    kinds = [kind for kind in TROUBLE_KINDS if times.get(kind)]
    always = [kind.words for kind in kinds if times[kind] == wrong]
    if always:
        return f"{always[0]} in {where} {often}"
    return f"{where} went wrong {often}: {_say_each(times)}"


def say_what_failed(runs: Sequence[Run]) -> str:
    """Say where most of some runs went wrong, and how often; of several the air.

    Returns
    -------
    str
        In brackets, to stand behind a word; empty where nothing was marked.
    """
    faults = [{(mark.bar, mark.kind) for mark in run.faults} for run in runs]
    if not any(faults):
        return ""
    bars = Counter(bar for one in faults for bar in {bar for bar, _ in one})
    counted = Counter(fault for one in faults for fault in one)
    out = {bar for bar, kind in counted if kind is MarkKind.RAN_OUT}
    bar = max(bars, key=lambda one: (bars[one], one in out, -one))
    times = {kind: count for (one, kind), count in counted.items() if one == bar}
    kinds = [kind for kind in TROUBLE_KINDS if times.get(kind) == len(runs)]
    if kinds:
        always = [
            one
            for one, kind in counted
            if kind is kinds[0] and counted[one, kind] == len(runs)
        ]
        where = say_bars(bar, _last_in_row(always, bar))
        return f" ({kinds[0].words} in {where})"
    if len(times) == 1:
        return f" ({_say_each(times)} in bar {bar})"
    return f" (in bar {bar}: {_say_each(times)})"


def _last_in_row(bars: Collection[int], bar: int) -> int:
    """Give the last of the bars that stand in a row from one on."""
    while bar + 1 in bars:
        bar += 1
    return bar


def _say_each(times: Mapping[MarkKind, int]) -> str:
    """Say how often each kind stands, the most frequent first."""
    kinds = [kind for kind in TROUBLE_KINDS if times.get(kind)]
    kinds.sort(key=lambda kind: -times[kind])
    return ", ".join(f"{kind.words} {say_often(times[kind])}" for kind in kinds)
