"""The run that the conductor begins and ends: what is seen, marked and said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from coach.errors import CoachError
from coach.planning.naming import say_count
from coach.planning.plan import Plan
from coach.rehearsal.outside import Outside
from coach.rehearsal.rehearsal import Rehearsal
from coach.rehearsal.rehearsal_settings import RehearsalSettings
from coach.rehearsal.run.gauge import Glance
from coach.rehearsal.run.listening import Listening
from coach.rehearsal.run.mark import Mark, MarkedBy, time_of_beat
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.rehearsal.run.noting import NOTES_OF_BREATH, Noted, note_heard, note_mark
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_book import RunBook
from coach.rehearsal.run.run_states import State
from coach.rehearsal.run.take_book import TakeBook
from coach.rehearsal.run.typed_words import NOTHING_SAID, Said, SaidMark
from coach.rehearsal.run.under_way import UnderWay
from coach.rehearsal.stand.stand import Planner, Stand
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.phrase import Part
from coach.score.tempo import Seconds


class RunAtHand(Rehearsal):
    """A rehearsal with a run that plays, or that was played and waits for a word."""

    def __init__(
        self,
        part: Part,
        planner: Planner,
        outside: Outside,
        wishes: RunWishes,
        settings: RehearsalSettings,
    ) -> None:
        super().__init__(part, planner, outside.log, outside.wall, wishes, settings)
        self._player = outside.player
        self._clock = outside.clock
        self._state = State.READY
        self._book = RunBook(outside.log)
        self._listening = Listening(Seconds(0.0), Seconds(0.0))
        self._takes = TakeBook(outside.ear, settings.telling)

    @property
    def state(self) -> State:
        """Where the rehearsal stands."""
        return self._state

    @property
    def is_free(self) -> bool:
        """Nothing plays or waits for a word: what is asked for is put up at once."""
        return self._state is State.READY

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Marks of the run that plays or waits for a word, in order of time."""
        marks = self._book.run.marks if self._book.run else ()
        return tuple(sorted(marks, key=lambda mark: mark.at))

    @property
    def planned(self) -> Plan:
        """What was planned when the run at hand began; `plan` has its real breaths."""
        return (self._book.run and self._book.run.planned) or self.plan

    @property
    def run_id(self) -> int | None:
        """Number in the log of the run that plays or waits for a word."""
        return self._book.run.id if self._book.run else None

    def last_runs(self, most: int) -> tuple[Run, ...]:
        """List the last runs like the one at hand that tell something, oldest first."""
        runs = [run for run in self._like_runs() if run.is_telling]
        return tuple(run for run in runs if run.id != self.run_id)[-most:]

    @property
    def words_wanted(self) -> tuple[int, int]:
        """Which run in a row waits for a word, from 1, and of how many."""
        return self._book.place

    @property
    def said_so_far(self) -> tuple[bool | None, str]:
        """What the player calls the run at hand, if anything, and the note on it."""
        run = self._book.run
        return (run.called_clean, run.note) if run else (None, "")

    @property
    def last_run(self) -> Run | None:
        """The run that was saved last in this rehearsal."""
        return self._book.last

    @property
    def proposed(self) -> tuple[Mark, ...]:
        """Marks that the microphone speaks for and that nobody has accepted."""
        run = self._book.run
        return self._takes.proposed(run.id, run.marks) if run else ()

    @property
    def heard_lines(self) -> tuple[str, ...]:
        """What was heard of the run at hand, in words; empty where nobody listened."""
        return self._takes.says(self._book.run.id) if self._book.run else ()

    @property
    def is_being_heard(self) -> bool:
        """The ear has still to say what it heard of the run at hand."""
        return self._takes.is_awaited(self.run_id)

    def set_wishes(self, wishes: RunWishes) -> None:
        """Ask for everything at once; the click changes even while a run plays.

        A microphone is let go at once, and opened for the next run: no click suffers.
        """
        has_new_click = wishes.click != self.wishes.click
        if wishes.listens and not (self.wishes.listens or self._is_sounding):
            self._takes.open()
        elif self.wishes.listens and not wishes.listens:
            self._takes.close()
        super().set_wishes(wishes)
        if has_new_click and self._is_sounding:
            requests = self._requests
            self._go_on_with(requests.maker.click_anew(requests.stand, wishes.click))

    def mark(
        self, kind: MarkKind, at: Seconds | None = None, by: MarkedBy = "player"
    ) -> Mark | None:
        """Mark a beat: the one heard now less the reaction time, or the one at `at`.

        Parameters
        ----------
        at : Seconds, optional
            The run time that is meant; left out, the player has just pressed a key.
            A breath more or less counts for the air from where it is marked, also
            when that is said after the run.

        Returns
        -------
        Mark or None
            What was kept, safe in the log; None where no run is there to mark, and
            where no breath was due that could be missed.
        """
        run = self._book.run
        if run is None or self._state is State.COUNTING_IN:
            self._notice = "Nothing is played yet that could be marked."
            return None
        if kind in NOTES_OF_BREATH and (at is None or self._state is State.ENDED):
            return self._note_breath(kind, at, by)
        reaction = self._settings.run.reaction_s
        meant = Seconds(self._now(run) - reaction) if at is None else at
        mark = self._keep(note_mark(self.plan, run, kind, meant, by))
        if at is None:
            self._notice += f", {reaction:g} s before the key"
        return mark

    def accept(self, marks: Sequence[Mark]) -> None:
        """Keep marks that are proposed: a breath more or less counts for the air."""
        for mark in marks:
            run = self._book.run
            if run is None:
                return
            if mark.kind in NOTES_OF_BREATH:
                self._note_breath(mark.kind, mark.at, mark.by)
                self._takes.wave_off(run.id, (mark,))
            else:
                self._keep(note_heard(run, mark))
        self._notice = f"{say_count(len(marks), 'mark')} taken over."

    def wave_off(self, marks: Sequence[Mark]) -> None:
        """Propose some marks no more."""
        if self._book.run:
            self._takes.wave_off(self._book.run.id, marks)
            self._notice = f"{say_count(len(marks), 'mark')} waved off."

    def call(self, is_clean: bool | None) -> None:
        """Call the run at hand clean or not, until another word is said."""
        if self._book.run and is_clean is not None:
            self._book.run = replace(self._book.run, called_clean=is_clean)

    def take_words(self, said: Said) -> str:
        """Mark what is said of a run, kept however one leaves; give what is a note.

        A note stays until there is another, or nothing at all is said.

        Returns
        -------
        str
            The note, with what cannot be marked: bars that were not played, where a
            fault is one all the same, and a breath missed where none was due.
        """
        if said.is_as_heard:
            self.accept(self.proposed)
        unmarked = [one for one in said.marks if not self._mark_said(one)]
        self.call(said.is_clean)
        if said.is_clean is None and any(one.kind in FAULTS for one in unmarked):
            self.call(is_clean=False)
        note = ", ".join(filter(None, [said.note, *map(str, unmarked)]))
        if self._book.run and (note or said == NOTHING_SAID):
            self._book.run = replace(self._book.run, note=note)
        return note

    def _mark_said(self, one: SaidMark) -> bool:
        """Mark what is said to have happened, and tell whether that could be done."""
        run, at = self._book.run, time_of_beat(self.plan, one.bar, one.beat, one.time)
        if run is None or at is None or at > self._now(run):
            return False
        return self.mark(one.kind, at) is not None

    def take_back_mark(self, which: Mark | None = None) -> None:
        """Take a mark back, or the newest; a breath more or less is planned anew."""
        run = self._book.run
        if run is None:
            self._notice = "There is no mark to take back."
            return
        noted = self._book.take_back(run, which)
        self._notice = noted.says
        if noted.changes_breaths and self._has_air:
            self._plan_rest(noted.run, self._now(run))

    def breathed(self, at: Seconds | None = None, by: MarkedBy = "player") -> None:
        """Note a breath, planned or not; gauge and prompts are made anew at once."""
        self._note_breath(MarkKind.BREATHED, at, by)

    def glance(self, time: Seconds | None = None) -> Glance:
        """Tell what a player must see at a run time, or at what is heard now."""
        if time is not None:
            return self.gauge.glance(time)
        if self._book.run is None:
            return self.gauge.glance(self.gauge.first_beat)
        glance = self.gauge.glance(self._now(self._book.run))
        return glance if self._is_sounding else replace(glance, is_over=True)

    @property
    def _is_sounding(self) -> bool:
        """The click runs."""
        return self._state in (State.COUNTING_IN, State.PLAYING)

    @property
    def _has_air(self) -> bool:
        """The music of a run plays, or was played: a breath more or less tells."""
        return self._state in (State.PLAYING, State.ENDED)

    @property
    def _stand(self) -> Stand:
        """What lies on the stand."""
        return self._requests.stand

    def _now(self, run: UnderWay) -> Seconds:
        """Tell the run time that is heard now; after its end, the end."""
        if run.ended is not None:
            return run.ended
        time = self._player.run_time()
        if time is not None:
            self._listening = replace(self._listening, heard=time)
        return self._listening.heard

    def _go_on_with(self, stand: Stand) -> None:
        """Change what lies on the stand in the middle of a run, for that run."""
        if self._is_sounding and stand.track != self.track:
            self._player.change(stand.track)
        self._requests = replace(self._requests, stand=stand, is_stale=True)

    def _keep(self, noted: Noted) -> Mark | None:
        """Keep what was noted, and say it."""
        self._notice = noted.says
        return self._book.note(noted)

    def _note_breath(
        self, kind: MarkKind, at: Seconds | None, by: MarkedBy
    ) -> Mark | None:
        """Note a breath more or less, and plan anew what is still to come."""
        run = self._book.run
        if run is None or not self._has_air:
            self._notice = "No run is playing."
            return None
        now = self._now(run)
        time = now if at is None else at
        noted = NOTES_OF_BREATH[kind](self.plan, run, time, by)
        mark = self._keep(noted)
        if noted.changes_breaths:
            self._plan_rest(noted.run, now if self._state is State.ENDED else time)
        return mark

    def _plan_rest(self, run: UnderWay, now: Seconds) -> None:
        """Plan anew what is still to come, after a breath more or less."""
        requests = self._requests
        inside = requests.edits.within(self.first_note, len(self.segment.part.notes))
        notice = Seconds(self._settings.run.breath_notice_s)
        locks = run.locks_now(self.gauge, now, inside.locks, notice)
        try:
            stand = requests.maker.plan_anew(
                requests.stand, requests.edits, locks, requests.wishes.click
            )
        except CoachError as error:
            self._notice = f"{self._notice}; {error.message}"
        else:
            self._go_on_with(stand)
