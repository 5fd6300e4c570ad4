"""Everything the screens need from outside, on real edges.

Long, since it answers for every screen at once.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING

from coach.config import player_name, read_shipped
from coach.edges.system_clock import SystemClock
from coach.screens.set_up.set_up_needs import Caution
from coach.screens.shelf.shelf_needs import Etude, Folder, Twin
from coach.wiring.open_rehearsal import (
    open_conductor,
    open_ear,
    open_log,
    open_player,
    wall_time,
    wishes_of,
)
from coach.wiring.screens_file import read_screen_facts, write_screen_facts

if TYPE_CHECKING:
    from coach.conductor import Conductor
    from coach.edges.engraving.engraver import Engraver as EngravingProcess
    from coach.edges.log.run_log import RunLogFile
    from coach.edges.scores.score_process import ScoreChild
    from coach.edges.scores.typed_etude import TypedReader
    from coach.planning.edits import Edits
    from coach.planning.instrument.instrument_entry import InstrumentEntry
    from coach.planning.plan import Plan
    from coach.planning.player_facts import PlayerFacts
    from coach.planning.reach import Reach
    from coach.planning.slide.slide import Placement
    from coach.rehearsal.ahead.today import Today
    from coach.rehearsal.gear.gear import ClickPlayer, Clock, Fact, PedalAction
    from coach.rehearsal.gear.gear_choice import GearNow
    from coach.rehearsal.gear.listener import Listener
    from coach.rehearsal.hearing.calibration import Calibration
    from coach.rehearsal.learning.level_band import LevelBand
    from coach.rehearsal.review.review import Review
    from coach.rehearsal.run.run import Run, SetAside
    from coach.score.abc.typed_tune import TypedTune
    from coach.score.etude_key import EtudeKey
    from coach.score.note import Note
    from coach.score.phrase import Part
    from coach.screens.remembered import ScreenFacts
    from coach.screens.write.write_needs import OwnText
    from coach.wiring.player_planner import PlayerPlanner

REACH_NOTCHES = 12
"""Tempi of the reach curve, over the segment that a player would try."""

REACH_SLOWEST_SHARE = 0.5
REACH_FASTEST_SHARE = 1.25


class RealStudio:
    """The screens' `Studio`.

    Parameters
    ----------
    arguments : Namespace
        How the coach was called: instrument, part, tempo, bars, silence.
    """

    def __init__(self, arguments: argparse.Namespace) -> None:
        self._engraver: EngravingProcess | None = None
        self._arguments = arguments
        self._asked = getattr(arguments, "etude", None)
        self._instrument: str | None = getattr(arguments, "instrument", None)
        self._is_silent = getattr(arguments, "silent", False)
        self._clock = SystemClock()
        self._opened: ClickPlayer | None = None
        self._moved: dict[str, int] = {}
        self._ear: Listener | None = None
        self._one_at_a_time = RLock()
        self._log: RunLogFile | None = None
        self._told: list[str] = []
        self._planner: PlayerPlanner | None = None
        self._typed: TypedReader | None = None
        self._readers: list[ScoreChild] = []

    def close(self) -> None:
        """End all sound and all reading, and close the log."""
        if self._ear is not None:
            self._ear.close()
        if self._opened is not None:
            self._opened.close()
        if "coach.edges.scores.score_process" in sys.modules:
            from coach.edges.scores.score_process import stop_reading

            stop_reading()
        if self._engraver is not None:
            self._engraver.close()
        if self._log is not None:
            self._log.close()

    def leave_soon(self) -> None:
        """See to it that the program ends, even if its screens cannot."""
        from coach.edges.ending import leave_within

        leave_within(self.close)

    @property
    def _player(self) -> ClickPlayer:
        """What sounds the click, opened when it is first needed."""
        with self._one_at_a_time:
            if self._opened is None:
                self._opened = open_player(self._clock, is_silent=self._is_silent)
            return self._opened

    @property
    def log(self) -> RunLogFile:
        """The run log, opened when it is first needed."""
        with self._one_at_a_time:
            if self._log is None:
                self._log = open_log(self._told.append)
            return self._log

    @property
    def planner(self) -> PlayerPlanner:
        """What makes plans, made when it is first needed."""
        with self._one_at_a_time:
            if self._planner is None:
                from coach.wiring.player_planner import PlayerPlanner

                self._planner = PlayerPlanner(self._instrument)
            return self._planner

    def says(self) -> str:
        """Say who plays and how the click sounds, in a few words."""
        instrument = self.planner.instrument.title
        player = self.planner.player
        whose = f"{player.name}, " if player.name else ""
        who = f"{whose}{instrument}, {player.capacity_l:.1f} L"
        return "  ".join((*self._told[-1:], who))

    def list_etudes(self) -> Iterator[Etude]:
        """List the shelf, what was rehearsed last first."""
        from coach.wiring.real_shelf import list_etudes, tell_hardest

        hardest = tell_hardest(self.log, self.planner.instrument.name)
        return list_etudes(self.log.tally(player_name()), hardest=hardest)

    def find_twin(self, path: str) -> Twin | None:
        """Find the etude that a score would share its runs with."""
        from coach.wiring.taking_in import find_twin

        return find_twin(Path(path).expanduser(), self.log.tally(player_name()))

    def import_file(self, path: str, *, replaces: str = "", title: str = "") -> Etude:
        """Put a file on the shelf."""
        from coach.wiring.moved_etudes import open_moved
        from coach.wiring.real_shelf import describe
        from coach.wiring.taking_in import put_on_shelf

        file = Path(path).expanduser()
        kept = put_on_shelf(file, replaces=replaces, title=title)
        return describe(kept, open_moved(kept), self.log.tally(player_name()))

    def check_page(self, path: str) -> Sequence[tuple[str, str]]:
        """Sum up what was read of a page."""
        from coach.planning.page_words import page_words

        return page_words(self.open_part(path), self.planner.instrument)

    def list_folder(self, path: str) -> Folder:
        """Look into a folder; an empty path is the player's home."""
        from coach.wiring.real_shelf import look_into

        return look_into(path)

    def rename_etude(self, etude: Etude, name: str) -> str:
        """Give an own etude another name; give its file."""
        from coach.wiring.own_writing import rename

        has_runs = etude.last_run is not None
        return str(rename(Path(etude.path), name, has_runs=has_runs))

    def throw_away(self, path: str) -> str:
        """Take an own etude off the shelf; give the file where it lies now."""
        from coach.edges.scores.own_etudes import throw_away

        return str(throw_away(Path(path)))

    def put_back(self, kept: str, path: str) -> None:
        """Put what was thrown away back where it was."""
        from coach.edges.scores.own_etudes import put_back

        put_back(Path(kept), Path(path))

    def open_own(self, name: str) -> OwnText:
        """Open an own etude, or begin one for the player's instrument."""
        from coach.wiring.own_writing import open_text

        return open_text(name, self.planner.instrument)

    def save_own(self, own: OwnText) -> None:
        """Write an own etude."""
        from coach.wiring.own_writing import save_text

        save_text(own)

    def read_typed(self, path: str, text: str) -> TypedTune:
        """Read what was typed, by a child that stays until the typing ends."""
        from coach.edges.scores.typed_etude import TypedReader

        if self._typed is None:
            self._typed = TypedReader()
        return self._typed.read(Path(path), text)

    def end_typing(self) -> None:
        """Let the child go that reads what is typed."""
        if self._typed is not None:
            self._typed.end()

    def list_parts(self, path: str) -> Sequence[str]:
        """Name the parts of a score."""
        from coach.edges.scores.score_files import list_parts

        with self._reading() as child:
            return [entry.name for entry in list_parts(Path(path), child=child)]

    def open_part(self, path: str, part: str | None = None) -> Part:
        """Read a part."""
        from coach.wiring.moved_etudes import open_moved

        asked = self._moved.pop(path, None)
        with self._reading() as child:
            return open_moved(Path(path), part, asked, child=child)

    @contextmanager
    def _reading(self) -> Iterator[ScoreChild]:
        """Give a child that reads, and can be stopped while it does."""
        from coach.edges.scores.score_process import ScoreChild

        with ScoreChild() as child:
            self._readers.append(child)
            try:
                yield child
            finally:
                self._readers.remove(child)

    def stop_opening(self) -> None:
        """End what is being read at once."""
        for child in list(self._readers):
            child.stop()

    def move_first(self, path: str, semitones: int) -> None:
        """Move an etude when it is opened."""
        self._moved[path] = semitones

    def move_further(self, path: str, part: str | None, semitones: int) -> Part:
        """Move a part by so much more, and keep it so."""
        from coach.wiring.moved_etudes import move_further

        return move_further(Path(path), part, semitones)

    def rehearse(self, part: Part) -> Conductor:
        """Make the conductor of a rehearsal, for the air as it is known by now."""
        from coach.rehearsal.outside import Outside

        self.planner.learn_from(self.log)
        asked, self._asked = self._asked, None
        wishes = wishes_of(part, self._arguments if asked else None)
        if self._ear is None:
            self._ear = open_ear(self._player)
        outside = Outside(self._player, self.log, self._clock, wall_time, self._ear)
        return open_conductor(part, self.planner, outside, wishes)

    def engrave_with(self, engraver: EngravingProcess) -> None:
        """Take what engraves staves; it ends with the room."""
        self._engraver = engraver

    def engraver(self) -> EngravingProcess | None:
        """Give what engraves staff lines; None where they are drawn in cells."""
        return self._engraver

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact of the gear to `tell`."""
        self._player.listen(tell)

    def level_band(self, plan: Plan) -> LevelBand | None:
        """Lay out a plan's air for either end of what runs tell of the player."""
        return self.planner.air.band_of(plan)

    def usual_dial(self) -> float:
        """Tell where the dial of alternates stands unless it is moved."""
        return self.planner.settings.slide.dial_share

    def ways_to_play(self, note: Note) -> Sequence[Placement]:
        """List the positions or fingerings of a note, the usual one first."""
        return self.planner.instrument.choices(note.sounding.midi)

    def tongued(self, plan: Plan) -> Plan:
        """Plan the same tongued throughout in usual positions."""
        return self.planner.plan_tongued(plan)

    def reach(self, part: Part, edits: Edits) -> Reach:
        """Plan at many tempi."""
        slowest = part.tempo.bpm * REACH_SLOWEST_SHARE
        fastest = part.tempo.bpm * REACH_FASTEST_SHARE
        step = (fastest - slowest) / (REACH_NOTCHES - 1)
        bpms = {slowest + k * step for k in range(REACH_NOTCHES)}
        return self.planner.reach(part, sorted({*bpms, part.tempo.bpm}), edits)

    def plan_today(self, minutes: float | None) -> Today:
        """Lay out what to play in so many minutes; None for the usual time."""
        from coach.wiring.player_planner import PlayerPlanner
        from coach.wiring.todays_work import plan_today

        planner = PlayerPlanner(self._instrument, self.log)
        return plan_today(self.log, planner, wall_time(), minutes)

    def list_runs(self, etude: EtudeKey | None, most: int) -> tuple[Sequence[Run], int]:
        """List the newest runs, oldest first, and tell how many more are older."""
        from coach.edges.log.which_runs import Which

        return self.log.list_of_player(None, Which(etude), most)

    def set_aside(self, run: Run, why: SetAside | None) -> None:
        """Let a run count for nothing from now on, or with None count again."""
        if run.id is not None:
            self.log.set_aside(run.id, why)

    def review(self, part: Part) -> Review:
        """Sum up the runs of a part."""
        return self.rehearse(part).review(self.planner.air.estimate)

    def read_memory(self) -> ScreenFacts:
        """Give what the screens remember."""
        return read_screen_facts()

    def save_memory(self, facts: ScreenFacts) -> None:
        """Keep what the screens remember."""
        write_screen_facts(facts)

    @property
    def clock(self) -> Clock:
        """The system's clock."""
        return self._clock

    def read_player(self) -> PlayerFacts:
        """Give what the player has told."""
        from coach.wiring.player_file import read_facts

        return read_facts()

    def save_player(self, facts: PlayerFacts) -> None:
        """Keep what the player has told; plans made from now on follow it."""
        from coach.wiring.player_file import write_facts

        write_facts(facts)
        self._planner = None

    def list_instruments(self) -> Sequence[InstrumentEntry]:
        """List the instruments to choose from."""
        from coach.wiring.player_planner import list_instruments

        return list_instruments()

    def capacity(self, facts: PlayerFacts) -> str:
        """Say the capacity that follows from what was told, in one line."""
        from coach.wiring.player_file import make_player

        player = make_player(facts)
        return f"{player.capacity_l:.1f} L, {player.capacity_from}"

    def read_gear(self) -> GearNow:
        """Look at all gear."""
        from coach.wiring.real_gear import read_gear

        return read_gear(self._player)

    def choose_gear(self, kind: str, option: str) -> None:
        """Use something from now on; an empty option for none."""
        from coach.wiring.real_gear import choose_gear

        choose_gear(self._player, kind, option)
        if kind == "takes" and self._ear is not None:  # the next ear keeps what is said
            self._ear.close()
            self._ear = None

    def test_click(self) -> None:
        """Play a bar of clicks."""
        from coach.wiring.real_gear import play_bar

        play_bar(self._player)

    def learn_pedal(self, action: PedalAction) -> None:
        """Take the next thing that the pedal sends for an action."""
        from coach.wiring.real_gear import learn_pedal

        learn_pedal(self._player, action)

    def listen_to_room(self, wanted: bool) -> None:
        """Hear the microphone, whose level is then told; or let it go."""
        from coach.wiring.real_gear import listen_to_room

        listen_to_room(self._player, wanted)

    def calibrate(self, go_on: Callable[[float], bool]) -> Calibration | None:
        """Play clicks, hear them, and keep how late they are heard."""
        from coach.wiring.real_gear import calibrate

        return calibrate(self._player, go_on)

    def list_cautions(self) -> Sequence[Caution]:
        """Give the cautions."""
        return [
            Caution(item["name"], item["text"], item["source"], item["short"])
            for item in read_shipped("cautions")["caution"]
        ]
