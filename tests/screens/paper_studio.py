"""A hand-made part, a plan for it, and a studio to put into a screen's hands."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from threading import Event

from coach.conductor import Conductor
from coach.config import read_settings, read_shipped
from coach.edges.engine.silent_player import SilentPlayer
from coach.errors import CoachError, GearError, ScoreError
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player
from coach.planning.breathing.air_levels import lay_air_levels
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breaths import Breath, BreathPlan
from coach.planning.breathing.passage import Breather, Going, go_on, set_passage
from coach.planning.breathing.prompts import Prompt
from coach.planning.edits import Edits
from coach.planning.instrument.instrument_entry import InstrumentEntry, build_entry
from coach.planning.plan import Plan
from coach.planning.player_facts import PlayerFacts
from coach.planning.reach import Reach, ReachPoint
from coach.planning.slide.slide import Articulation, Placement, SlidePlan
from coach.planning.way_out import WayOut
from coach.rehearsal.ahead.laying_today import lay_today
from coach.rehearsal.ahead.today import (
    PlayedToday,
    Today,
    TodaySettings,
    Work,
)
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.gear.gear import (
    Clock,
    Fact,
    GearReport,
    ManualClock,
    PedalAction,
)
from coach.rehearsal.gear.gear_choice import ANY, GearChoice, GearNow, choose
from coach.rehearsal.gear.pedals import PedalKeys
from coach.rehearsal.hearing.calibration import Calibration
from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.learning.level_band import LevelBand, lay_level_band
from coach.rehearsal.learning.replaying import Whom
from coach.rehearsal.outside import Outside
from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.review import Review
from coach.rehearsal.run.evidence import Evidence
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import PlayedRun, Run, RunEnd, RunWord, SetAside
from coach.rehearsal.stand.stand import Planner
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.abc.new_tune import new_tune
from coach.score.abc.typed_tune import TypedTune
from coach.score.etude_key import EtudeKey
from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part, Place, time_notes
from coach.score.played.unfolding import unfold
from coach.score.tempo import Beats, Seconds, Tempo, TempoMap, TempoMark, beats
from coach.screens.remembered import ScreenFacts
from coach.screens.set_up.set_up_needs import Caution
from coach.screens.shelf.shelf_needs import Etude, Folder, FolderEntry, Twin
from coach.screens.staff.engraved.staff_engraver import Engraver
from coach.screens.write.write_needs import OwnText
from coach.wiring.rehearsal_numbers import read_rehearsal_settings
from coach.wiring.studio.real_studio import RealStudio
from tests.hand_heard import HandEar
from tests.hand_rehearsal import nothing_learned, trombone
from tests.score.abc.abc_samples import reading
from tests.score.page_samples import SETTINGS

AIR = read_settings(AirSettings, "air")
COSTS = read_settings(BreathSettings, "breaths")
PLAYER = Player(4.8, "measured", 4.8)

LINES = """
Bb2 D3 F3 D3 Eb3 G3 Bb3 G3 F3 A3 C4 A3 Bb3 F3 D3/2
Bb2 C3 D3 Eb3 F3 G3 A3 Bb3 C4 D4 ~F4 ~D4 C4 A3 F3/2
Bb3 A3 ~G3 F3 Eb3 ~D3 C3 B2 C3 Eb3 ~G3 C4 A3 F3 Eb3/2
D3 F3 Bb3 D4 F4 D4 Bb3 F3 G3/2 r/2 Bb3/4
A3 ~Bb3 C4 ~A3 F3 ~G3 A3 ~F3 D3 Eb3 F3 D3 Bb2/2 r/2
C3/2 ~Eb3/2 G3/2 ~F#3/2 G3/4 ~Ab3/4
F3 G3 A3 Bb3 C4 Bb3 A3 G3 F3 E3 F3 G3 F3 D3 Bb2/2
Bb2/16
"""

NOBODY = replace(read_settings(PlayerFacts, "player"), tones={})
"""A player who has told nothing."""

NEVER_SEEN = read_settings(ScreenFacts, "screens")
"""What the screens remember before they were ever opened."""

POSITIONS = {
    "Bb2": ("1", 2),
    "B2": ("7", 3),
    "C3": ("6", 3),
    "D3": ("4", 3),
    "Eb3": ("3", 3),
    "E3": ("2", 3),
    "F3": ("1", 3),
    "F#3": ("5", 4),
    "G3": ("4", 4),
    "Ab3": ("3", 4),
    "A3": ("2", 4),
    "Bb3": ("1", 4),
    "C4": ("3", 5),
    "D4": ("4", 6),
    "F4": ("4", 7),
}


def pitch(name: str) -> Pitch:
    """Read ``Bb2``."""
    alter = name.count("#") - name[1:].count("b")
    return Pitch(int(name[-1]), name[0], alter)


def make_part(title: str = "River at Low Water", lines: str = LINES) -> Part:
    """Make a part of a line a bar: pitches, ``~`` for slurred, ``/n`` sixteenths."""
    notes: list[Note] = []
    bars: list[Bar] = []
    at = beats(0)
    for number, line in enumerate(lines.split("\n")[1:-1], start=1):
        bars.append(Bar(number, at, beats(4), Metre(4, 4), -2, "bass"))
        start = at
        for word in line.split():
            name, _, sixteenths = word.partition("/")
            length = Beats(Fraction(int(sixteenths or 1), 4))
            if name != "r":
                p = pitch(name.lstrip("~"))
                notes.append(
                    Note(
                        at,
                        length,
                        p,
                        p,
                        number,
                        1 + (at - start),
                        is_slurred=name.startswith("~"),
                    )
                )
            at = Beats(at + length)
    return Part(
        title=title,
        name="Trombone",
        source="",
        notes=tuple(notes),
        bars=tuple(bars),
        tempo=Tempo(96, beats(1)),
        tempo_map=TempoMap((TempoMark(beats(0), 96),)),
        key_name="B flat major",
    )


class HandPlanner:
    """Plans by a rule of thumb, so that screens have something true to show."""

    def learn(self) -> None:
        """Know as much as before."""

    def phrase_ends(self, part: Part) -> tuple[float, ...]:
        """Hear no phrase."""
        return (0.0,) * (len(part.notes) - 1)

    def tell_sure(self, plan: Plan, edits: Edits, before_each: Going = go_on) -> Plan:
        """Call every breath sure."""
        del edits, before_each
        return plan

    def ways_out(
        self, plan: Plan, edits: Edits, before_each: Going = go_on
    ) -> tuple[WayOut, ...]:
        """Know no way out."""
        del plan, edits, before_each
        return ()

    def plan(
        self,
        segment: Part,
        bpm: float,
        edits: Edits,
        before: Plan | None = None,  # noqa: ARG002 - the rule knows no better plan
    ) -> Plan:
        """Breathe after each eighth or longer, wherever the air is below two thirds."""
        tempo_map = segment.at_tempo(bpm)
        times = time_notes(segment, tempo_map)
        flow, air = 0.45, 1.0
        breaths: list[Breath] = []
        levels: list[float] = []
        after: list[float] = []
        ends: list[Seconds] = []
        for k, (note, time) in enumerate(zip(segment.notes, times, strict=True)):
            levels.append(air)
            last = k == len(times) - 1
            next_start = times[k + 1].start if not last else time.end
            wants = k in edits.locks.must or (
                note.length >= Fraction(1, 2) and air < 0.66
            )
            end = time.end
            if wants and not last and k not in edits.locks.must_not:
                rest = next_start - time.end
                taken = max(0.0, 0.25 - rest)
                end = Seconds(time.end - taken)
                air -= (end - time.start) * flow / 4.8
                full = note.length >= 1 or rest > 0.2
                gained = min(0.95, air + (0.6 if full else 0.3))
                breaths.append(
                    Breath(
                        k,
                        end,
                        next_start,
                        Seconds(taken),
                        rest > 0.2,
                        "full" if full else "catch",
                        air,
                        gained,
                        False,
                        k in edits.locks.must,
                        lambda: "the longer note gives the time",
                    )
                )
                after.append(air)
                air = gained
            else:
                air -= (end - time.start) * flow / 4.8
                after.append(air)
            ends.append(end)
        placements = []
        begun = []
        pinned = dict(edits.positions)
        for k, note in enumerate(segment.notes):
            label, partial = POSITIONS[str(note.sounding)]
            label = pinned.get(k, label)
            alternate = str(note.sounding) in ("F4", "D4", "B2") or k in pinned
            placements.append(Placement(label, 10.0, partial, is_alternate=alternate))
            begun.append(
                Articulation.NATURAL_SLUR if note.is_slurred else Articulation.TONGUED
            )
        prompts = tuple(
            Prompt(
                Seconds(max(0.0, breath.start - 2)),
                segment.notes[breath.after_note].bar,
                1.0,
                f"{breath.kind} breath after bar "
                f"{segment.notes[breath.after_note].bar}",
                breath.kind,
                k,
            )
            for k, breath in enumerate(breaths)
        )
        breath_plan = BreathPlan(
            tuple(breaths),
            tuple(ends),
            tuple(levels),
            tuple(after),
            (flow,) * len(times),
            min(after),
            Seconds(3.0),
            1,
            next((k for k, a in enumerate(after) if a < 0), None),
            4.0,
        )
        passage = set_passage(segment, bpm, (0.1,) * (len(times) - 1))
        return Plan(
            passage,
            PLAYER,
            trombone(),
            breath_plan,
            SlidePlan(tuple(placements), tuple(begun), 812.0, 90, 12, 3.0),
            prompts,
            lay_air_levels(passage, breath_plan, Breather(PLAYER, AIR, COSTS)),
        )


def half_past_five() -> datetime:
    """Tell one afternoon."""
    return datetime(2026, 3, 14, 17, 30, tzinfo=UTC)


class RunsInMemory:
    """A run log that keeps everything in lists."""

    is_kept = True

    def __init__(self) -> None:
        self.runs: dict[int, Run] = {}
        self.edits: dict[str, Edits] = {}
        self.evidence: dict[int, Evidence] = {}

    def begin(self, run: Run) -> int:
        number = len(self.runs) + 1
        self.runs[number] = replace(run, id=number)
        return number

    def add_mark(self, run_id: int, mark: Mark) -> None:
        run = self.runs[run_id]
        self.runs[run_id] = replace(run, marks=(*run.marks, mark))

    def take_back_mark(self, run_id: int, which: int) -> None:
        run = self.runs[run_id]
        left = (*run.marks[:which], *run.marks[which + 1 :])
        self.runs[run_id] = replace(run, marks=left)

    def end(self, run_id: int, how: RunEnd) -> None:
        self.runs[run_id] = replace(
            self.runs[run_id],
            is_completed=how.is_completed,
            reached_bar=how.reached_bar,
        )

    def finish(self, run_id: int, word: RunWord) -> Run:
        run = self.runs[run_id]
        is_known = run.faults or not run.is_completed
        is_clean = False if word.is_clean is None and is_known else word.is_clean
        self.runs[run_id] = replace(
            run, is_clean=is_clean, called_clean=word.is_clean, note=word.note
        )
        if word.evidence is not None:
            self.evidence[run_id] = word.evidence
        return self.runs[run_id]

    def list_runs(
        self,
        etude: EtudeKey | None = None,
        since: datetime | None = None,
        like: Like | None = None,
        most: int | None = None,
    ) -> tuple[Run, ...]:
        runs = [
            run
            for run in self.runs.values()
            if (etude is None or etude.title == run.etude)
            and (since is None or run.started >= since)
            and (like is None or _is_like(run, like))
        ]
        return tuple(runs[-most:] if most else runs)

    def list_played(self, most: int, like: Like) -> tuple[PlayedRun, ...]:
        played = [
            PlayedRun(run, self.evidence[number])
            for number, run in self.runs.items()
            if number in self.evidence and _is_like(run, like)
        ]
        return tuple(played[-most:])

    def read_evidence(self, run_id: int) -> Evidence | None:
        return self.evidence.get(run_id)

    def save_edits(self, etude: EtudeKey, edits: Edits) -> None:
        self.edits[etude.title] = edits

    def read_edits(self, etude: EtudeKey) -> Edits:
        return self.edits.get(etude.title, Edits())


def _is_like(run: Run, like: Like) -> bool:
    """Run and player alike; a run that names no instrument counts for any."""
    instruments = ("", like.instrument)
    is_by = run.how.player == like.player and run.how.instrument in instruments
    return is_by and not run.set_aside


class PaperPlayer(SilentPlayer):
    """A player whose click is said to sound."""

    says = "built-in click"


class PaperStudio(RealStudio):
    """Everything that screens need, from memory, on a clock that the test moves.

    What it does not do itself the real studio does, with gear, log and planner of
    paper.
    """

    def __init__(
        self,
        parts: Sequence[Part],
        clock: Clock | None = None,
        planner: Planner | None = None,
    ) -> None:
        super().__init__(Namespace(silent=True))
        self.parts = {part.title: part for part in parts}
        self._clock = clock or ManualClock()
        self.maker: Planner = planner or HandPlanner()
        self.runs = RunsInMemory()
        self.player = self._opened = PaperPlayer(self.clock)
        self.facts = replace(NOBODY, capacity_l=4.8)
        self.broken: Sequence[str] = ()
        self.memory = replace(
            NEVER_SEEN, is_set_up=True, has_seen_cautions=True, has_seen_legend=True
        )
        self.hears_room = False
        self.maker_of_pictures: Engraver | None = None
        self.calibrates: Iterable[float | Calibration] = ()
        self.gave_up = False
        self.pauses = 0
        self.times_learned = 0
        self.gear = GearNow(
            click="built-in sound on Laptop",
            choice=GearChoice("", ANY, "on", "Laptop", "", 0.0),
            pedals=PedalKeys("", "", "", ""),
            found=GearReport(
                midi_outs=("Synth one", "Synth two"),
                midi_ins=(),
                midi_out="",
                listened=("Pedal",),
                sound="Laptop",
                latency=Seconds(0.012),
                scheduling="",
                sound_outs=("Laptop",),
            ),
        )
        self.take_words: list[str] = []
        self.tell: Callable[[Fact], None] = lambda _: None
        self.learned: list[PedalAction] = []
        self.imported: list[str] = []
        self.replaced: list[str] = []
        self.estimate: AirEstimate | None = None
        self.twins: dict[str, Twin] = {}
        self.own: dict[str, OwnText] = {}
        self.renamed: list[tuple[str, str]] = []
        self.thrown_away: dict[str, Part] = {}
        self.typing_ended = 0
        self.stopped = 0
        self.may_read = Event()
        self.may_read.set()
        self.is_full = False
        self.conductors: list[Conductor] = []
        self.ear = HandEar()
        self.files_say = ""

    @property
    def log(self) -> RunsInMemory:  # type: ignore[override]  # no file, so less of it
        return self.runs

    @property
    def planner(self) -> Planner:  # type: ignore[override]  # by hand, so less of it
        return self.maker

    def says(self) -> str:
        return "tenor trombone · built-in click"

    def tell_files(self) -> str:
        told, self.files_say = self.files_say, ""
        return told

    def list_etudes(self) -> Sequence[Etude]:
        etudes = [
            Etude(
                part.title,
                part.title,
                part.key_name,
                str(part.bars[0].metre),
                str(min(part.notes, key=lambda note: note.written.midi).written),
                str(max(part.notes, key=lambda note: note.written.midi).written),
                part.bar_count,
                part.tempo.bpm,
            )
            for part in self.parts.values()
        ]
        done = {run.etude: run.started for run in self.log.list_runs()}
        return [replace(etude, last_run=done.get(etude.title)) for etude in etudes]

    def find_twin(self, path: str) -> Twin | None:
        if path.rstrip("/") == "/music/duets":
            raise ScoreError("“duets” is a folder.", "Choose a file in it.")
        return self.twins.get(path)

    def is_on_shelf(self, path: str) -> bool:
        return path in self.imported

    def import_file(self, path: str, *, replaces: str = "", title: str = "") -> Etude:
        if path.endswith(".pdf"):
            raise ScoreError(f"{path} is no score.", "Choose MusicXML or MIDI.")
        self.imported.append(path)
        self.replaced.append(replaces)
        part = make_part(title or f"Imported {path}")
        self.parts[part.title] = part
        return Etude(part.title, part.title)

    def check_page(self, path: str) -> Sequence[tuple[str, str]]:
        return (("bars", f"{self.parts[path].bar_count}, no pickup"),)

    def move_further(self, path: str, part: str | None, semitones: int) -> Part:
        assert part is None
        moved = self.parts[path].moved_semitones + semitones
        remarks = (f"Moved by {moved}.",) if moved else ()
        self.parts[path] = replace(
            self.parts[path], moved_semitones=moved, remarks=remarks
        )
        return self.parts[path]

    def rename_etude(self, etude: Etude, name: str) -> str:
        if "/" in name:
            raise ScoreError(f"“{name}” cannot be the name of an etude.", "")
        self.renamed.append((etude.path, name))
        self.parts[name] = replace(self.parts.pop(etude.path), title=name)
        return name

    def throw_away(self, path: str) -> str:
        if self.is_full:
            raise ScoreError("It cannot be thrown away.", "Check the disk.")
        kept = f"/thrown-away/{path}"
        self.thrown_away[kept] = self.parts.pop(path)
        return kept

    def put_back(self, kept: str, path: str) -> None:
        if self.is_full:
            raise ScoreError("It cannot be put back.", "Check the disk.")
        self.parts[path] = self.thrown_away.pop(kept)

    def open_own(self, name: str) -> OwnText:
        if "/" in name:
            raise ScoreError(
                f"“{name}” cannot be the name of an etude.", "Use letters."
            )
        fresh = new_tune(name, "bass", 0)
        return self.own.get(name, OwnText(name, fresh, (99, 0)))

    def save_own(self, own: OwnText) -> None:
        if self.is_full:
            raise ScoreError("It cannot be saved.", "Check the disk.")
        self.own[own.path] = own

    def read_typed(self, path: str, text: str) -> TypedTune:
        assert path
        found = reading(text)
        part = None
        if not found.faults and found.pages:
            part = unfold(found.pages[0], SETTINGS, most_bars=1000)
        return TypedTune(part, found.faults, found.doubts, "")

    def end_typing(self) -> None:
        self.typing_ended += 1

    def list_folder(self, path: str) -> Folder:
        here = path or "/music"
        if "." in here:
            raise CoachError(f"The folder {here} cannot be opened.", "Choose another.")
        return Folder(
            here,
            "/music",
            (
                FolderEntry("duets", f"{here}/duets", is_folder=True),
                FolderEntry("one.musicxml", f"{here}/one.musicxml", is_folder=False),
                FolderEntry("two.pdf", f"{here}/two.pdf", is_folder=False),
            ),
        )

    def list_parts(self, path: str) -> Sequence[str]:
        return ("Flute", "Trombone") if path == "duet" else ("Trombone",)

    def own_line(self, names: Sequence[str]) -> int:
        return names.index("Trombone")

    def stop_opening(self) -> None:
        self.stopped += 1
        self.may_read.set()

    def open_part(self, path: str, part: str | None = None) -> Part:
        if path == "duet":
            return replace(make_part("Duet"), name=part or "")
        if path not in self.parts:
            raise ScoreError(f"{path} cannot be read.", "Choose another file.")
        self.may_read.wait()
        return self.parts[path]

    def rehearse(self, part: Part, wishes: RunWishes | None = None) -> Conductor:
        bars = part.bars
        wishes = wishes or RunWishes(
            part.tempo.bpm, bars[0].number, bars[-1].number, ClickWishes()
        )
        conductor = Conductor(
            part,
            self.maker,
            Outside(self.player, self.log, self.clock, half_past_five, self.ear),
            wishes,
            read_rehearsal_settings(),
        )
        self.conductors.append(conductor)
        return conductor

    def learn_air(self) -> None:
        """Let the maker of plans know of runs that were told to it by hand."""
        self.times_learned += 1

    def engraver(self) -> Engraver | None:
        return self.maker_of_pictures

    def listen(self, tell: Callable[[Fact], None]) -> None:
        self.tell = tell
        self.player.listen(tell)

    def leave_soon(self) -> None:
        """Let the test end by itself."""

    def leave_now(self, code: int) -> None:
        """Let the test end by itself."""

    def ways_to_play(self, note: Note) -> Sequence[Placement]:
        label, partial = POSITIONS[str(note.sounding)]
        return (
            Placement(label, 10.0, partial),
            Placement("6", 60.0, partial + 1, is_alternate=True),
        )

    def level_band(self, plan: Plan) -> LevelBand | None:
        if self.estimate is None:
            return None
        return lay_level_band(plan, self.estimate, Whom(PLAYER, AIR))

    def use_pause(self) -> None:
        self.pauses += 1

    def usual_dial(self) -> float:
        return 0.5

    def tongued(self, plan: Plan) -> Plan:
        slide = replace(
            plan.slide,
            articulations=(Articulation.TONGUED,) * len(plan.part.notes),
            natural_slurs=0,
            tongue_strokes=len(plan.part.notes),
            travel_cm=1023.0,
        )
        return replace(plan, slide=slide)

    def mark_part(self, plan: Plan, path: str) -> str:
        if self.is_full:
            raise CoachError("The part cannot be written.", "Make room on the disk.")
        return f"marked/{plan.part.title} of {path}"

    def reach(self, part: Part, edits: Edits) -> Reach:
        del part, edits
        dry = Place(3, 1.0)
        points = tuple(
            ReachPoint(bpm, 4, (bpm - 50) / 100, 0.5, dry if bpm < 61 else None, 1.0)
            for bpm in range(40, 121, 8)
        )
        return Reach(80.0, (), points, AIR.empty_share, AIR.half_share)

    def plan_today(self, minutes: float | None) -> Today:
        settings = read_settings(TodaySettings, "rehearsal", "today")
        works = [
            Work(
                etude.title,
                etude.title.casefold(),
                Advice("again", 1, 8, 72.0, "These bars are new: begin at 72."),
                run_s=45.0,
                path=etude.path,
                is_new=True,
            )
            for etude in self.list_etudes()
            if not etude.problem
        ]
        nothing = PlayedToday(0, 0, 0.0, None, 0.0)
        ladder = read_rehearsal_settings().ladder
        return lay_today(works, nothing, minutes or 20.0, settings, ladder)

    def list_runs(self, etude: EtudeKey | None, most: int) -> tuple[Sequence[Run], int]:
        runs = self.log.list_runs(etude)
        return runs[-most:], max(0, len(runs) - most)

    def say_later(self, run: Run, *, is_clean: bool) -> None:
        assert run.id is not None
        self.log.runs[run.id] = replace(run.called(is_clean), called_clean=is_clean)

    def set_aside(self, run: Run, why: SetAside | None) -> None:
        assert run.id is not None
        self.log.runs[run.id] = replace(run, set_aside=why)

    def review(self, part: Part) -> Review:
        return self.rehearse(part).review(nothing_learned())

    def read_memory(self) -> ScreenFacts:
        return self.memory

    def save_memory(self, facts: ScreenFacts) -> None:
        self.memory = facts

    def read_player(self) -> PlayerFacts:
        return self.facts

    def save_player(self, facts: PlayerFacts) -> None:
        self.facts = facts
        self.memory = replace(self.memory, is_set_up=True)

    def list_instruments(self) -> Sequence[InstrumentEntry]:
        return [
            build_entry(name, read_shipped(f"instruments/{name}"), name)
            for name in ("tenor-trombone", "trumpet")
        ]

    def broken_instruments(self) -> Sequence[str]:
        return self.broken

    def capacity(self, facts: PlayerFacts) -> str:
        if facts.age > 120:
            raise ScoreError(f"{facts.age:g} years is no age.", "Give 5 to 95.")
        if 0.0 < facts.height_cm < 50.0:
            raise ScoreError(f"{facts.height_cm:g} cm is no height.", "Give cm.")
        if 0.0 < facts.long_tone_s < 3.0:
            raise ScoreError(f"{facts.long_tone_s:g} s is no long tone.", "Hold it.")
        return "4.8 litres, measured"

    def read_gear(self) -> GearNow:
        return self.gear

    def choose_gear(self, kind: str, option: str) -> None:
        if kind in ("hearing", "takes"):
            self.take_words.append(option)
            return
        self.gear = replace(self.gear, choice=choose(self.gear.choice, kind, option))

    def test_click(self) -> None:
        raise GearError("Nothing can sound here.", "Plug something in.")

    def learn_pedal(self, action: PedalAction) -> None:
        self.learned.append(action)

    def listen_to_room(self, wanted: bool) -> None:
        self.hears_room = wanted

    def calibrate(self, go_on: Callable[[float], bool]) -> Calibration | None:
        for share in self.calibrates:
            if isinstance(share, Calibration):
                return share
            if not go_on(share):
                self.gave_up = True
                return None
        raise GearError("The microphone heard 3 of 16 clicks.", "Turn the sound up.")

    def list_cautions(self) -> Sequence[Caution]:
        return (
            Caution("Dizzy? Stop.", "Sit down and breathe as usual.", "a source"),
            Caution("Loud rooms", "Take a break for the ears."),
        )
