"""A rehearsal that plays through in an instant.

Real plans, a manual clock, a silent player and a log in memory; and plans by hand,
for tests that need to know the air at every note.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any, Literal

from coach.conductor import Conductor
from coach.config import read_settings, read_shipped
from coach.edges.engine.silent_player import SilentPlayer
from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.errors import PlanError
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player, measured
from coach.planning.breathing.air_levels import lay_air_levels
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breaths import Breath, BreathPlan
from coach.planning.breathing.passage import Going, go_on, set_passage
from coach.planning.breathing.prompts import Prompt, PromptSettings
from coach.planning.breathing.ways_out import WaysOutSettings, find_ways_out
from coach.planning.edits import Edits
from coach.planning.instrument.instrument import Instrument, build_instrument
from coach.planning.performer import Performer, PlanSettings
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.plan import Plan, make_plan, tell_optional, tell_sure
from coach.planning.slide.slide import Articulation, Placement, SlidePlan
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.tongue import TongueSettings
from coach.planning.trial_plans import full_trials
from coach.planning.way_out import WayOut
from coach.rehearsal.click.click_laying import lay_clicks
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.gear.listener import Listener, NoListener
from coach.rehearsal.learning.candidates import LearningSettings
from coach.rehearsal.learning.learning import AirEstimate, learn
from coach.rehearsal.learning.replaying import Whom
from coach.rehearsal.outside import Outside
from coach.rehearsal.run.gauge import Gauge, lay_gauge
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run_states import State
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from coach.wiring.rehearsal_numbers import read_rehearsal_settings
from tests.hand_made import part_of

ONE_BAR_BEFORE = ClickWishes()

A_HAIR_S = 1e-9
"""Run time is a difference of floats; this is more than its rounding."""

NINE_IN_THE_MORNING = datetime(2025, 3, 3, 9, 0, tzinfo=UTC)

FOUR_BARS = (
    "Bb2s D3s F3s D3s Eb3s G3s Bb3s G3s F3s A3s C4s A3s Bb3e F3e "
    "D3s F3s Bb3s F3s G3s Eb3s C3s Eb3s D3s F3s Bb3s D4s C4e A3e "
    "Bb3s A3s G3s F3s Eb3s D3s C3s Bb2s C3s Eb3s G3s Eb3s F3e C4e "
    "D4s C4s Bb3s A3s G3s F3s Eb3s D3s Bb2q rq "
)
"""Continuous sixteenths with a few eighths, the longest rest at the end."""

LONG = FOUR_BARS * 4
"""Sixteen bars: no one plays them on one breath."""


@cache
def trombone() -> Instrument:
    """Give the tenor trombone."""
    return build_instrument(
        "tenor-trombone", read_shipped("instruments/tenor-trombone")
    )


@cache
def plan_settings() -> PlanSettings:
    """Read all numbers of planning."""
    return PlanSettings(
        air=read_settings(AirSettings, "air"),
        breaths=read_settings(BreathSettings, "breaths"),
        slide=read_settings(SlideSettings, "slide"),
        tongue=read_settings(TongueSettings, "tongue"),
        prompts=read_settings(PromptSettings, "prompts"),
    )


def performer(player: Player) -> Performer:
    """Let somebody play the tenor trombone."""
    return Performer(player, trombone(), plan_settings())


@dataclass
class HandPlanner:
    """Plans for a player of so many litres, and counts how often."""

    player: Player = field(default_factory=lambda: measured(4.8))
    plans: list[tuple[float, Edits]] = field(default_factory=list)
    fails: bool = False
    before: list[Plan | None] = field(default_factory=list)

    def plan(
        self, segment: Part, bpm: float, edits: Edits, before: Plan | None = None
    ) -> Plan:
        """Plan a segment."""
        if self.fails:
            raise PlanError("No plan fits.")
        self.plans.append((bpm, edits))
        self.before.append(before)
        passage = set_passage(segment, bpm, phrase_ends(segment))
        return make_plan(passage, performer(self.player), edits, before)

    def tell_sure(self, plan: Plan, edits: Edits, before_each: Going = go_on) -> Plan:
        """Tell sure breaths from optional ones."""
        breather = performer(self.player).breather
        return tell_sure(plan, breather, edits.locks, before_each)

    def ways_out(
        self, plan: Plan, edits: Edits, before_each: Going = go_on
    ) -> tuple[WayOut, ...]:
        """Find what would get the player through."""
        who = performer(self.player)
        settings = read_settings(WaysOutSettings, "ways_out")
        trials = full_trials(who, edits, before_each)
        return find_ways_out(plan.passage, who.breather, plan.breaths, trials, settings)

    def learn(self) -> None:
        """Know as much as before."""

    def phrase_ends(self, part: Part) -> tuple[float, ...]:
        """Tell where phrases end."""
        return tuple(phrase_ends(part))


def learned_from(log: RunLogFile) -> AirEstimate:
    """Tell what a log has taught of a player's air."""
    settings = read_settings(LearningSettings, "learning")
    played = log.list_played(settings.most_runs_count, Like("", "tenor-trombone"))
    return learn(played, Whom(measured(4.8), plan_settings().air), settings)


def nothing_learned(player: Player | None = None) -> AirEstimate:
    """Tell what is known of a player's air before the first run."""
    settings = read_settings(LearningSettings, "learning")
    return learn((), Whom(player or measured(4.8), plan_settings().air), settings)


