"""Lay out every sound of a run before it starts: clicks, cues, guide notes, drone.

Nothing is decided while the track sounds: each click has its due time, so that an
engine only has to keep it.

Conventions
-----------
Due times are run time: 0 is the first beat of bar 1, or of the segment.  A pickup
lies below 0 and the count-in before it: whole bars, then what a pickup's bar holds
before the pickup, so that a count-in is never shorter than was asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import ceil
from typing import TYPE_CHECKING

from coach.errors import PlanError
from coach.rehearsal.clicked_bars import ClickedBar, clicked_bars
from coach.rehearsal.guide import HeldNote, drone_notes, guide_notes
from coach.rehearsal.pulse import FeltBeat, divide_beat, feel_bar
from coach.rehearsal.timing_clock import tick_clock
from coach.score.phrase import Part
from coach.score.tempo import Beats, Seconds, TempoMap, beats

if TYPE_CHECKING:  # the engine and the shelf need no planner
    from coach.planning.breaths import Breath

LOUDEST = 127
"""MIDI 1.0: a velocity has seven bits, and 0 is no sound."""

MOST_BARS_BEFORE = 64
MOST_PARTS_OF_A_BEAT = 12
"""Our own choice: more bars, or a finer beat, is a slip of the hand."""


class SoundKind(StrEnum):
    """What a sound of the track is for."""

    ACCENT = "accent"
    BEAT = "beat"
    SUBDIVISION = "subdivision"
    COUNT_IN = "count-in"
    CUE = "cue"
    GUIDE = "guide"
    DRONE = "drone"


ORDER = {kind: place for place, kind in enumerate(SoundKind)}
"""Which of several sounds that are due together goes out first."""


@dataclass(frozen=True, slots=True)
class Click:
    """One sound of the track."""

    due: Seconds
    """When it must sound, in run time; the count-in lies before 0."""

    length: Seconds
    """How long it is held."""

    kind: SoundKind
    """What it is for."""

    channel: int
    """MIDI channel, from 0."""

    key: int
    """MIDI key number."""

    velocity: int
    """MIDI velocity, 1 to 127; 0 for a click that is shown and not heard."""

    bar: int = 0
    """Bar number on the page; 0 or less in the count-in."""

    beat: float = 0.0
    """Beat in the bar, from 1, in the metre's written unit; 0 for no beat."""


@dataclass(frozen=True, slots=True)
class ClickTrack:
    """Everything that will sound in one run, in order of `due`."""

    clicks: tuple[Click, ...]
    """All sounds."""

    starts: Seconds
    """When the first count-in click is due: 0 or less."""

    ends: Seconds
    """When the run is over."""

    clocks: tuple[Seconds, ...] = ()
    """When a MIDI timing clock is due; empty when none is asked for."""

    song_position: int = 0
    """Where other gear should start, in sixteenths from the top of the page."""

    clock_starts: Seconds = Seconds(0.0)
    """The clock on which other gear starts from `song_position`."""

    programs: tuple[tuple[int, int], ...] = ()
    """(channel, program), both from 0, to be chosen before the first sound."""


@dataclass(frozen=True, slots=True)
class ClickSettings:
    """The sounds of a track, as ``config/click.toml`` has them."""

    click_channel: int
    """Channel of all percussion, from 0."""

    accent_key: int
    """First beat of a bar."""

    accent_velocity: int
    """How hard it is struck."""

    beat_key: int
    """All other beats."""

    beat_velocity: int
    """How hard a beat is struck."""

    group_velocity: int
    """How hard a beat is struck that begins a group inside the bar."""

    subdivision_key: int
    """What divides a beat."""

    subdivision_velocity: int
    """How hard it is struck."""

    cue_key: int
    """The sound that tells to breathe."""

    cue_velocity: int
    """How hard it is struck."""

    cue_before_s: float
    """How long before the breath it sounds."""

    click_length_s: float
    """How long a percussion key is held."""

    guide_channel: int
    """Channel of the guide notes, from 0."""

    guide_program_midi: int
    """General MIDI program of the guide notes, from 0."""

    guide_velocity: int
    """Velocity of a guide note in mezzo-forte."""

    guide_step_velocity: int
    """How much a step of dynamic adds."""

    drone_channel: int
    """Channel of the drone, from 0."""

    drone_program_midi: int
    """General MIDI program of the drone, from 0."""

    drone_velocity: int
    """Velocity of the drone."""

    drone_low_key: int
    """Lowest key of the drone."""

    fade_bars: int
    """In how many bars a fading click is gone."""

    fade_return_bars: int
    """For how many bars at the end it is back, to check against."""


