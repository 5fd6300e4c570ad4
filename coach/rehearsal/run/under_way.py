"""The run that plays, or that was played and waits for a word."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coach.planning.breathing.locks import Locks
from coach.planning.plan import Plan
from coach.rehearsal.run.breaths_so_far import locks_so_far
from coach.rehearsal.run.evidence import Evidence, evidence_of
from coach.rehearsal.run.gauge import Gauge
from coach.rehearsal.run.loud_time import loud_until
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.run import RunEnd, RunWord
from coach.score.phrase import place_of
from coach.score.tempo import Seconds


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

    def with_mark(self, mark: Mark) -> UnderWay:
        """Add a mark."""
        before = (self.breathed, self.missed)
        return replace(self, marks=(*self.marks, mark), undo=(*self.undo, before))

    def without_last_mark(self) -> UnderWay:
        """Leave the newest mark out, and what it said of a breath.

        The plan has been made anew since: a breath that was not missed after all is
        one that was taken, and one that was not taken after all is missed in it.
        """
        breathed, missed = self.undo[-1]
        return replace(
            self,
            marks=self.marks[:-1],
            undo=self.undo[:-1],
            breathed=breathed | (self.missed - missed),
            missed=missed | (self.breathed - breathed),
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
        """Put the player's word together with what the run asked of the lungs."""
        return RunWord(is_clean, note, self._evidence(gauge))

    def _evidence(self, gauge: Gauge) -> Evidence | None:
        """Tell what it asked of the lungs; nothing before its first beat."""
        if self.ended is None or self.ended <= gauge.first_beat:
            return None
        return evidence_of(gauge.plan, self.breathed, self.missed)

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
