"""What lies on the music stand: a segment with its plan, its track and its gauge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Going, go_on
from coach.planning.edits import Edits
from coach.planning.plan import Plan, tell_optional
from coach.planning.way_out import WayOut
from coach.rehearsal.click.click_laying import lay_clicks
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.run.gauge import Gauge, lay_gauge
from coach.rehearsal.run.run import RunSettings
from coach.rehearsal.stand.breath_room import (
    as_in_time,
    hold_as_in_time,
    put_in_room,
    with_room,
)
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.phrase import Part
from coach.score.segment import Segment
from coach.score.tempo import Seconds

MOST_NOTES = 2000
"""What is slow of a planner takes seconds for more notes than this: too long to be done
beside whatever a player does meanwhile."""


class Planner(Protocol):
    """Makes a plan; knows the player, the instrument and all settings."""

    def plan(
        self, segment: Part, bpm: float, edits: Edits, before: Plan | None = None
    ) -> Plan:
        """Plan a segment at a tempo; `edits` count notes from the segment's first.

        The breaths of the plan of it before stay where no others are clearly better.
        """
        ...

    def tell_sure(self, plan: Plan, edits: Edits, before_each: Going = go_on) -> Plan:
        """Tell sure breaths of a plan from optional ones (slow).

        An error of what is called before each of its plans ends it.
        """
        ...

    def ways_out(
        self, plan: Plan, edits: Edits, before_each: Going = go_on
    ) -> Sequence[WayOut]:
        """Find what would get the player through where the air runs out (slow).

        An error of what is called before each of its plans ends it.
        """
        ...

    def learn(self) -> None:
        """Make plans from now on for what the runs have taught of the player's air."""
        ...

    def phrase_ends(self, part: Part) -> Sequence[float]:
        """Tell how likely a phrase ends in each gap between notes, 0 to 1."""
        ...


@dataclass(frozen=True, slots=True)
class Stand:
    """One segment, ready to be played."""

    segment: Segment
    """The segment and where it lies in the whole part."""

    plan: Plan
    """What is decided for it."""

    track: ClickTrack
    """What will sound."""

    gauge: Gauge
    """Tells any moment of it."""

    written: Segment
    """The segment as on the page, without room to breathe."""

    in_time: Plan
    """The plan of it without that room."""

    room_beats: float
    """Felt beats of rest put in at the breaths; 0 where nothing is put in."""

    optional: frozenset[int] | None = None
    """Notes before optional breaths; None where nobody told them from sure ones."""


@dataclass(frozen=True, slots=True)
class StandMaker:
    """Puts segments on the stand."""

    planner: Planner
    """Makes plans."""

    clicks: ClickSettings
    """The sounds of a track."""

    run: RunSettings
    """How long hints are shown."""

    empty_air: float
    """Level below which nothing more can be blown, as a fraction of capacity."""

    def put_up(
        self,
        segment: Segment,
        wishes: RunWishes,
        edits: Edits,
        before: Stand | None = None,
    ) -> Stand:
        """Plan a segment and lay its track; `edits` count notes in the whole part.

        Where the same segment stood there before, its breaths stay unless others are
        clearly better.
        """
        inside = edits.within(segment.first_note, len(segment.part.notes))
        so_far = before.in_time if before and before.written == segment else None
        plan = self.planner.plan(segment.part, wishes.bpm, inside, so_far)
        roomily = self._plan_with_room(segment.part, wishes, inside, plan)
        if roomily is None:
            return self._with(segment, plan, wishes.click)
        roomy, planned = roomily
        wide = replace(segment, part=roomy)
        laid = self._with(wide, as_in_time(planned, plan), wishes.click)
        return replace(
            laid, written=segment, in_time=plan, room_beats=wishes.room_beats
        )

    def _plan_with_room(
        self, written: Part, wishes: RunWishes, edits: Edits, in_time: Plan
    ) -> tuple[Part, Plan] | None:
        """Put room at the breaths and plan it; None where none has use for it.

        Notes before breaths are held in full; where the air does not last for that,
        though it does in time, no longer than in time.  Other breaths are taken only
        where these do not do.
        """
        breathed = [breath.after_note for breath in in_time.breaths.breaths]
        free = with_room(edits.locks, in_time.breaths.breaths)
        others = frozenset(range(len(written.notes) - 1)) - free.must
        closed = replace(free, must_not=free.must_not | others)
        tried = []
        for part in self._held(written, in_time):
            roomy = put_in_room(part, breathed, wishes.room_beats, wishes.click.groups)
            if roomy is part:
                return None
            plan = self.planner.plan(roomy, wishes.bpm, replace(edits, locks=closed))
            if plan.breaths.runs_out is None:
                return roomy, plan
            tried.append(roomy)
        freely = replace(edits, locks=free)
        return tried[0], self.planner.plan(tried[0], wishes.bpm, freely)

    def _held(self, written: Part, in_time: Plan) -> Iterator[Part]:
        """Give a part with its notes in full, and as its plan holds them."""
        yield written
        if in_time.breaths.runs_out is None:
            yield hold_as_in_time(written, in_time)

    def plan_anew(
        self, stand: Stand, edits: Edits, locks: Locks, click: ClickWishes
    ) -> Stand:
        """Plan the same segment with other breaths and the positions it has.

        `locks` count notes from the segment's first; `edits` count in the whole part.
        """
        inside = edits.within(stand.segment.first_note, len(stand.segment.part.notes))
        if stand.room_beats:
            locks = with_room(locks)
        kept = tuple(
            (note, placement.label)
            for note, placement in enumerate(stand.plan.slide.placements)
            if placement.label
        )
        plan = self.planner.plan(
            stand.segment.part,
            stand.plan.bpm,
            replace(inside, locks=locks, positions=kept),
            stand.plan,
        )
        return self._anew(stand, plan, click)

    def click_anew(self, stand: Stand, click: ClickWishes) -> Stand:
        """Lay another track for the same plan."""
        return self._anew(stand, stand.plan, click)

    def with_optional(self, stand: Stand, optional: frozenset[int]) -> Stand:
        """Mark the breaths after some notes as optional; nothing else changes."""
        return self._anew(
            replace(
                stand,
                in_time=tell_optional(stand.in_time, optional),
                optional=optional,
            ),
            stand.plan,
            stand.track,
        )

    def _anew(self, stand: Stand, plan: Plan, click: ClickWishes | ClickTrack) -> Stand:
        """Lay another plan or track of what stands there."""
        if stand.optional is not None:
            plan = tell_optional(plan, stand.optional)
        laid = self._with(stand.segment, plan, click)
        return replace(stand, plan=plan, track=laid.track, gauge=laid.gauge)

    def _with(
        self, segment: Segment, plan: Plan, click: ClickWishes | ClickTrack
    ) -> Stand:
        """Lay track and gauge of a plan; a track that is laid already stays."""
        track = (
            click
            if isinstance(click, ClickTrack)
            else lay_clicks(
                plan.part,
                plan.tempo_map,
                replace(click, from_top=segment.from_top),
                self.clicks,
                breaths=plan.breaths.breaths,
                ends=plan.breaths.ends,
            )
        )
        gauge = lay_gauge(
            plan,
            track,
            hold_shown=Seconds(self.run.hold_shown_s),
            empty_air=self.empty_air,
        )
        return Stand(
            segment, plan, track, gauge, written=segment, in_time=plan, room_beats=0.0
        )
