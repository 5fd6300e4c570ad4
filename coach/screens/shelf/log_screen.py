"""Runs by day, where they went wrong, what got better, what the air model thinks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, Protocol

from textual import on
from textual.binding import Binding
from textual.containers import Horizontal, Vertical

from coach.errors import CoachError
from coach.planning.naming import say_bars, say_count
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import say_room
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_words import say_mark, say_outcome
from coach.score.etude_key import key_of
from coach.score.plain_text import one_line
from coach.screens.after.after_words import say_advice
from coach.screens.coach_screen import PRACTICE_CSS, CoachScreen
from coach.screens.tempo_words import say_tempo
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import leaping, shown
from coach.screens.widgets.plot import Column, ColumnPlot, LinePlot
from coach.screens.widgets.text_lines import Line, Tone, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.rehearsal.review.review import Review
    from coach.rehearsal.run.run import SetAside
    from coach.score.etude_key import EtudeKey
    from coach.score.phrase import Part

RUNS_READ = 200
"""Runs that are read at first: some weeks, and more lines than a screen has."""

SET_ASIDE = {"struck-out": "struck out", "not-me": "somebody else"}


class LogNeeds(Protocol):
    """Runs that were played."""

    def list_runs(self, etude: EtudeKey | None, most: int) -> tuple[Sequence[Run], int]:
        """List the newest runs, oldest first, and tell how many more are older."""
        ...

    def say_later(self, run: Run, *, is_clean: bool) -> None:
        """Keep the player's word on a run that is over; it goes before any other."""
        ...

    def set_aside(self, run: Run, why: SetAside | None) -> None:
        """Let a run count for nothing from now on, or with None count again."""
        ...

    def review(self, part: Part) -> Review:
        """Sum up the runs of a part."""
        ...


