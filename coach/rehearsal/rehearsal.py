"""A rehearsal: one part, what the player asks for, and what lies on the stand for it.

It plays nothing: the conductor does.  It reads and writes the log, and is called from
one thread only.  Long, since all that a player may ask of a rehearsal is asked here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime

from coach.errors import CoachError
from coach.planning.breathing.ways_out import WayOut
from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.click.tempo_scale import say_bpm, step_tempo
from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.rehearsal_settings import RehearsalSettings
from coach.rehearsal.review.advice import Advice, Standing
from coach.rehearsal.review.ladder import advise, tempo_now
from coach.rehearsal.review.review import HeardRuns, Review, ReviewedEtude, review
from coach.rehearsal.review.rung import Rung, find_rung
from coach.rehearsal.run.gauge import Gauge
from coach.rehearsal.run.playing import Like, Playing, playing_of
from coach.rehearsal.run.run import Run, RunLog, fingerprint
from coach.rehearsal.stand.looking_ahead import LookingAhead
from coach.rehearsal.stand.requests import lay_requests
from coach.rehearsal.stand.segment_choice import Choice, choose_bars, choose_whole
from coach.rehearsal.stand.stand import Planner, StandMaker
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.etude_key import EtudeKey, key_of
from coach.score.phrase import Part
from coach.score.segment import Segment

NO_WORDS: Mapping[int | None, bool] = {}
"""Nothing is said that the log does not know."""


class Rehearsal:
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
        self._log = log
        self._wall = wall
        self._settings = settings
        self._etude = key_of(part)
        is_from_end = wishes.is_from_end or settings.ladder.is_joined_from_end
        self._requests = lay_requests(
            part,
            StandMaker(planner, settings.clicks, settings.run, settings.empty_air),
            replace(wishes, is_from_end=is_from_end),
            log.read_edits(self._etude),
            settings.run.segment_bars,
        )
        self._ahead = LookingAhead(
            part, planner, log, settings.ladder, settings.acceleration_mps2
        )
        self._notice = ""

    @property
    def part(self) -> Part:
        """The whole part."""
        return self._requests.part

    @property
    def plan(self) -> Plan:
        """The plan of the run that plays or was just played, else of the next one."""
        return self._requests.stand.plan

    @property
    def first_note(self) -> int:
        """Index in the whole part of the segment's first note."""
        return self.segment.first_note

    @property
    def segment(self) -> Segment:
        """What `plan` is for, and where it lies in the whole part."""
        return self._requests.stand.segment

    @property
    def plan_in_time(self) -> Plan:
        """The plan of the same bars without room to breathe, as it was laid."""
        return self._requests.stand.in_time

    @property
    def room_beats(self) -> float:
        """Beats of rest put in at the breaths of that run; 0 where nothing is."""
        return self._requests.stand.room_beats

    @property
    def track(self) -> ClickTrack:
        """What sounds, or would sound, in that run."""
        return self._requests.stand.track

    @property
    def gauge(self) -> Gauge:
        """Tells any moment of that run."""
        return self._requests.stand.gauge

    @property
    def wishes(self) -> RunWishes:
        """How the next run will be; tempo and bars changed in a run count from then."""
        return self._requests.wishes

    @property
    def edits(self) -> Edits:
        """What the player insists on, counted in the whole part."""
        return self._requests.edits

    @property
    def notice(self) -> str:
        """What was done last, in one line; empty for nothing to tell."""
        return self._notice

    @property
    def etude(self) -> EtudeKey:
        """What runs of the part are kept under."""
        return self._etude

    @property
    def like(self) -> Like:
        """Tell against which runs the next one is held."""
        return self._how.like

    @property
    def is_free(self) -> bool:
        """Nothing plays or waits for a word: what is asked for is put up at once."""
        return True

    def set_tempo(self, bpm: float) -> None:
        """Ask for a tempo; while a run plays, for the next one."""
        scale = self._settings.tempo
        held = min(max(bpm, scale.slowest_bpm), scale.fastest_bpm)
        self._ask(wishes=replace(self.wishes, bpm=held, is_open=frozenset()))
        self._notice = f"Tempo {say_bpm(held)}"

    def step_tempo(self, notches: int) -> None:
        """Move the tempo by notches of the traditional scale."""
        self.set_tempo(step_tempo(self.wishes.bpm, notches, self._settings.tempo))

    def set_segment(self, from_bar: int, to_bar: int) -> None:
        """Ask for bars of the page; while a run plays, for the next one."""
        self._choose(choose_bars(self.part, from_bar, to_bar))

    def set_whole(self) -> None:
        """Ask for the whole part; while a run plays, for the next one."""
        self._choose(choose_whole(self.part))

    def next_segment(self) -> None:
        """Move on by a segment: as many bars, or breath to breath."""
        self._choose_following(1)

    def previous_segment(self) -> None:
        """Move back by a segment."""
        self._choose_following(-1)

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
        wishes = replace(self.wishes, bpm=advice.bpm, room_beats=advice.room_beats)
        self.set_wishes(replace(wishes, from_bar=advice.from_bar, to_bar=advice.to_bar))

    @property
    def knows_optional(self) -> bool:
        """Optional breaths of what lies on the stand are told from sure ones."""
        return self._requests.stand.optional is not None

    def tell_sure(self, plan: Plan) -> Plan:
        """Tell sure breaths of a plan of the segment from optional ones (slow)."""
        return self._requests.maker.planner.tell_sure(plan, self._edits_inside)

    def take_sure(self, told: Plan) -> None:
        """Mark optional breaths as `tell_sure` told them; of another plan, nothing."""
        stand = self._requests.stand
        if _breath_places(told) != _breath_places(stand.in_time):
            return
        optional = frozenset(
            breath.after_note for breath in told.breaths.breaths if not breath.is_sure
        )
        stand = self._requests.maker.with_optional(stand, optional)
        self._requests = replace(self._requests, stand=stand)

    def ways_out(self) -> Sequence[WayOut]:
        """Find what gets the player through where the air runs out on the stand (slow).

        Breaths have the room that they have there.
        """
        stand = self._requests.stand
        return self._requests.maker.planner.ways_out(stand.plan, self._edits_inside)

    @property
    def _edits_inside(self) -> Edits:
        """What the player insists on, counted in the segment."""
        return self.edits.within(self.first_note, len(self.segment.part.notes))

    def set_edits(self, edits: Edits) -> None:
        """Insist on breaths, positions, dial and loudness; saved at once."""
        self._ask(edits=edits)
        self._log.save_edits(self._etude, edits)

    def advice(self, words: Mapping[int | None, bool] = NO_WORDS) -> Advice:
        """Tell what to play next and why, as if runs had got these words already.

        Parameters
        ----------
        words : mapping of int to bool
            By the number of a run in the log: it is clean, or not.
        """
        return self._advise(self._requests.choice, self._called(words))

    def review(self, air: AirEstimate) -> Review:
        """Sum up all runs of the part, with what is known of the player's air."""
        runs = self._like_runs()
        numbers = [bar.number for bar in self.part.bars]
        return review(
            ReviewedEtude(
                self.part.title,
                (min(numbers), max(numbers)),
                self.part.tempo.bpm,
                self.part.notes,
            ),
            runs,
            self._heard(runs),
            self._settings.trouble,
            air,
            self._advise(self._last_choice(runs), runs),
        )

    def _heard(self, runs: Sequence[Run]) -> HeardRuns:
        """Read how the newest runs sounded."""
        settings = self._settings.sounded
        ids = [run.id for run in runs if run.was_played and run.id is not None]
        read = map(self._log.read_evidence, ids[-settings.newest_runs :])
        return HeardRuns(settings, tuple(one for one in read if one is not None))

    def begin_as_advised(self) -> None:
        """Put up what comes next, as far as nobody has asked for bars or tempo."""
        wishes = self.wishes
        if not wishes.is_open:
            return
        runs = self._like_runs()
        if "bars" in wishes.is_open:
            advice = self._advise(self._last_choice(runs), runs)
            self.follow(advice)
            self._notice = advice.why
        else:
            bpm = self._tempo_of(self._requests.choice)
            self._ask(wishes=replace(wishes, bpm=bpm))
        self._requests = replace(
            self._requests, wishes=replace(self.wishes, is_open=frozenset())
        )

    def _advise(self, choice: Choice, runs: Sequence[Run]) -> Advice:
        """Tell what comes next after some bars."""
        here = self._standing(choice)
        return advise(runs, here, self._settings.ladder, self._settings.tempo)

    def tempo_of_all(self) -> float:
        """Tell the tempo at which the whole part stands."""
        return self._tempo_of(choose_whole(self.part))

    def _tempo_of(self, choice: Choice) -> float:
        """Tell the tempo at which some bars stand, or that to begin them with."""
        here, runs = self._standing(choice), self._like_runs()
        return tempo_now(runs, here, self._settings.ladder, self._settings.tempo)

    def _standing(self, choice: Choice) -> Standing:
        """Say where the rehearsal stands with some bars, for advice."""
        self._requests = self._requests.divided()
        now = self._wall()
        midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
        here = self._requests.standing(choice, now)
        player = self.plan.player.name
        return replace(
            here,
            outlook=self._ahead.outlook(
                self._etude, self.like, self.edits, self.plan_in_time
            ),
            day=tuple(
                run for run in self._log.list_runs(since=midnight) if run.is_of(player)
            ),
        )

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

    def _last_choice(self, runs: Sequence[Run]) -> Choice:
        """Choose the bars of the newest run; the whole where they are not there."""
        for run in reversed(runs):
            if run.is_telling:
                with suppress(CoachError):
                    return choose_bars(self.part, run.from_bar, run.to_bar)
        return choose_whole(self.part)

    @property
    def _how(self) -> Playing:
        """Tell who plays what lies on the stand, with what and how."""
        return playing_of(
            self.plan,
            self.wishes.click,
            first_note=self.first_note,
            dynamic_shift=self.edits.dynamic_shift,
            word=self.wishes.word,
            room_beats=self.room_beats,
        )

    def _like_runs(self) -> tuple[Run, ...]:
        """List the newest runs of the part that can be held against the next."""
        most = self._settings.trouble.most_runs_count
        return self._log.list_runs(self._etude, like=self.like, most=most)

    def _ask(
        self,
        *,
        wishes: RunWishes | None = None,
        choice: Choice | None = None,
        edits: Edits | None = None,
    ) -> None:
        """Take new wishes if they can be met: at once, or from the next run on."""
        self._requests = self._requests.asked(
            is_free=self.is_free,
            wishes=wishes,
            choice=choice,
            edits=edits,
        )

    def _choose(self, choice: Choice) -> None:
        """Ask for a segment."""
        is_free = self.is_free
        self._requests = self._requests.choose(choice, is_free=is_free)
        first, last = self._requests.numbers(choice)
        self._notice = f"Bars {first} to {last}" if first < last else f"Bar {first}"

    def _choose_following(self, step: int) -> None:
        """Ask for the segment after this one, or before it."""
        self._requests = self._requests.divided()
        following = self._requests.following(self._requests.choice, step)
        if following is None:
            end = "last" if step > 0 else "first"
            self._notice = f"This is the {end} segment."
        else:
            self._choose(following)

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
        elif advice.kind in ("slower", "less-room") or self._wants_room(advice):
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


def _breath_places(plan: Plan) -> list[tuple[int, float]]:
    """Tell where a plan breathes, and when."""
    return [(b.after_note, b.start) for b in plan.breaths.breaths]
