"""Everything that makes plans for one player: settings read, rooms put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from coach.config import read_settings
from coach.planning.air.lungs import Player
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.passage import Going, Passage, go_on, set_passage
from coach.planning.breathing.prompts import PromptSettings
from coach.planning.breathing.sure_breaths import prove_breaths
from coach.planning.breathing.ways_out import WaysOutSettings, find_ways_out
from coach.planning.edits import Edits
from coach.planning.fermatas import hold_fermatas
from coach.planning.instrument.instrument import Instrument
from coach.planning.performer import Performer, PlanSettings
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.plan import Plan, make_plan, make_tongued_plan, tell_sure
from coach.planning.player_facts import take_up
from coach.planning.reach import Reach, find_reach
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.tongue import TongueSettings, most_speedup
from coach.planning.trial_plans import full_trials
from coach.planning.way_out import WayOut
from coach.rehearsal.click.tempo_scale import TempoSettings
from coach.rehearsal.learning.air_choice import play_for
from coach.score.note import Pitch
from coach.score.phrase import Part
from coach.wiring.instrument_files import open_instrument
from coach.wiring.learned_air import PlayersAir
from coach.wiring.player_file import make_player, read_air, read_facts

if TYPE_CHECKING:
    from coach.edges.log.run_log import RunLogFile

REMEMBERED_PARTS = 8
REMEMBERED_PLANS = 8

REACH_SHIFTS_STEPS = (-2.0, -1.0, 0.0, 1.0)
"""Loudness of the reach table, against the page."""

REACH_SHARES = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25)
"""Tempi of the reach table, against the goal."""


class PlayerPlanner:
    """Makes plans: a `Planner` for the conductor, and more for the commands.

    Parameters
    ----------
    instrument : str, optional
        Name of an instrument; the player's own if left out.
    log : RunLogFile, optional
        What there is to learn the player's air from.
    """

    def __init__(
        self, instrument: str | None = None, log: RunLogFile | None = None
    ) -> None:
        facts = read_facts()
        played = open_instrument(instrument or facts.instrument)
        self._facts = facts = take_up(facts, played.name) if instrument else facts
        self._by_table = Performer(
            player=make_player(facts, played.wind),
            instrument=played,
            settings=PlanSettings(
                air=read_air(facts, played.wind),
                breaths=read_settings(BreathSettings, "breaths"),
                slide=read_settings(SlideSettings, "slide"),
                tongue=read_settings(TongueSettings, "tongue"),
                prompts=read_settings(PromptSettings, "prompts"),
            ),
        )
        self._plans: list[tuple[tuple[Part, float, Edits], Plan]] = []
        self._ends: list[tuple[Part, tuple[float, ...]]] = []
        self._laid: tuple[Part, float, Passage] | None = None
        self.learn_from(log)
        self._whole: tuple[Part, tuple[float, ...]] | None = None

    def learn_from(self, log: RunLogFile | None) -> None:
        """Make plans from now on for what the runs have taught of the player's air."""
        played = self._by_table.instrument
        self._log = log
        self.air = PlayersAir(self._facts, played.name, log, played.wind)
        self.performer = play_for(self._by_table, self.air.planned)
        self._plans = []

    def learn(self) -> None:
        """Learn what the log has come to teach since."""
        self.learn_from(self._log)

    @property
    def player(self) -> Player:
        """Whose lungs."""
        return self.performer.player

    @property
    def instrument(self) -> Instrument:
        """What is played."""
        return self.performer.instrument

    @property
    def settings(self) -> PlanSettings:
        """All numbers of planning."""
        return self.performer.settings

    def plan(
        self, segment: Part, bpm: float, edits: Edits, before: Plan | None = None
    ) -> Plan:
        """Plan a part or segment at a tempo, close to the plan of it so far.

        What was asked for not long ago gets the plan that it got, so that undoing an
        edit brings back the plan before it to the note.
        """
        asked = segment, bpm, edits
        known = [plan for other, plan in self._plans if other == asked]
        plan = known[0] if known else self._plan_anew(segment, bpm, edits, before)
        others = [pair for pair in self._plans if pair[0] != asked]
        self._plans = [(asked, plan), *others[: REMEMBERED_PLANS - 1]]
        return plan

    def _plan_anew(
        self, segment: Part, bpm: float, edits: Edits, before: Plan | None
    ) -> Plan:
        """Plan what was not asked for before."""
        return make_plan(self._passage(segment, bpm), self.performer, edits, before)

    def _passage(self, segment: Part, bpm: float) -> Passage:
        """Lay out what no edit changes; what was planned last is remembered."""
        if self._laid is not None:
            part, at_bpm, passage = self._laid
            if part is segment and at_bpm == bpm:
                return passage
        held = hold_fermatas(segment, self.settings.breaths.fermata_hold_share)
        passage = set_passage(held, bpm, self.phrase_ends(segment))
        self._laid = segment, bpm, passage
        return passage

    def plan_tongued(self, plan: Plan) -> Plan:
        """Plan the same notes tongued throughout, in usual positions."""
        return make_tongued_plan(plan, self.performer)

    def reach(self, part: Part, bpms: Sequence[float], edits: Edits) -> Reach:
        """Tell how far the air reaches at several tempi."""
        plan = self.plan(part, part.tempo.bpm, edits)
        who, shifts = self.performer.breather, REACH_SHIFTS_STEPS
        passage = replace(plan.passage, goal_breaths=plan.breaths.places)
        found = find_reach(passage, who, bpms=bpms, shifts=shifts, locks=edits.locks)
        scale = read_settings(TempoSettings, "rehearsal", "tempo")
        largest = read_settings(WaysOutSettings, "ways_out").largest_l
        return replace(found, fastest_bpm=scale.fastest_bpm, largest_l=largest)

    def ways_out(
        self, plan: Plan, edits: Edits, before_each: Going = go_on
    ) -> tuple[WayOut, ...]:
        """Find what would get the player through where the air runs out.

        No tempo is tried that is faster than a run may be, or than a tongue.
        """
        scale = read_settings(TempoSettings, "rehearsal", "tempo")
        passage, tongue = plan.passage, self.performer.settings.tongue
        speedup = most_speedup(passage.part, passage.tempo_map, tongue)
        fastest = min(scale.fastest_bpm, plan.bpm * speedup)
        settings = read_settings(WaysOutSettings, "ways_out").up_to(fastest, plan.bpm)
        trials = full_trials(self.performer, edits, before_each)
        return find_ways_out(
            plan.passage, self.performer.breather, plan.breaths, trials, settings
        )

    def tell_sure(self, plan: Plan, edits: Edits, before_each: Going = go_on) -> Plan:
        """Tell sure breaths from optional ones, at the price of several more plans."""
        return tell_sure(plan, self.performer.breather, edits.locks, before_each)

    def prove(self, plan: Plan, edits: Edits) -> float:
        """Tell by how much a plan's breaths could be cheaper, at another search."""
        who = self.performer.breather
        return prove_breaths(plan.passage, who, plan.breaths, edits.locks)

    def hear_whole(self, part: Part) -> None:
        """Judge a whole part, so that its segments keep its form and opening."""
        self._whole = part, tuple(phrase_ends(part))
        self._plans, self._ends, self._laid = [], [], None

    def phrase_ends(self, part: Part) -> tuple[float, ...]:
        """Tell where phrases end; the last few parts are remembered."""
        for known, ends in self._ends:
            if known is part:
                return ends
        ends = self._ends_in_whole(part) or tuple(phrase_ends(part))
        self._ends = [(part, ends), *self._ends[: REMEMBERED_PARTS - 1]]
        return ends

    def _ends_in_whole(self, segment: Part) -> tuple[float, ...]:
        """Take a segment's phrase ends from the whole; empty if it is not of it."""
        if self._whole is None:
            return ()
        whole, ends = self._whole
        wanted, line = _line(segment), _line(whole)
        for first in range(len(line) - len(wanted) + 1):
            if line[first : first + len(wanted)] == wanted:
                return ends[first : first + len(wanted) - 1]
        return ()


def _line(part: Part) -> list[tuple[int, Fraction, Pitch]]:
    """Give what tells a segment's notes from all others on the page."""
    return [(note.bar, note.beat, note.written) for note in part.notes]