@dataclass(frozen=True, slots=True)
class ClickWishes:
    """What the player wants to hear in a run."""

    count_in_bars: int = 1
    """Whole bars counted before the start."""

    subdivision: int = 1
    """Into how many parts a beat is divided; 1 for beats alone."""

    play_bars: int = 0
    """With `silent_bars`: bars in which the click is heard; 0 for always."""

    silent_bars: int = 0
    """Bars in which it is then silent, to test oneself; 0 for none."""

    fading: bool = False
    """The click dies away, and comes back for the end."""

    guide: bool = False
    """The line is heard too, silent where a breath is planned."""

    drone: bool = False
    """The tonic is held throughout."""

    cues: bool = False
    """A soft sound comes just before each breath."""

    clocks: bool = False
    """MIDI timing clock, start, stop and song position go out to other gear."""

    groups: tuple[int, ...] = ()
    """Grouping of an irregular bar in written units, as (2, 2, 3); empty for the
    page's own."""

    lead_in_bars: int = 0
    """Bars of ordinary click between the count-in and the start."""

    is_sounding: bool = True
    """False: the click is shown and not heard."""

    from_top: Beats = beats(0)
    """How far from the top of the page the part begins, for song position."""

    guide_program: int | None = None
    """General MIDI program of the guide notes, from 0; None for the shipped one."""

    def __post_init__(self) -> None:
        """Refuse what cannot be counted."""
        bars = (
            self.count_in_bars,
            self.lead_in_bars,
            self.play_bars,
            self.silent_bars,
        )
        if min(bars) < 0 or max(bars) > MOST_BARS_BEFORE:
            raise PlanError(
                "A number of bars for the click is out of reach.",
                f"Count-in, lead-in, heard and silent bars go from 0 to "
                f"{MOST_BARS_BEFORE}.",
            )
        if not 1 <= self.subdivision <= MOST_PARTS_OF_A_BEAT:
            raise PlanError(
                f"A beat cannot be divided into {self.subdivision} parts.",
                f"Choose from 1 to {MOST_PARTS_OF_A_BEAT}.",
            )
        if any(size < 1 for size in self.groups):
            raise PlanError(
                "A group of beats has no length.", "Write it as 2+2+3, in units."
            )


def lay_clicks(
    part: Part,
    tempo_map: TempoMap,
    wishes: ClickWishes,
    settings: ClickSettings,
    *,
    breaths: Sequence[Breath] = (),
    ends: Sequence[Seconds] = (),
) -> ClickTrack:
    """Lay out the track of one run.

    Parameters
    ----------
    part : Part
        What is played: an etude or a segment of it.
    tempo_map : TempoMap
        The page's speeds at the run's tempo.
    wishes : ClickWishes
        What the player wants to hear.
    settings : ClickSettings
        Which sounds.
    breaths : sequence of Breath
        Planned breaths, for cues and as silences of the guide notes.
    ends : sequence of Seconds
        When each note stops sounding; empty for written ends.

    Returns
    -------
    ClickTrack
        All sounds in order of due time.

    Raises
    ------
    PlanError
        If the asked grouping fits no bar.
    """
    if wishes.groups and all(
        sum(wishes.groups) != bar.metre.count for bar in part.bars
    ):
        figures = "+".join(str(size) for size in wishes.groups)
        raise PlanError(
            f"No bar of “{part.title}” holds {figures} units.",
            "Choose groups that fill a bar.",
        )
    bars = clicked_bars(part.bars, wishes.count_in_bars, wishes.lead_in_bars)
    laying = _Laying(part, tempo_map, wishes, settings, bars[-1].index + 1)
    first = Beats(bars[0].zero + bars[0].first)
    starts = tempo_map.seconds_at(first)
    clicks = [click for bar in bars for click in laying.bar(bar)]
    if wishes.cues:
        clicks += laying.cues(breaths, starts)
    if wishes.guide:
        clicks += laying.guide(breaths, ends)
    if wishes.drone:
        clicks += laying.drone(starts)
    track = ClickTrack(
        clicks=tuple(
            sorted(clicks, key=lambda click: (click.due, ORDER[click.kind], click.key))
        ),
        starts=starts,
        ends=tempo_map.seconds_at(part.end),
        programs=laying.programs(),
    )
    if not wishes.clocks:
        return track
    clock = tick_clock(
        tempo_map, first=first, start=part.start, end=part.end, from_top=wishes.from_top
    )
    return replace(
        track,
        clocks=clock.ticks,
        song_position=clock.song_position,
        clock_starts=clock.starts,
    )


