"""A rehearsal: one part, what was played of it, and what is to come next.

It plays nothing: the conductor does.  It reads and writes the log, and is called from
one thread only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime

from coach.errors import CoachError
from coach.rehearsal.ahead.run_dates import LONGEST_DAY, at_their_place, of_today
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.rehearsal_settings import RehearsalSettings
from coach.rehearsal.review.advice import Advice, Standing
from coach.rehearsal.review.ladder import advise, tempo_now
from coach.rehearsal.review.review import HeardRuns, Review, ReviewedEtude, review
from coach.rehearsal.review.rung import Rung, find_rung
from coach.rehearsal.run.run import Run, RunLog, fingerprint
from coach.rehearsal.stand.looking_ahead import LookingAhead
from coach.rehearsal.stand.segment_choice import Choice, choose_bars, choose_whole
from coach.rehearsal.stand.stand import Planner
from coach.rehearsal.stand.wishes import RunWishes
from coach.rehearsal.stand_at_hand import StandAtHand
from coach.score.page_facts import span_of
from coach.score.phrase import Part

CHANGES = ("slower", "less-room", "breathe")
"""Advice that changes the next run in a row, for a reason that is told."""

NO_WORDS: Mapping[int | None, bool] = {}
"""Nothing is said that the log does not know."""


class Rehearsal(StandAtHand):
    """A rehearsal of one part, as far as it is asked for.

    Parameters
    ----------
    wall : callable
        Tells the date and time, with a zone.
    """

    def __init__(
        self,
        part: Part,
        planner: Planner,
        log: RunLog,
        wall: Callable[[], datetime],
        wishes: RunWishes,
        settings: RehearsalSettings,
    ) -> None:
        super().__init__(part, planner, log, wishes, settings)
        self._wall = wall
        self._ahead = LookingAhead(
            part, planner, log, settings.ladder, settings.acceleration_mps2
        )

    @property
    def is_kept(self) -> bool:
        """Tell whether runs are kept in the log, or forgotten at the end."""
        return self._log.is_kept

    def set_wishes(self, wishes: RunWishes) -> None:
        """Ask for everything at once."""
        choice = None
        asked = (wishes.from_bar, wishes.to_bar)
        if asked != (self.wishes.from_bar, self.wishes.to_bar):
            choice = choose_bars(self.part, *asked)
        elif wishes.is_from_end and not self.wishes.is_from_end:
            choice = self._last_part()
            if choice is not None:
                wishes = replace(wishes, bpm=self._tempo_of(choice))
        self._ask(wishes=wishes, choice=choice)

    def follow(self, advice: Advice) -> None:
        """Ask for what is advised: bars, tempo and room to breathe."""
        self.set_wishes(_as_advised(self.wishes, advice))

    def advice(self, words: Mapping[int | None, bool] = NO_WORDS) -> Advice:
        """Tell what to play next and why, as if runs had got these words already.

        Parameters
        ----------
        words : mapping of int to bool
            By the number of a run in the log: it is clean, or not.
        """
        advice = self._advise(self._requests.choice, self._called(words))
        if self._own_bpm is None or advice.kind == "rest":
            return advice
        first, last = self._requests.numbers(self._requests.choice)
        why = f"{say_bpm(self._own_bpm)} is what you asked for while it played."
        room_beats = self.wishes.room_beats
        return Advice("again", first, last, self._own_bpm, why, room_beats=room_beats)

    def review(self, air: AirEstimate) -> Review:
        """Sum up all runs of the part, with what is known of the player's air."""
        runs = self._like_runs()
        return review(
            ReviewedEtude(
                self.part.title,
                span_of(self.part),
                self.part.tempo.bpm,
                self.part.notes,
            ),
            runs,
            self._heard(runs),
            self._settings.trouble,
            air,
            self._go_on(runs),
        )

    def _heard(self, runs: Sequence[Run]) -> HeardRuns:
        """Read how the newest runs sounded."""
        settings = self._settings.sounded
        ids = [run.id for run in runs if run.was_played and run.id is not None]
        read = map(self._log.read_evidence, ids[-settings.newest_runs :])
        return HeardRuns(settings, tuple(one for one in read if one is not None))

    def opening(self) -> RunWishes:
        """Tell the bars, tempo and room that a rehearsal begins with."""
        wishes = self.wishes
        if "bars" in wishes.is_open:
            return _as_advised(wishes, self._go_on(self._like_runs()))
        if "tempo" in wishes.is_open:
            return replace(wishes, bpm=self._tempo_of(self._requests.choice))
        return wishes

    def begin_as_advised(self) -> None:
        """Put up what comes next, as far as nobody has asked for bars or tempo."""
        wishes = self.wishes
        if not wishes.is_open:
            return
        runs = self._like_runs()
        if "bars" in wishes.is_open:
            advice = self._go_on(runs)
            self.follow(advice)
            self._notice = advice.says
        else:
            bpm = self._tempo_of(self._requests.choice)
            self._ask(wishes=replace(wishes, bpm=bpm))
        self._requests = replace(
            self._requests, wishes=replace(self.wishes, is_open=frozenset())
        )

    def _advise(self, choice: Choice, runs: Sequence[Run]) -> Advice:
        """Tell what comes next after some bars."""
        here = self._standing(choice)
        advice = advise(runs, here, self._settings.ladder, self._settings.tempo)
        if self._ahead.has_just_learned():
            self.plan_for_other_air()
        return advice

    def _go_on(self, runs: Sequence[Run]) -> Advice:
        """Tell what comes next after the newest run: its bars, with its room."""
        choice, room_beats = self._last_choice(runs)
        here = self._standing(choice)
        here = replace(here, room_beats=here.room_beats or room_beats)
        return advise(runs, here, self._settings.ladder, self._settings.tempo)

    def tempo_of_all(self) -> float:
        """Tell the tempo at which the whole part stands."""
        return self._tempo_of(choose_whole(self.part))

    def runs_out_at(self, bpm: float) -> int | None:
        """Tell in which bar the air runs out in the whole part; None where it lasts."""
        here = self._standing(choose_whole(self.part))
        ahead = here.outlook.ask(here.bars, bpm)
        return None if ahead is None else ahead.runs_out

    def _tempo_of(self, choice: Choice) -> float:
        """Tell the tempo at which some bars stand, or that to begin them with."""
        here, runs = self._standing(choice), self._like_runs()
        return tempo_now(runs, here, self._settings.ladder, self._settings.tempo)

    def _standing(self, choice: Choice) -> Standing:
        """Say where the rehearsal stands with some bars, for advice."""
        self._requests = self._requests.divided()
        now = self._wall()
        here = self._requests.standing(choice, now)
        runs = of_today(self._log.list_runs(since=now - LONGEST_DAY), now)
        newest = max((run.id or 0 for run in runs), default=None)
        outlook = self._ahead.outlook(
            self._etude, self.like, self.edits, self.plan_in_time, newest
        )
        player = self.plan.player.name
        day = tuple(run for run in runs if run.is_of(player))
        return replace(here, body=self._settings.body, outlook=outlook, day=day)

    def rung(self, words: Mapping[int | None, bool] = NO_WORDS) -> Rung:
        """Tell how far it is to the next tempo, for the bars and tempo on the stand.

        Parameters
        ----------
        words : mapping of int to bool
            By the number of a run in the log: it is clean, or not.
        """
        segment = self.segment
        here = [
            run
            for run in self._called(words)
            if (run.from_bar, run.to_bar) == (segment.from_bar, segment.to_bar)
        ]
        bpms = self.plan.bpm, self.part.tempo.bpm
        return find_rung(
            here,
            bpms,
            self.advice(words),
            self._settings.ladder,
            self._settings.tempo,
            self.room_beats,
        )

    def _called(self, words: Mapping[int | None, bool]) -> list[Run]:
        """List like runs, as if they had got these words already."""
        return [
            run if run.id not in words else run.called(words[run.id])
            for run in self._like_runs()
        ]

    def _last_part(self) -> Choice | None:
        """Choose the part at the end of the page; None where there is but one."""
        parts = self._requests.parts()
        return choose_bars(self.part, *parts[-1]) if len(parts) > 1 else None

    def _last_choice(self, runs: Sequence[Run]) -> tuple[Choice, float]:
        """Choose the bars of the newest run, and its room to breathe, in beats.

        The whole in time where they are not there.
        """
        for run in reversed(runs):
            if run.is_telling:
                with suppress(CoachError):
                    choice = choose_bars(self.part, run.from_bar, run.to_bar)
                    return choice, run.how.room_beats
        return choose_whole(self.part), 0.0

    def _like_runs(self) -> tuple[Run, ...]:
        """List the newest runs of the part that can be held against the next."""
        most = self._settings.trouble.most_runs_count
        runs = self._log.list_runs(self._etude, like=self.like, most=most)
        return at_their_place(runs, self._wall())

    def _next_run(self, *, is_attended: bool) -> Run:
        """Describe the run of what lies on the stand."""
        return Run(
            started=self._wall(),
            etude=self.part.title,
            etude_key=self._etude.fingerprint,
            from_bar=self.segment.from_bar,
            to_bar=self.segment.to_bar,
            bpm=self.plan.bpm,
            is_completed=False,
            is_clean=None,
            plan=fingerprint(self.plan),
            is_whole=self.segment.is_whole,
            is_attended=is_attended,
            how=self._how,
        )

    def _climb(self, silent: Mapping[int | None, bool]) -> None:
        """Let the ladder choose the tempo of the next run in a row.

        Parameters
        ----------
        silent : mapping of int to bool
            Runs of this row without a word: the ladder takes what is not marked for
            clean, since the player, who is there to mark it, lets it move by itself.
        """
        advice = self.advice(silent)
        if advice.kind == "faster":
            self._notice = f"Nothing was marked: up to {say_bpm(advice.bpm)}."
        elif advice.kind in CHANGES or self._wants_room(advice):
            self._notice = advice.why
        else:
            self._notice = f"The ladder stays at {say_bpm(self.wishes.bpm)}."
            return
        self._ask(
            wishes=replace(self.wishes, bpm=advice.bpm, room_beats=advice.room_beats)
        )

    def _wants_room(self, advice: Advice) -> bool:
        """Tell whether breaths are to get more room."""
        return advice.room_beats > self.wishes.room_beats


def _as_advised(wishes: RunWishes, advice: Advice) -> RunWishes:
    """Give wishes for the bars, tempo and room that are advised."""
    return replace(
        wishes,
        bpm=advice.bpm,
        room_beats=advice.room_beats,
        from_bar=advice.from_bar,
        to_bar=advice.to_bar,
    )
