"""Lay out the track of a run before it starts: each sound on its beat.

Conventions
-----------
A pickup lies below 0 and the count-in before it: whole bars, then what a pickup's bar
holds before the pickup, so that a count-in is never shorter than was asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING

from coach.errors import PlanError
from coach.last_answers import remembered
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicked_bars import ClickedBar, clicked_bars
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.click.guide import HeldNote, drone_notes, guide_notes
from coach.rehearsal.click.metre_beats import FeltBeat, divide_beat, feel_bar
from coach.rehearsal.click.timing_clock import tick_clock
from coach.score.phrase import Part
from coach.score.tempo import Beats, Seconds, TempoMap, beats

if TYPE_CHECKING:  # the shelf needs no planner
    from coach.planning.breathing.breaths import Breath

LOUDEST = 127
"""MIDI 1.0: a velocity has seven bits, and 0 is no sound."""

ORDER = {kind: place for place, kind in enumerate(SoundKind)}
"""Which of several sounds that are due together goes out first."""


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
    tempo_map : TempoMap
        The page's speeds at the run's tempo.
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
    hears_breaths = wishes.cues or wishes.guide
    return _lay_track(
        part,
        tempo_map,
        wishes,
        settings,
        tuple(breaths) if hears_breaths else (),
        tuple(ends) if hears_breaths else (),
    )


@remembered
def _lay_track(
    part: Part,
    tempo_map: TempoMap,
    wishes: ClickWishes,
    settings: ClickSettings,
    breaths: tuple[Breath, ...],
    ends: tuple[Seconds, ...],
) -> ClickTrack:
    """Lay out the track; while breaths are not heard, no edit changes it."""
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
                for waited in _waits(bar, beat, Beats(turn * full)):
                    yield from self._beat(bar, beat, Beats(turn * full), waited)

    def _beat(
        self, bar: ClickedBar, beat: FeltBeat, turn: Beats, waited: Beats
    ) -> Iterator[Click]:
        """Click a beat and its parts, as far as they lie in the piece of bar."""
        is_accent = beat.at + turn + waited == 0
        kind = SoundKind.ACCENT if is_accent else SoundKind.BEAT
        key, velocity = self._stroke(is_accent, beat.starts_group)
        if bar.role == "count-in":
            kind = SoundKind.COUNT_IN
        share = self._share(bar)
        if bar.first <= beat.at + turn < bar.last:
            number = float(1 + (beat.at + turn) / bar.metre.unit_beats)
            place = Beats(bar.zero + beat.at + turn + waited)
            yield self._click(place, kind, key, velocity * share, bar.number, number)
        for part in divide_beat(beat, self.wishes.subdivision):
            if bar.first <= part + turn < bar.last:
                yield self._click(
                    Beats(bar.zero + part + turn + waited),
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


def _waits(bar: ClickedBar, beat: FeltBeat, turn: Beats) -> Sequence[Beats]:
    """Tell how much later than written a beat comes, and again in each room behind it.

    So the click goes on where there is room to breathe.
    """
    begins = Beats(beat.at + turn)
    waits = [Beats(sum((r.length for r in bar.rooms if r.at <= begins), beats(0)))]
    for room in bar.rooms:
        if begins < room.at <= begins + beat.length:
            waits.append(Beats(waits[-1] + room.length))
    return waits
