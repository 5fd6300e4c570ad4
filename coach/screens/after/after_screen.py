"""After the run: what was marked, what to say about it, what next."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from coach.errors import CoachError
from coach.rehearsal.gear.gear import PedalPressed, RunHeard, TakeKept
from coach.rehearsal.hearing.following.told import StartHeard
from coach.rehearsal.run.mark_kinds import FAULTS
from coach.rehearsal.run.run_states import State
from coach.rehearsal.run.typed_words import read_words, say_noted
from coach.score.page_facts import span_of
from coach.score.plain_text import one_line
from coach.screens.after.after_keys import AFTER_KEYS
from coach.screens.after.after_words import (
    PROPOSED_KEYS,
    say_advice,
    say_marks,
    say_proposed,
    say_rung,
    say_start,
    say_why,
)
from coach.screens.after.pointed_run import PointedRun
from coach.screens.coach_screen import PRACTICE_CSS
from coach.screens.run.next_run_words import as_played, say_title, say_where
from coach.screens.run.next_wishes import room
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.binding import Binding
    from textual.widgets import Input

    from coach.conductor import Conductor
    from coach.rehearsal.gear.gear import Fact
    from coach.rehearsal.review.advice import Advice


class AfterScreen(PointedRun):
    """The player's word about a run; gives whether another follows at once."""

    CSS_PATH = PRACTICE_CSS
    ABOUT = "After the run: say how it was, and choose what comes next."
    KEYS: ClassVar[Sequence[Binding]] = AFTER_KEYS

    def __init__(self, conductor: Conductor) -> None:
        super().__init__(conductor)
        self._advice: Advice | None = None
        self._is_in_haste = False

    def on_mount(self) -> None:
        """Show what was marked and what comes next, and what has cut the run off."""
        super().on_mount()
        self._show_run()
        if self._is_without_fault is None:
            self.tell(self._conductor.notice)

    def _show_run(self) -> None:
        """Show the run that waits for a word."""
        self._is_in_haste = False
        self.point_first()
        self.show_marks()

    def _advise(self) -> None:
        """Ask what comes next, if the run was as the screen calls it."""
        self._advice = self._conductor.advice(self._words_so_far)

    @property
    def _words_so_far(self) -> Mapping[int | None, bool]:
        """The word on this run as the screen calls it, if it does."""
        called = self._called
        return {} if called is None else {self._conductor.run_id: called}

    @property
    def _word(self) -> bool | None:
        """The player's word on it so far."""
        return self._conductor.said_so_far[0]

    @property
    def _called(self) -> bool | None:
        """What the screen calls the run: by its word, or what its marks suggest."""
        return self._is_without_fault if self._word is None else self._word

    @property
    def _is_without_fault(self) -> bool | None:
        """Tell whether nothing was marked; None where it was cut off."""
        conductor = self._conductor
        if self._ended < conductor.track.ends:
            return None
        marks = (*conductor.marks, *conductor.proposed)
        return not any(mark.kind in FAULTS for mark in marks)

    def take_fact(self, fact: Fact) -> None:
        """Let the pedal play the same again; show what was heard of the run."""
        if isinstance(fact, PedalPressed) and fact.action in ("start-stop", "again"):
            self.action_again()
        elif isinstance(fact, StartHeard):
            if self.is_active and not self.query("Input"):
                self.action_again()
        elif isinstance(fact, RunHeard):
            self._conductor.on_fact(fact)
            self.point_first()
            self.show_marks()
        elif isinstance(fact, TakeKept):
            self.tell(fact.message)
        else:
            self.take_play_fact(fact)
            self.show_lost_gear(fact)

    def on_key(self) -> None:
        """Take the sound of a key on the laptop for no knock."""
        self._conductor.pass_over_key()

    def show_words(self) -> None:
        """Show heading, what comes next, and what is said of the run.

        What space would play is never below the edge, however much there is to say.
        """
        self._advise()
        conductor = self._conductor
        plan = conductor.plan
        self.query_one(Heading).show_heading(
            say_title(conductor, self.signs),
            say_where(as_played(conductor), plan.part.tempo.beat, self.signs),
        )
        lines = [Line(self._which() + self._verdict(), "title")]
        advice = self._advice
        is_asked = self._word is None and self._called is True
        rung = conductor.rung(self._words_so_far)
        if is_asked:
            rung = rung.before_word(conductor.rung({}))
        if advice is not None:
            words = say_advice(advice, plan.part.tempo.beat, self.signs)
            lines.append(Line(words, "strong"))
        depends = is_asked and advice != conductor.advice()
        lines += [
            *self._proposed(),
            Line(say_marks(conductor.marks, self.signs)),
            *(
                [Line(say_why(advice, is_asked=depends), "quiet")]
                if advice is not None
                else []
            ),
            Line(say_rung(rung, self.signs, is_asked=is_asked), "quiet"),
        ]
        if note := conductor.said_so_far[1]:
            lines.append(Line(f"“{one_line(note)}”", "quiet"))
        lines += [Line(told, "quiet") for told in conductor.heard_lines]
        by = conductor.wishes.following.start_by
        if by and conductor.is_listening:
            is_being_heard = conductor.is_being_heard
            lines.append(Line(say_start(by, is_being_heard=is_being_heard), "quiet"))
        self.query_one(Words).show_lines(lines)

    def _proposed(self) -> Iterator[Line]:
        """Say what is proposed, and with which keys it is taken over."""
        if self._conductor.proposed:
            yield Line(say_proposed(self._conductor.proposed, self.signs), "strong")
            yield Line(PROPOSED_KEYS, "quiet")

    def _which(self) -> str:
        """Name the run, where several in a row wait for a word."""
        k, runs = self._conductor.words_wanted
        return f"run {k} of {runs}: " if runs > 1 else ""

    def _verdict(self) -> str:
        """Say in a word how the run counts, or would: cut off it is never clean."""
        if self._word is False:
            return "not clean yet"
        if self._is_without_fault is None:
            so_far = ", clean so far" if self._word else ""
            return f"cut off in bar {self._conductor.glance().bar}{so_far}"
        if self._word:
            return "clean"
        return "clean?" if self._is_without_fault else "not clean yet"

    def action_clean(self) -> None:
        """Call it clean, and be done: what is next then waits on the stand.

        Marks that are only proposed are waved off.
        """
        self._conductor.call(True)
        self._conductor.wave_off(self._conductor.proposed)
        self._advise()
        if self._save():
            self._turn_page(plays=False)

    def action_not_clean(self) -> None:
        """Call it not clean; of several runs, go on to the next."""
        self._conductor.call(False)
        k, runs = self._conductor.words_wanted
        if k < runs and self._save():
            self._show_run()
        else:
            self.show_marks()

    def action_words(self) -> None:
        """Write a word about the run: how it was, what went wrong where, anything."""
        from coach.screens.widgets.ask_line import AskLine

        self.mount(
            AskLine(
                "lips tired; not clean; ran out 7.3", self._conductor.said_so_far[1]
            ),
            before="RunBars",
        )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the words; what is neither verdict nor mark is the note."""
        said = read_words(event.value)
        event.input.remove()
        try:
            note = self._conductor.take_words(said)
            self.tell(say_noted(note, said, span_of(self._conductor.plan.part)))
        except CoachError as error:
            self.tell_error(error)
        self.show_marks()

    def action_again(self) -> None:
        """Play the same again."""
        self._finish(goes_on=True)

    def action_slower(self) -> None:
        """Play it slower."""
        self._finish(goes_on=True, asks=lambda: self._conductor.step_tempo(-1))

    def action_faster(self) -> None:
        """Play it faster."""
        self._finish(goes_on=True, asks=lambda: self._conductor.step_tempo(1))

    def action_room(self) -> None:
        """Play it with a beat of rest at each breath, with half of one, or in time."""
        asked = room(self._conductor.wishes).wishes
        self._finish(goes_on=True, asks=lambda: self._conductor.set_wishes(asked))

    def action_leave(self) -> None:
        """Keep the run and go back."""
        self._finish(goes_on=False)

    def action_follow(self) -> None:
        """Take the run for what it is called here, and do what the coach suggests.

        Marks that are still proposed are taken over with it.
        """
        if self._conductor.is_being_heard and not self._is_in_haste:
            self._is_in_haste = True
            self.tell("The run is being listened to: again to go on without.")
            return
        self._conductor.call(self._called)
        self._conductor.accept(self._conductor.proposed)
        if self._save():
            self._turn_page(plays=True)

    def _finish(self, *, goes_on: bool, asks: Callable[[], None] | None = None) -> None:
        """Save the run, and others that wait without a word; ask for more; leave."""
        if not self._save():
            return
        try:
            self._conductor.leave()
            if asks is not None:
                asks()
        except CoachError as error:
            self.tell_error(error)
            return
        self.dismiss(goes_on)

    def _turn_page(self, *, plays: bool) -> None:
        """Show the next run that waits for a word; after the last, do what is next.

        It is played at once, or lies on the stand and waits.
        """
        advice = self._advice
        if self._conductor.state is State.ENDED:
            self._show_run()
            return
        if advice is None or advice.kind == "rest":
            self.dismiss(False)
            return
        try:
            self._conductor.follow(advice)
        except CoachError as error:
            self.tell_error(error)
            return
        self.dismiss(plays)

    def _save(self) -> bool:
        """Save the run; tell whether that went well."""
        try:
            self._conductor.finish()
        except CoachError as error:
            self.tell_error(error)
            return False
        return True