class WaryPlanner(HandPlanner):
    """Plans as well, and calls every breath optional."""

    def tell_sure(self, plan: Plan, edits: Edits, before_each: Going = go_on) -> Plan:
        """Call every breath optional."""
        del edits, before_each
        return tell_optional(plan, {b.after_note for b in plan.breaths.breaths})


class HandRehearsal:
    """A conductor with its gear, and hands to move the clock."""

    def __init__(
        self,
        part: Part,
        *,
        log: RunLogFile | None = None,
        player: type[SilentPlayer] = SilentPlayer,
        is_attended: bool = True,
        ear: Listener | None = None,
        planner: HandPlanner | None = None,
        **wishes: Any,
    ) -> None:
        numbers = [bar.number for bar in part.bars]
        given = {
            "bpm": part.tempo.bpm,
            "from_bar": numbers[0],
            "to_bar": max(numbers),
            "click": ClickWishes(),
            **wishes,
        }
        self.clock = ManualClock(Seconds(1000.0))
        self.player = player(self.clock)
        self.log = log or RunLogFile(IN_MEMORY)
        self.planner = planner or HandPlanner()
        self.midnight = NINE_IN_THE_MORNING
        self.conductor = Conductor(
            part,
            self.planner,
            Outside(self.player, self.log, self.clock, self.wall, ear or NoListener()),
            RunWishes(**given),
            read_rehearsal_settings(),
            is_attended=is_attended,
        )
        self.facts: list[Any] = []
        self.player.listen(self.facts.append)

    def wall(self) -> datetime:
        """Tell the date and time: it goes with the clock."""
        return self.midnight + timedelta(seconds=self.clock.now() - 1000.0)

    def tick(self) -> State:
        """Let the conductor look around once."""
        self.conductor.tick()
        while self.facts:
            self.conductor.on_fact(self.facts.pop(0))
        return self.conductor.state

    def go_to(self, time: float) -> State:
        """Let the run go on until a run time, a hair past it."""
        now = self.conductor.glance().time
        self.clock.wait_until(Seconds(self.clock.now() + time - now + A_HAIR_S))
        return self.tick()

    def play_to_end(self) -> State:
        """Start, and let the run go to its end."""
        self.conductor.start()
        self.go_to(0.0)
        return self.go_to(self.conductor.track.ends)

    def run_clean(self) -> None:
        """Play a run to its end and call it clean."""
        self.play_to_end()
        self.conductor.finish(is_clean=True)


def plan_by_hand(
    part: Part,
    levels: list[tuple[float, float]],
    breaths: tuple[Breath, ...] = (),
    prompts: tuple[Prompt, ...] = (),
    *,
    flow_scale: float = 1.0,
) -> Plan:
    """Make a plan from the air before and after each note; two litres, half a litre
    a second."""
    passage = set_passage(part, part.tempo.bpm, (0.5,) * (len(part.notes) - 1))
    times = passage.times
    starts = {breath.after_note: breath.start for breath in breaths}
    player = Player(2.0, "measured", 2.0, flow_scale)
    breath_plan = BreathPlan(
        breaths=breaths,
        ends=tuple(starts.get(k, time.end) for k, time in enumerate(times)),
        air_before=tuple(before for before, _ in levels),
        air_after=tuple(after for _, after in levels),
        flow_lps=(0.5,) * len(levels),
        lowest_air=min(after for _, after in levels),
        below_half=Seconds(0),
        high_notes_below_half=0,
        runs_out=None,
        cost=1.0,
    )
    return Plan(
        passage=passage,
        player=player,
        instrument=trombone(),
        breaths=breath_plan,
        slide=SlidePlan(
            placements=(Placement("1", 0.0, 2),) * len(levels),
            articulations=(Articulation.TONGUED,) * len(levels),
            travel_cm=0.0,
            tongue_strokes=len(levels),
            natural_slurs=0,
            cost=0.0,
        ),
        prompts=prompts,
        air=lay_air_levels(passage, breath_plan, performer(player).breather),
    )


def breath_by_hand(
    after_note: int,
    start: float,
    next_note: float,
    air: tuple[float, float],
    kind: Literal["full", "catch"] = "full",
) -> Breath:
    """Make a breath from when and between which levels it is taken."""
    return Breath(
        after_note=after_note,
        start=Seconds(start),
        next_note=Seconds(next_note),
        taken=Seconds(0),
        is_on_rest=True,
        kind=kind,
        air_before=air[0],
        air_after=air[1],
        is_marked=False,
        is_locked=False,
        say_why=lambda: "by hand",
    )


def track_by_hand(plan: Plan, wishes: ClickWishes = ONE_BAR_BEFORE) -> ClickTrack:
    """Lay the track of a plan."""
    settings = read_settings(ClickSettings, "click", "track")
    return lay_clicks(plan.part, plan.tempo_map, wishes, settings)


def gauge_by_hand(plan: Plan, wishes: ClickWishes = ONE_BAR_BEFORE) -> Gauge:
    """Lay a gauge whose hints stay for two seconds and whose lungs go to 0."""
    track = track_by_hand(plan, wishes)
    return lay_gauge(plan, track, hold_shown=Seconds(2.0), empty_air=0.0)


def short() -> Part:
    """Give four bars at 60."""
    return part_of(FOUR_BARS)


def long() -> Part:
    """Give sixteen bars at 60."""
    return part_of(LONG)
