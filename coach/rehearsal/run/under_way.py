"""The run that plays, or that was played and waits for a word."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from coach.planning.breathing.locks import Locks
from coach.planning.plan import Plan
from coach.rehearsal.run.breaths_so_far import A_HAIR, locks_so_far, nearest_gap
from coach.rehearsal.run.evidence import Evidence, SoundedNote, evidence_of
from coach.rehearsal.run.gauge import Gauge
from coach.rehearsal.run.loud_time import loud_until
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.rehearsal.run.run import RunEnd, RunWord
from coach.score.phrase import NoteTime, place_of
from coach.score.tempo import Seconds

Gaps = frozenset[int]
"""Notes after which something was done, or was not."""


@dataclass(frozen=True, slots=True)
class UnderWay:
    """One run, as far as it has come."""

    id: int
    """Its number in the log."""

    planned: Plan | None = None
    """What was planned when it began; breaths as they came make another."""

    marks: tuple[Mark, ...] = ()
    """Marks that stand, in the order in which they came."""

    breathed: frozenset[int] = frozenset()
    """Gaps at which the player has said to have breathed."""

    missed: frozenset[int] = frozenset()
    """Gaps of planned breaths that were not taken."""

    undo: tuple[tuple[frozenset[int], frozenset[int]], ...] = ()
    """For each mark, gaps breathed at and missed before it came."""

    sent: int = 0
    """Sounds that went out."""

    worst_late: Seconds = Seconds(0.0)
    """The greatest lateness of any sound."""

    ended: Seconds | None = None
    """Run time at which it came to its end; None while it plays."""

    is_completed: bool = False
    """It was played to the end."""

    is_kept: bool = False
    """The log knows how it came to its end."""

    sounded: tuple[SoundedNote, ...] = ()
    """How its notes sounded; empty where nobody listened, or has not said yet."""

    called_clean: bool | None = None
    """What the player calls it so far; None as long as nothing is said."""

    note: str = ""
    """The player's own words so far."""

    def with_mark(self, mark: Mark) -> UnderWay:
        """Add a mark: a fault takes back that it was called clean."""
        before = (self.breathed, self.missed)
        called = (
            None if mark.kind in FAULTS and self.called_clean else self.called_clean
        )
        return replace(
            self,
            marks=(*self.marks, mark),
            undo=(*self.undo, before),
            called_clean=called,
        )

    def marks_of_breath(self, gap: int, times: Sequence[NoteTime]) -> tuple[Mark, ...]:
        """Give the marks that tell whether a breath was taken at a gap, or missed.

        Parameters
        ----------
        times : sequence of NoteTime
            When each note of the run sounds, as written.
        """
        states = (*self.undo, (self.breathed, self.missed))
        return tuple(
            mark
            for mark, (before, after) in zip(self.marks, pairwise(states), strict=True)
            if mark.kind in (MarkKind.BREATHED, MarkKind.MISSED_BREATH)
            and gap in (_told_of(before, after) or {_gap_at(mark, times)})
        )

    def without_mark(self, k: int) -> UnderWay:
        """Leave a mark out, and what it said of a breath that no later one tells of.

        The plan has been made anew since: a breath that was not missed after all is
        one that was taken, and one that was not taken after all is missed in it.
        """
        states = (*self.undo, (self.breathed, self.missed))
        told = _told_of(states[k], states[k + 1])
        for before, after in pairwise(states[k + 1 :]):
            told -= _told_of(before, after)
        was_breathed, was_missed = states[k]

        def taken_back(breathed: Gaps, missed: Gaps) -> tuple[Gaps, Gaps]:
            taken = was_breathed | (missed - was_missed)
            left_out = was_missed | (breathed - was_breathed)
            return (
                (breathed - told) | (told & taken),
                (missed - told) | (told & left_out),
            )

        *undo, (breathed, missed) = (taken_back(*state) for state in states[k + 1 :])
        return replace(
            self,
            marks=self.marks[:k] + self.marks[k + 1 :],
            undo=(*self.undo[:k], *undo),
            breathed=breathed,
            missed=missed,
        )

    def with_breath(self, gap: int) -> UnderWay:
        """Note a breath that was taken."""
        return replace(self, breathed=self.breathed | {gap}, missed=self.missed - {gap})

    def without_breath(self, gap: int) -> UnderWay:
        """Note a breath that was not taken."""
        return replace(self, breathed=self.breathed - {gap}, missed=self.missed | {gap})

    def with_sound(self, due: Seconds, sent: Seconds) -> UnderWay:
        """Count a sound that went out."""
        late = Seconds(max(self.worst_late, sent - due))
        return replace(self, sent=self.sent + 1, worst_late=late)

    def at_end(self, time: Seconds, *, is_completed: bool) -> UnderWay:
        """Come to the end."""
        return replace(self, ended=time, is_completed=is_completed)

    def how(self, gauge: Gauge) -> RunEnd:
        """Tell how it came to its end, once it has."""
        time = gauge.first_beat if self.ended is None else self.ended
        begun = time > gauge.first_beat
        place = place_of(gauge.plan.part, gauge.plan.tempo_map.beats_at(time))
        reached = place.bar if begun else None
        if self.is_completed:
            reached = gauge.plan.part.bars[-1].number
        return RunEnd(
            is_completed=self.is_completed,
            reached_bar=reached,
            sent=self.sent,
            worst_late=self.worst_late,
            lasted=Seconds(max(0.0, time - gauge.first_beat)),
            loud=loud_until(gauge.plan, time),
        )

    def word(self, gauge: Gauge, is_clean: bool | None, note: str) -> RunWord:
        """Put the player's word together with what the run asked of the lungs.

        Without a last word, what was said of it so far is the word.
        """
        called = self.called_clean if is_clean is None else is_clean
        return RunWord(called, note or self.note, self._evidence(gauge))

    def _evidence(self, gauge: Gauge) -> Evidence | None:
        """Tell what it asked of the lungs; nothing before its first beat."""
        if self.ended is None or self.ended <= gauge.first_beat:
            return None
        asked = evidence_of(gauge.plan, self.breathed, self.missed)
        return replace(asked, sounded=self.sounded)

    def locks_now(
        self, gauge: Gauge, now: Seconds, locks: Locks, notice: Seconds
    ) -> Locks:
        """Tell the planner what has happened, so that only the rest is free."""
        planned = {
            breath.after_note
            for breath in gauge.plan.breaths.breaths
            if breath.start <= now
        }
        taken = (planned - self.missed) | self.breathed
        return locks_so_far(gauge.plan, now, taken, self.missed, locks, notice)


def _gap_at(mark: Mark, times: Sequence[NoteTime]) -> int | None:
    """Find the gap that a mark of a breath is about, by its moment alone.

    One that was missed is marked where the note before it was to stop.
    """
    if mark.kind is MarkKind.MISSED_BREATH:
        starts = [time.start for time in times]
        return bisect_right(starts, mark.at + A_HAIR) - 1
    return nearest_gap(times, mark.at)


def _told_of(before: tuple[Gaps, Gaps], after: tuple[Gaps, Gaps]) -> Gaps:
    """Give the gaps that a mark told of, from what was noted before and after it."""
    return (before[0] ^ after[0]) | (before[1] ^ after[1])
