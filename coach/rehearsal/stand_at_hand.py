"""What lies on the stand, and what the player asks for next.

What is asked for while a run plays counts from the next one on.

Long, since every way of asking for something stands here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.planning.way_out import WayOut
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.click.tempo_scale import (
    notch_at_most,
    say_bpm,
    step_tempo,
    whole_bpm,
)
from coach.rehearsal.rehearsal_settings import RehearsalSettings
from coach.rehearsal.run.gauge import Gauge
from coach.rehearsal.run.playing import Like, Playing, playing_of
from coach.rehearsal.run.run import RunLog
from coach.rehearsal.stand.requests import Requests, lay_requests
from coach.rehearsal.stand.segment_choice import Choice, choose_bars, choose_whole
from coach.rehearsal.stand.stand import Planner, StandMaker
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.etude_key import EtudeKey, key_of
from coach.score.phrase import Part
from coach.score.segment import Segment


class StandAtHand:
    """The stand of one part: its plan, its clicks, and what is asked for."""

    def __init__(
        self,
        part: Part,
        planner: Planner,
        log: RunLog,
        wishes: RunWishes,
        settings: RehearsalSettings,
    ) -> None:
        self._log = log
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
        self._kept = self._requests.edits
        self._notice = ""
        self._own_bpm: float | None = None
        """What a key asked for since the run at hand began; None where nobody did."""

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

    def set_tempo(self, bpm: float, *, is_laid: bool = True) -> None:
        """Ask for a tempo; while a run plays, for the next one.

        Parameters
        ----------
        is_laid : bool
            False leaves the stand as it is, until `lay` and `put_up`, or a run.
        """
        scale = self._settings.tempo
        held = min(max(bpm, scale.slowest_bpm), scale.fastest_bpm)
        wishes = replace(self.wishes, bpm=held, is_open=frozenset())
        self._ask(wishes=wishes, is_laid=is_laid)
        self._own_bpm = None if self.is_free else held
        self._notice = f"Tempo {say_bpm(held)}"

    def step_tempo(self, notches: int, *, is_laid: bool = True) -> None:
        """Move the tempo by notches of the traditional scale; `is_laid` as there.

        A key goes no further than a page is practised above its goal.
        """
        scale, goal, now = self._settings.tempo, self.part.tempo.bpm, self.wishes.bpm
        share = self._settings.ladder.most_over_goal_share
        bpm = step_tempo(now, notches, scale)
        most = max(now, notch_at_most(goal * share, scale))
        self.set_tempo(min(bpm, most), is_laid=is_laid)
        if bpm > most:
            goal_says = say_bpm(whole_bpm(goal))
            self._notice += f": no key goes further above the page's {goal_says}"

    def wish_as_before(self, wishes: RunWishes) -> None:
        """Ask for other wishes for the same bars, to take a change of them back.

        The stand stays as it is, until `lay` and `put_up`, or a run.
        """
        self._ask(wishes=wishes, is_laid=False)

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
            breath.after_note for breath in told.breaths.breaths if breath.is_optional
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

    def set_edits(self, edits: Edits, *, is_laid: bool = True) -> None:
        """Insist on breaths, positions, dial and loudness.

        Not laid, the stand stays as it is until `lay` and `put_up`, or a run, and
        nothing is kept before `keep_edits`.
        """
        self._ask(edits=edits, is_laid=is_laid)
        if is_laid:
            self.keep_edits()

    @property
    def has_unkept_edits(self) -> bool:
        """Tell whether what the player insists on is still to be kept."""
        return self.edits != self._kept

    def keep_edits(self) -> None:
        """Keep what the player insists on, if it is not (slow, from any thread)."""
        if (edits := self.edits) != self._kept:
            self._log.save_edits(self._etude, edits)
            self._kept = edits

    def lay(self) -> Requests:
        """Plan and lay out what was asked for, for `put_up` (slow, from any thread).

        Raises
        ------
        CoachError
            If it cannot be met.
        """
        return self._requests.renewed()

    def plan_for_other_air(self) -> None:
        """Have all planned anew, since the planner knows more of the player's air."""
        self._requests = replace(self._requests, is_stale=True, spans=None)

    def put_up(self, laid: Requests) -> None:
        """Put on the stand what was laid, if nothing else was asked for since."""
        if self.is_free and laid.order == self._requests.order:
            self._requests = replace(
                self._requests, stand=laid.stand, is_stale=laid.is_stale
            )

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

    def _ask(
        self,
        *,
        wishes: RunWishes | None = None,
        choice: Choice | None = None,
        edits: Edits | None = None,
        is_laid: bool = True,
    ) -> None:
        """Take new wishes if they can be met: at once, or from the next run on."""
        self._requests = self._requests.asked(
            is_free=self.is_free and is_laid,
            wishes=wishes,
            choice=choice,
            edits=edits,
        )

    def _choose(self, choice: Choice) -> None:
        """Ask for a segment."""
        is_free = self.is_free
        self._requests = self._requests.choose(choice, is_free=is_free)
        self._notice = self._requests.say(choice).capitalize()

    def _choose_following(self, step: int) -> None:
        """Ask for the segment after this one, or before it."""
        self._requests = self._requests.divided()
        following = self._requests.following(self._requests.choice, step)
        if following is None:
            end = "last" if step > 0 else "first"
            self._notice = f"This is the {end} segment."
        else:
            self._choose(following)


def _breath_places(plan: Plan) -> list[tuple[int, float]]:
    """Tell where a plan breathes, and when."""
    return [(b.after_note, b.start) for b in plan.breaths.breaths]
