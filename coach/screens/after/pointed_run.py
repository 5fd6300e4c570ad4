"""A run that was played, with a pointer at its beats and at marks made or proposed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from coach.errors import CoachError
from coach.rehearsal.gear.gear import Fact, GearLost, TakeSilent, TrackEnded
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.score.tempo import Seconds
from coach.screens.after.beat_places import BeatPlace, beat_places, nearest_place
from coach.screens.after.last_runs import LAST
from coach.screens.after.run_bars import RunBars
from coach.screens.coach_screen import CoachScreen
from coach.screens.phrase.phrase_moves import next_of
from coach.screens.settings import run_look
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.text_lines import Words

PLAYING = "Your run, as it was recorded: p ends it; a mark's key marks what you hear."

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.timer import Timer

    from coach.conductor import Conductor


class PointedRun(CoachScreen[object]):
    """Shows a run and marks it where the player points."""

    def __init__(self, conductor: Conductor) -> None:
        super().__init__()
        self._conductor = conductor
        self._places: Sequence[BeatPlace] = ()
        self._looked_at = 0
        self._has_pointed = False
        self._timer: Timer | None = None

    def on_mount(self) -> None:
        """Stand still; the pointer moves by itself only while the run is played."""
        super().on_mount()
        self._timer = self.set_interval(run_look().frame_s, self.frame, pause=True)

    def on_unmount(self) -> None:
        """Let nothing sound on."""
        self._conductor.hush_take()

    def compose_body(self) -> ComposeResult:
        """Heading, words, the air over the bars, and the staff of the place."""
        yield Heading(self.signs)
        yield Words(self.signs)
        yield RunBars(self.signs)
        yield StaffStrip(self.signs, has_playhead=False)

    def show_words(self) -> None:
        """Show what is said of the run."""
        raise NotImplementedError

    @property
    def _ended(self) -> Seconds:
        """When the run came to its end."""
        return self._conductor.glance().time

    def point_first(self) -> None:
        """Point at the first fault, else the first mark, else where one begins to look.

        That is the first beat, or the last of a run that was cut off.
        """
        self._places = beat_places(self._conductor.plan, self._ended)
        marks = self._all_marks
        faults = [mark for mark in marks if mark.kind in FAULTS] or marks
        is_cut_off = self._ended < self._conductor.track.ends
        start = self._places[-1 if is_cut_off else 0]
        first = faults[0].at if faults else start.at
        self._looked_at = nearest_place(self._places, first)
        self.query_one(StaffStrip).show_plan(self._conductor.plan)

    def show_marks(self) -> None:
        """Show what is marked and proposed, and what is said to that."""
        conductor = self._conductor
        strip = self.query_one(StaffStrip)
        strip.show_plan(conductor.plan, is_read=True)
        strip.show_marks(conductor.marks, conductor.proposed)
        bars = self.query_one(RunBars)
        bars.show_run(conductor.planned, conductor.gauge, self._ended)
        bars.show_marks(conductor.marks, conductor.proposed)
        bars.show_last(conductor.last_runs(LAST))
        self._look()
        self.show_words()

    @property
    def _all_marks(self) -> list[Mark]:
        """Marks made and proposed, in order of time."""
        conductor = self._conductor
        marks = (*conductor.marks, *conductor.proposed)
        return sorted(marks, key=lambda mark: mark.at)

    def _look(self) -> None:
        """Turn bars and staff to the place that is looked at."""
        self._show_place(self._places[self._looked_at].at)

    def _show_place(self, time: Seconds) -> None:
        """Point at a run time, in the beat that is looked at."""
        words = self._places[self._looked_at].words
        self.query_one(RunBars).show_place(time, words)
        beats = self._conductor.plan.tempo_map.beats_at(time)
        self.query_one(StaffStrip).show_place(beats, None)

    def action_play_take(self) -> None:
        """Hear the run from the beat that is pointed at on, or no more."""
        conductor = self._conductor
        if conductor.is_take_playing:
            self._hush()
            return
        is_there = conductor.play_take(self._places[self._looked_at].at)
        if is_there and self._timer is not None:
            self._timer.resume()
        self.tell(PLAYING if is_there else conductor.notice)

    def take_play_fact(self, fact: Fact) -> None:
        """Come to the end of what is heard of the run, or tell why there is none."""
        if isinstance(fact, TrackEnded | TakeSilent | GearLost):
            self._conductor.on_fact(fact)
            self._hush()
        if isinstance(fact, TakeSilent):
            self.tell(fact.message)

    def frame(self) -> None:
        """Point at what is heard of the run now, on the beat's own moment."""
        time = self._conductor.take_time
        if time is None:
            return
        self._looked_at = nearest_place(self._places, time)
        self._show_place(time)

    def _hush(self) -> None:
        """Let the pointer stand where it is, in silence."""
        self._conductor.hush_take()
        if self._timer is not None:
            self._timer.pause()
        self.tell("")
        self._look()

    def action_place(self, beats: int) -> None:
        """Point at another beat."""
        self._has_pointed = True
        self._hush_first()
        last = len(self._places) - 1
        self._looked_at = max(0, min(last, self._looked_at + beats))
        self._look()

    def action_turn(self, steps: int) -> None:
        """Point at another mark."""
        self._has_pointed = True
        self._hush_first()
        marked = [nearest_place(self._places, mark.at) for mark in self._all_marks]
        self._looked_at = next_of(marked, self._looked_at, steps)
        self._look()

    def action_mark(self, kind: str) -> None:
        """Mark the beat that is pointed at, in the place of what is proposed there.

        While the run is played that is the beat heard before the player reacted; and
        a key that comes as the run ends is about its last beat.
        """
        is_pointing = self._has_pointed or self._conductor.proposed
        if self._conductor.is_just_over and not is_pointing:
            self._mark_end(MarkKind(kind))
            return
        time = self._conductor.take_time
        if time is not None:
            meant = Seconds(time - self._conductor.reaction)
            self._looked_at = nearest_place(self._places, meant)
        at = self._places[self._looked_at].at
        self._conductor.wave_off(self._pointed)
        self._conductor.mark(MarkKind(kind), at)
        self._tell_marks()

    def _mark_end(self, kind: MarkKind) -> None:
        """Mark the last beat of what has just been played, if that is shown here."""
        k, runs = self._conductor.words_wanted
        if k < runs:
            self.tell(f"Not marked: this is run {k}, and run {runs} has just ended.")
            return
        self._conductor.mark(kind)
        self._looked_at = len(self._places) - 1
        self._tell_marks()

    def action_accept(self, which: str) -> None:
        """Take over what is proposed at the beat that is pointed at, or all."""
        self._judge(which, self._conductor.accept)

    def action_wave_off(self, which: str) -> None:
        """Wave off what is proposed at the beat that is pointed at, or all.

        Where nothing is proposed the mark that stands there is struck.
        """
        here = [mark for mark in self._conductor.marks if self._is_here(mark)]
        if which == "here" and here and not self._pointed:
            self._conductor.take_back_mark(here[-1])
            self._tell_marks()
            return
        self._judge(which, self._conductor.wave_off)

    def _judge(self, which: str, do: Callable[[Sequence[Mark]], None]) -> None:
        """Do something with marks that are proposed, and point at the next."""
        marks = self._conductor.proposed if which == "all" else self._pointed
        if not marks:
            self.tell("No mark stands here: go to one with down and up.")
            return
        try:
            do(marks)
        except CoachError as error:
            self.tell_error(error)
            return
        left = self._conductor.proposed
        if left:
            later = [mark for mark in left if mark.at >= marks[0].at] or left
            self._looked_at = nearest_place(self._places, later[0].at)
        self._tell_marks()

    def action_keep_take(self) -> None:
        """Keep the sound of the run."""
        self._conductor.keep_take()
        self.tell(self._conductor.notice)

    def action_throw_take_away(self) -> None:
        """Throw the sound of the run away, kept or not."""
        self._hush_first()
        self._conductor.throw_take_away()
        self.tell(self._conductor.notice)

    def _hush_first(self) -> None:
        """End what is heard of the run before something else is done."""
        if self._conductor.is_take_playing:
            self._hush()

    @property
    def _pointed(self) -> tuple[Mark, ...]:
        """Give what is proposed at the beat that is pointed at."""
        return tuple(mark for mark in self._conductor.proposed if self._is_here(mark))

    def _is_here(self, mark: Mark) -> bool:
        """Tell whether a mark stands at the beat that is pointed at."""
        return nearest_place(self._places, mark.at) == self._looked_at

    def action_take_back(self) -> None:
        """Take the newest mark back."""
        self._conductor.take_back_mark()
        self._tell_marks()

    def _tell_marks(self) -> None:
        """Say what was done with a mark, and show what follows from it."""
        self.tell(self._conductor.notice)
        self.show_marks()
