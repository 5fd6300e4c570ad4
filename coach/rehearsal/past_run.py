"""A run that was played before the coach heard of it: into the log in one go."""

from __future__ import annotations

from collections.abc import Sequence

from coach.rehearsal.hearing.heard import Heard, ToldAgainst
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.rehearsal.rehearsal import Rehearsal
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS
from coach.rehearsal.run.noting import NOTES_OF_BREATH, Noted
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_book import RunBook


class PastRun(Rehearsal):
    """A rehearsal of what was played already."""

    def keep(
        self, heard: Heard, marks: Sequence[Mark], note: str, settings: TellingSettings
    ) -> Run:
        """Keep the run with the marks that were heard, and what it asked of the lungs.

        Returns
        -------
        Run
            As it stands in the log; clean or not only where the ear is sure of it.
        """
        book, stand = RunBook(self._log), self._requests.stand
        run = book.begin(self._next_run(is_attended=True), self.plan)
        for mark in marks:
            noted = Noted(run.with_mark(mark), "", mark)
            if mark.kind in NOTES_OF_BREATH:
                say = NOTES_OF_BREATH[mark.kind]
                noted = say(self.plan, run, mark.at, mark.by)
            book.note(noted)
            run = noted.run
        stopped = heard.stopped
        ended = self.track.ends if stopped is None else stopped
        run = run.at_end(ended, is_completed=stopped is None)
        return book.finish(run, stand, is_clean_by_ear(heard, marks, settings), note)

    def find_kept(self, note: str) -> Run | None:
        """Find a run of the same etude that was kept with the same note."""
        runs = self._log.list_runs(self._etude)
        return next((run for run in reversed(runs) if run.note == note), None)


def is_clean_by_ear(
    heard: Heard, marks: Sequence[Mark], settings: TellingSettings
) -> bool | None:
    """Tell whether a run was clean, from what was heard; None where that is unsure.

    Without the click or its count-in nobody can hear a tempo that drifts as a whole.
    """
    if any(mark.kind in FAULTS for mark in marks):
        return False
    is_sure = heard.confidence >= settings.clean_share
    is_whole = heard.stopped is None and not heard.began_again and not heard.passed_over
    is_timed = heard.told_against is not ToldAgainst.OWN_AVERAGE
    return True if is_sure and is_whole and is_timed else None
