"""One run, start to finish: gather, decide, act, over the gear it is handed.

A screen, the plain text rehearsal and the journeys of the tests all rehearse
through a `Conductor`.  It is called from one thread only.  It never waits and never
looks at a clock by itself: whoever owns it shows `glance` as often as it likes and
calls `tick` at least a few times a second.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.clicks import ClickTrack
from coach.rehearsal.gauge import Glance
from coach.rehearsal.gear import ClickPlayer, Clock, Fact
from coach.rehearsal.ladder import Advice
from coach.rehearsal.run import Mark, MarkKind, Run, RunLog
from coach.rehearsal.session import State
from coach.rehearsal.wishes import RunWishes
from coach.score.phrase import Part
from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from coach.rehearsal.clicks import ClickWishes


class Planner(Protocol):
    """Makes a plan; knows the player, the instrument and all settings."""

    def plan(self, segment: Part, bpm: float, edits: Edits) -> Plan:
        """Plan a segment at a tempo; `edits` count notes from the segment's first."""
        ...


class Conductor:
    """A rehearsal of one part.

    Parameters
    ----------
    part : Part
        The whole part.
    planner : Planner
        Makes every plan.
    lay : callable
        Lays the track of a plan: ``lay(plan, click_wishes)``.
    player : ClickPlayer
        Plays tracks.  The owner listens to it and hands every fact to `on_fact`,
        in the one thread that calls everything else.
    log : RunLog
        Keeps runs, marks and edits.
    clock : Clock
        Measures rests between runs.
    wall : callable
        Tells the date and time, with a zone, for the run log.
    wishes : RunWishes
        How the first run is to be.
    """

    def __init__(
        self,
        part: Part,
        planner: Planner,
        lay: Callable[[Plan, ClickWishes], ClickTrack],
        player: ClickPlayer,
        log: RunLog,
        clock: Clock,
        wall: Callable[[], datetime],
        wishes: RunWishes,
    ) -> None: ...

    @property
    def part(self) -> Part:
        """The whole part."""
        raise NotImplementedError

    @property
    def plan(self) -> Plan:
        """The plan of the run that plays or was just played, else of the next one."""
        raise NotImplementedError

    @property
    def segment(self) -> Part:
        """The part that `plan` is for: a stretch, with a zero of its own."""
        raise NotImplementedError

    @property
    def first_note(self) -> int:
        """Index in the whole part of the segment's first note."""
        raise NotImplementedError

    @property
    def track(self) -> ClickTrack:
        """What sounds, or would sound, in that run."""
        raise NotImplementedError

    @property
    def state(self) -> State:
        """Where the rehearsal stands."""
        raise NotImplementedError

    @property
    def wishes(self) -> RunWishes:
        """How the next run will be; tempo and bars changed in a run count from then."""
        raise NotImplementedError

    @property
    def edits(self) -> Edits:
        """What the player insists on, counted in the whole part."""
        raise NotImplementedError

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Marks of the run that plays or was just played, in order of time."""
        raise NotImplementedError

    @property
    def last_run(self) -> Run | None:
        """The run that was saved last in this rehearsal."""
        raise NotImplementedError

    @property
    def runs_left(self) -> int:
        """Runs in a row still to come, this one left out."""
        raise NotImplementedError

    @property
    def rest_left(self) -> Seconds:
        """Rest before the next run in a row; 0 outside a rest."""
        raise NotImplementedError

    @property
    def notice(self) -> str:
        """One line for the player that stands until the next key; empty for none."""
        raise NotImplementedError

    def set_tempo(self, bpm: float) -> None:
        """Ask for a tempo; while a run plays, for the next one."""
        raise NotImplementedError

    def step_tempo(self, notches: int) -> None:
        """Move the tempo by notches of the traditional scale."""
        raise NotImplementedError

    def set_segment(self, from_bar: int, to_bar: int) -> None:
        """Ask for bars of the page; while a run plays, for the next one."""
        raise NotImplementedError

    def next_segment(self) -> None:
        """Move on by a segment: as many bars, or breath to breath."""
        raise NotImplementedError

    def previous_segment(self) -> None:
        """Move back by a segment."""
        raise NotImplementedError

    def set_wishes(self, wishes: RunWishes) -> None:
        """Ask for everything at once; the click changes even while a run plays."""
        raise NotImplementedError

    def set_edits(self, edits: Edits) -> None:
        """Insist on breaths, positions, dial and loudness; saved at once."""
        raise NotImplementedError

    def start(self) -> None:
        """Count in and play; while the run waits for a word, save it first."""
        raise NotImplementedError

    def stop(self) -> None:
        """End the sound; a run that is cut off is kept as such."""
        raise NotImplementedError

    def again(self) -> None:
        """Cut off what plays and start anew."""
        raise NotImplementedError

    def mark(
        self, kind: MarkKind, at: Seconds | None = None, by: str = "player"
    ) -> Mark | None:
        """Mark a beat: the one heard now less the reaction time, or the one at `at`."""
        raise NotImplementedError

    def take_back_mark(self) -> None:
        """Take the newest mark back."""
        raise NotImplementedError

    def breathed(self, at: Seconds | None = None) -> None:
        """Note a breath the plan did not have; gauge and prompts are made anew."""
        raise NotImplementedError

    def missed_breath(self, at: Seconds | None = None) -> None:
        """Note that the last planned breath was not taken; all is made anew."""
        raise NotImplementedError

    def glance(self, time: Seconds | None = None) -> Glance:
        """Tell what a player must see at a run time, or at what is heard now."""
        raise NotImplementedError

    def tick(self) -> State:
        """Move on what moves by itself: first beat, end of a rest; give the state."""
        raise NotImplementedError

    def on_fact(self, fact: Fact) -> None:
        """Take what the gear says: pedal, end of the track, gear lost."""
        raise NotImplementedError

    def finish(self, is_clean: bool | None = None, note: str = "") -> Run:
        """Save the run that waits for a word; left open, no marks means clean."""
        raise NotImplementedError

    def advice(self) -> Advice:
        """Tell what to play next and why."""
        raise NotImplementedError