@dataclass(frozen=True, slots=True)
class _Laying:
    """What all sounds of one track depend on."""

    part: Part
    tempo_map: TempoMap
    wishes: ClickWishes
    settings: ClickSettings
    played_bars: int

    def bar(self, bar: ClickedBar) -> Iterator[Click]:
        """Click the beats of a bar and what divides them."""
        full = bar.metre.length
        felt = feel_bar(bar.metre, self.part.tempo.beat, self.wishes.groups)
        for turn in range(ceil(bar.last / full)):
            for beat in felt:
                yield from self._beat(bar, beat, Beats(turn * full))

    def _beat(self, bar: ClickedBar, beat: FeltBeat, turn: Beats) -> Iterator[Click]:
        """Click a beat and its parts, as far as they lie in the piece of bar."""
        is_accent = beat.at + turn == 0
        kind = SoundKind.ACCENT if is_accent else SoundKind.BEAT
        key, velocity = self._stroke(is_accent, beat.starts_group)
        if bar.role == "count-in":
            kind = SoundKind.COUNT_IN
        share = self._share(bar)
        if bar.first <= beat.at + turn < bar.last:
            number = float(1 + (beat.at + turn) / bar.metre.unit_beats)
            place = Beats(bar.zero + beat.at + turn)
            yield self._click(place, kind, key, velocity * share, bar.number, number)
        for part in divide_beat(beat, self.wishes.subdivision):
            if bar.first <= part + turn < bar.last:
                yield self._click(
                    Beats(bar.zero + part + turn),
                    SoundKind.SUBDIVISION,
                    self.settings.subdivision_key,
                    self.settings.subdivision_velocity * share,
                    bar.number,
                    0.0,
                )

    def _stroke(self, is_accent: bool, starts_group: bool) -> tuple[int, int]:
        """Give the key and velocity of a beat."""
        settings = self.settings
        if is_accent:
            return settings.accent_key, settings.accent_velocity
        if starts_group:
            return settings.beat_key, settings.group_velocity
        return settings.beat_key, settings.beat_velocity

    def _share(self, bar: ClickedBar) -> float:
        """Tell how loud a bar is clicked, from 0 to 1."""
        wishes = self.wishes
        if not wishes.is_sounding:
            return 0.0
        if bar.index < 0:
            return 1.0
        turn = wishes.play_bars + wishes.silent_bars
        is_tested = wishes.play_bars > 0 and wishes.silent_bars > 0
        if is_tested and bar.index % turn >= wishes.play_bars:
            return 0.0
        return self._fade(bar.index) if wishes.fading else 1.0

    def _fade(self, index: int) -> float:
        """Tell how loud a bar of a fading click is."""
        until_return = self.played_bars - self.settings.fade_return_bars
        if index >= until_return:
            return 1.0
        steps = max(1, min(self.settings.fade_bars, until_return - 1))
        return max(0.0, 1.0 - index / steps)

    def _click(
        self,
        place: Beats,
        kind: SoundKind,
        key: int,
        velocity: float,
        bar: int,
        beat: float,
    ) -> Click:
        """Make a stroke of percussion at a place of the page."""
        return Click(
            due=self.tempo_map.seconds_at(place),
            length=Seconds(self.settings.click_length_s),
            kind=kind,
            channel=self.settings.click_channel,
            key=key,
            velocity=round(velocity),
            bar=bar,
            beat=beat,
        )

    def cues(self, breaths: Sequence[Breath], starts: Seconds) -> Iterator[Click]:
        """Sound before each breath, never before the track begins."""
        for breath in breaths:
            yield Click(
                due=Seconds(max(starts, breath.start - self.settings.cue_before_s)),
                length=Seconds(self.settings.click_length_s),
                kind=SoundKind.CUE,
                channel=self.settings.click_channel,
                key=self.settings.cue_key,
                velocity=self.settings.cue_velocity,
            )

    def guide(
        self, breaths: Sequence[Breath], ends: Sequence[Seconds]
    ) -> Iterator[Click]:
        """Sound the line itself, as loud as the page has it."""
        for note in guide_notes(self.part, self.tempo_map, breaths, ends):
            velocity = (
                self.settings.guide_velocity
                + self.settings.guide_step_velocity * note.loudness
            )
            yield self._held(
                note,
                SoundKind.GUIDE,
                self.settings.guide_channel,
                min(LOUDEST, max(1, round(velocity))),
            )

    def drone(self, starts: Seconds) -> Iterator[Click]:
        """Hold the tonic."""
        low_key = self.settings.drone_low_key
        for note in drone_notes(self.part, self.tempo_map, starts, low_key):
            yield self._held(
                note,
                SoundKind.DRONE,
                self.settings.drone_channel,
                self.settings.drone_velocity,
            )

    def _held(
        self, note: HeldNote, kind: SoundKind, channel: int, velocity: int
    ) -> Click:
        """Make a sound of a held note."""
        length = Seconds(note.end - note.start)
        return Click(note.start, length, kind, channel, note.key, velocity)

    def programs(self) -> tuple[tuple[int, int], ...]:
        """Choose the programs that this track needs."""
        wished = self.wishes.guide_program
        guide = self.settings.guide_program_midi if wished is None else wished
        return (
            *([(self.settings.guide_channel, guide)] * self.wishes.guide),
            *(
                [(self.settings.drone_channel, self.settings.drone_program_midi)]
                * self.wishes.drone
            ),
        )