class LogScreen(CoachScreen[LogNeeds]):
    """The runs of one etude with what they say, or the runs of all."""

    CSS_PATH = PRACTICE_CSS
    ABOUT = "The log: runs, newest first, and what they say."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("escape,q,l,space", "dismiss", "back", "Back to where you were"),
        shown("down,j", "move(1)", "run before", "The run before"),
        shown("up,k", "move(-1)", "run after", "The run after"),
        shown("c", "say(True)", "clean", "This run was clean"),
        shown("t", "say(False)", "not clean", "This run was not clean"),
        shown("x", "strike", "strike out", "Let a run count for nothing, or again"),
        *leaping(10),
    )

    def __init__(self, part: Part | None) -> None:
        super().__init__()
        self._part = part
        self._runs: Sequence[Run] = ()
        self._most, self._older = RUNS_READ, 0
        self._chosen = 0
        self._run_of_line: list[int] = []
        self._was_aside: dict[int | None, SetAside] = {}

    def compose_body(self) -> ComposeResult:
        """Put runs at the left, and at the right what they say of an etude."""
        yield Heading(self.signs)
        with Horizontal(id="log"):
            yield Words(self.signs, id="runs")
            with Vertical(id="said"):
                yield Words(self.signs, id="story")
                if self._part is not None:
                    yield ColumnPlot(self.signs)
                    yield LinePlot(self.signs)

    def on_mount(self) -> None:
        """Read the log."""
        super().on_mount()
        title = self._part.title if self._part is not None else "all etudes"
        self._read()
        words = say_count(len(self._runs) + self._older, "run")
        self.query_one(Heading).show_heading(title, f"log {self.signs.bullet} {words}")
        self._show()
        self._review()

    def _read(self) -> None:
        """Read the newest runs; older ones are read when they are wanted."""
        key = key_of(self._part) if self._part else None
        try:
            runs, self._older = self.studio.list_runs(key, self._most)
        except CoachError as error:
            self.tell_error(error)
        else:
            self._runs = tuple(reversed(tuple(runs)))

    def _review(self) -> None:
        """Show what the runs of an etude say."""
        if self._part is not None and self._runs:
            try:
                self._show_review(self.studio.review(self._part))
            except CoachError as error:
                self.tell_error(error)

    def _show(self) -> None:
        """Show the runs and the one that is chosen."""
        lines: list[Line] = []
        self._run_of_line = []
        day = ""
        for k, run in enumerate(self._runs):
            here = f"{run.started.day} {run.started:%B %Y}"
            if here != day:
                lines.append(Line(here, "title"))
                self._run_of_line.append(k)
                day = here
            tone: Tone = "quiet" if run.set_aside else "plain"
            if k == self._chosen:
                tone = "chosen"
            lines.append(Line(self._say_run(run), tone, f"{run.started:%H:%M}"))
            self._run_of_line.append(k)
        if not lines:
            lines = [Line("no runs yet", "quiet")]
        self.query_one("#runs", Words).show_lines(lines, lead_width=6)
        if self._part is None:
            self._show_story([])

    def _say_run(self, run: Run) -> str:
        """Say a run in a line."""
        words = [] if self._part is not None else [one_line(run.etude)]
        words += [say_bars(run.from_bar, run.to_bar), self._say_tempo(run.bpm)]
        if run.how.room_beats:
            words.append(say_room(run.how.room_beats))
        marks = f", {say_count(len(run.marks), 'mark')}" if run.marks else ""
        words.append(f"{say_outcome(run)}{marks}")
        if run.set_aside:
            words.append(SET_ASIDE[run.set_aside])
        if run.how.player and len({other.how.player for other in self._runs}) > 1:
            words.append(one_line(run.how.player))
        return f" {self.signs.bullet} ".join(words)

    def _say_tempo(self, bpm: float) -> str:
        """Say a tempo; of many etudes each counts its own beat."""
        if self._part is None:
            return f"at {bpm:g}"
        return say_tempo(bpm, self._part.tempo.beat, self.signs)

    def _story_of_run(self) -> list[Line]:
        """Tell of the chosen run."""
        if not self._runs:
            return []
        run = self._runs[self._chosen]
        lines = [Line(say_mark(mark)) for mark in run.marks] or [Line("nothing marked")]
        if run.note:
            lines.append(Line(f"“{one_line(run.note)}”", "quiet"))
        return lines

    def _show_story(self, more: Sequence[Line]) -> None:
        self.query_one("#story", Words).show_lines([*more, *self._story_of_run()])

    def _show_review(self, review: Review) -> None:
        """Show trouble, progress and air."""
        self._said = [
            *self._say_best(review),
            *(Line(spot.says, "strong") for spot in review.trouble),
            *(Line(kind.says, "strong") for kind in review.rushed),
            *(Line(bars.says, "strong") for bars in review.sounded),
        ]
        if review.evenness is not None:
            self._said.append(Line(review.evenness.says, "quiet"))
        if review.is_too_little:
            self._said.append(Line("marked: too few runs to tell from chance", "quiet"))
        self._said.append(Line(review.air.says, "quiet"))
        if self._part is not None:
            beat = self._part.tempo.beat
            self._said.append(Line(say_advice(review.next, beat, self.signs), "strong"))
            self._show_marked(review, self._part)
        self._said.append(Line(""))
        self._show_story(self._said)
        self._show_progress(review)

    def _say_best(self, review: Review) -> list[Line]:
        """Say what is clean: the whole, or which part of it."""
        best, goal = review.best, f"{review.goal_bpm:g}"
        if best is None:
            return []
        tempo = self._say_tempo(best.clean_bpm)
        if best.is_whole:
            return [Line(f"whole: clean at {tempo} of {goal}", "title")]
        bars = say_bars(best.from_bar, best.to_bar)
        return [
            Line(f"whole: not clean yet, goal {goal}", "title"),
            Line(f"part: {bars} clean at {tempo}"),
        ]

    def _show_marked(self, review: Review, part: Part) -> None:
        """Show over all bars what was marked."""
        ran_out: Counter[int] = Counter()
        others: Counter[int] = Counter()
        for spot in review.marked:
            ran_out[spot.bar] += spot.times[MarkKind.RAN_OUT]
            others[spot.bar] += spot.went_wrong - spot.times[MarkKind.RAN_OUT]
        bars = sorted({bar.number for bar in part.bars})
        self.query_one(ColumnPlot).show_columns(
            "marks by bar: full, out of air; hatched, all else",
            [Column(str(bar), ran_out[bar], others[bar]) for bar in bars],
        )

    def _show_progress(self, review: Review) -> None:
        """Show the fastest clean runs by day: of the whole a line, of parts dots."""
        days = review.days
        wholes, parts = (
            [
                ((day.day - days[0].day).days, best.clean_bpm)
                for day in days
                if (best := getattr(day, which)) is not None
            ]
            for which in ("whole", "part")
        )
        if wholes or parts:
            self.query_one(LinePlot).show_points(
                "fastest clean by day: line, the whole; crosses, a part",
                wholes,
                (f"{days[0].day:%d.%m.%y}", f"{days[-1].day:%d.%m.%y}"),
                (review.goal_bpm, "goal"),
                others=parts,
            )

    _said: Sequence[Line] = ()

    @on(Words.Picked, "#runs")
    def pick(self, message: Words.Picked) -> None:
        """Choose the run that was clicked."""
        if self._runs:
            self.action_move(self._run_of_line[message.index] - self._chosen)

    def action_strike(self) -> None:
        """Let the chosen run count for nothing from now on, or count again."""
        if not self._runs:
            return
        run = self._runs[self._chosen]
        before = self._was_aside.get(run.id, "struck-out")
        if run.set_aside:
            self._was_aside[run.id] = run.set_aside
        why = None if run.set_aside else before
        again = "It counts for nothing now." if why else "It counts again."
        if self._keep(lambda: self.studio.set_aside(run, why)):
            self.tell(f"{again} x takes that back.")

    def action_say(self, is_clean: bool) -> None:
        """Say of the chosen run how it was, whatever was said of it before."""
        if not self._runs:
            return
        run = self._runs[self._chosen]
        if self._keep(lambda: self.studio.say_later(run, is_clean=is_clean)):
            outcome = say_outcome(self._runs[self._chosen])
            self.tell(f"This run: {outcome}. c says clean, t not clean.")

    def _keep(self, change: Callable[[], None]) -> bool:
        """Change what is kept of a run, and show all as it is by then."""
        try:
            change()
        except CoachError as error:
            self.tell_error(error)
            return False
        self._read()
        self._show()
        self._review()
        return True

    def action_move(self, steps: int) -> None:
        """Choose another run."""
        if self._runs:
            if self._older and self._chosen + steps >= len(self._runs):
                self._most *= 2
                self._read()
            last = len(self._runs) - 1
            self._chosen = max(0, min(last, self._chosen + steps))
            self._show()
            self._show_story(self._said)
