"""The air now and ahead as the run goes, and what to say about it.

A `Gauge` is laid once for a plan and its track; then `Gauge.glance` tells at any
run time all that a player sees in a tenth of a second.  Beats are those of the
track, so that eye and ear never disagree.

Conventions
-----------
Air is a fraction of capacity.  Between the start and the end of a note, and within
a breath, it changes evenly.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor
from typing import Literal

from coach.planning.breathing.breaths import Breath
from coach.planning.breathing.prompts import Prompt
from coach.planning.plan import Plan
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.run.mark import A_HAIR
from coach.score.phrase import place_of
from coach.score.tempo import Seconds

FELT = frozenset({SoundKind.ACCENT, SoundKind.BEAT, SoundKind.COUNT_IN})
"""Sounds that are beats, heard or only shown."""

PromptShown = Literal["full", "catch", "hold", ""]


@dataclass(frozen=True, slots=True)
class Glance:
    """All that a player sees in a tenth of a second."""

    time: Seconds
    """Run time that is heard now; the count-in lies before 0."""

    is_counting_in: bool
    """The count-in runs: `count` is to be shown."""

    count: int
    """Beat of the count-in, from 1; 0 outside it."""

    bar: int
    """Bar on the page."""

    beat: float
    """Place in the bar in the metre's written unit, from 1."""

    felt_beat: int
    """Felt beat of the bar, from 1: the clicked one, as 1 or 2 in 6/8."""

    felt_beats: int
    """Felt beats in this bar."""

    beat_phase: float
    """How far the felt beat has gone, 0 to 1."""

    note: int | None
    """Note that sounds, as an index in the segment; None in a rest."""

    air: float
    """Air now, as a fraction of capacity; below the empty level the player is dry."""

    air_at_next_breath: float | None
    """Air planned when the next breath starts; None when none is left."""

    seconds_left: Seconds
    """How long the air lasts at this note's flow (in a rest, at the next note's)."""

    next_breath: Breath | None
    """Breath going on now, or the next one; None when none is left."""

    beats_to_breath: float | None
    """Felt beats until it starts; 0 while it goes on; None when none is left."""

    prompt_kind: PromptShown
    """A full breath, a catch breath to top off, or none for a while."""

    is_breathing: bool
    """The planned breath is going on now."""

    is_over: bool
    """The run has ended."""

    @property
    def whole_beat(self) -> int:
        """The beat as a mark made now names it, and as a player types it."""
        return floor(self.beat + A_HAIR)


@dataclass(frozen=True, slots=True)
class Gauge:
    """One run laid out so that any moment of it can be told at once."""

    plan: Plan
    """What is played."""

    track: ClickTrack
    """What is clicked."""

    hold_shown: Seconds
    """How long a hint that no breath comes stays."""

    empty_air: float
    """Level below which nothing more can be blown, as a fraction of capacity."""

    first_beat: Seconds
    """When the segment begins: before 0 with a pickup."""

    dues: tuple[Seconds, ...]
    """When each felt beat is due, the count-in's too, and the end as the last."""

    felt_beats: tuple[tuple[int, int], ...]
    """For each due: felt beat in its bar, from 1, and how many the bar has."""

    starts: tuple[Seconds, ...]
    """When each note starts."""

    breath_ends: tuple[Seconds, ...]
    """When each breath is over."""

    flows_lps: tuple[float, ...]
    """Mean flow of what sounds before each breath, and after the last."""

    prompt_times: tuple[Seconds, ...]
    """When each prompt is to be said."""

    def level_at(self, time: Seconds) -> float:
        """Tell the air at a run time, as a fraction of capacity."""
        return self.plan.air.level_at(time)

    def note_at(self, time: Seconds) -> int | None:
        """Tell which note sounds, as an index in the segment; None in a rest."""
        i = bisect_right(self.starts, time) - 1
        return i if i >= 0 and time < self.plan.breaths.ends[i] else None

    def beats_until(self, now: Seconds, then: Seconds) -> float:
        """Count felt beats, with parts of one, from one moment to another."""
        return self._beat_number(then) - self._beat_number(now)

    def glance(self, time: Seconds) -> Glance:
        """Tell all that a player sees at a run time."""
        k = self._beat_index(time)
        is_counting_in = time < self.first_beat
        place = place_of(
            self.plan.part,
            self.plan.tempo_map.beats_at(Seconds(max(time, self.first_beat))),
        )
        breath = self._next_breath(time)
        is_breathing = breath is not None and breath.start <= time
        prompt = self._prompt_at(time)
        felt_beat, felt_beats = self.felt_beats[k]
        return Glance(
            time=time,
            is_counting_in=is_counting_in,
            count=felt_beat if is_counting_in else 0,
            bar=place.bar,
            beat=place.beat,
            felt_beat=felt_beat,
            felt_beats=felt_beats,
            beat_phase=min(1.0, max(0.0, self._beat_number(time) - k)),
            note=self.note_at(time),
            air=self.level_at(time),
            air_at_next_breath=None if breath is None else breath.air_before,
            seconds_left=self._seconds_left(time),
            next_breath=breath,
            beats_to_breath=(
                None
                if breath is None
                else max(0.0, self.beats_until(time, breath.start))
            ),
            prompt_kind=prompt.kind if prompt else "",
            is_breathing=is_breathing,
            is_over=time >= self.track.ends,
        )

    def _beat_index(self, time: Seconds) -> int:
        """Index of the felt beat that a moment lies in; never the end itself."""
        return min(max(0, bisect_right(self.dues, time) - 1), len(self.dues) - 2)

    def _beat_number(self, time: Seconds) -> float:
        """Count felt beats from the first; beyond either end the count goes on."""
        k = self._beat_index(time)
        return k + (time - self.dues[k]) / (self.dues[k + 1] - self.dues[k])

    def _next_breath(self, time: Seconds) -> Breath | None:
        """Give the breath going on, or the next."""
        k = bisect_right(self.breath_ends, time)
        breaths = self.plan.breaths.breaths
        return breaths[k] if k < len(breaths) else None

    def _prompt_at(self, time: Seconds) -> Prompt | None:
        """Give what was said last, as long as it holds."""
        k = bisect_right(self.prompt_times, time) - 1
        if k < 0:
            return None
        prompt = self.plan.prompts[k]
        until = (
            prompt.at + self.hold_shown
            if prompt.breath is None
            else self.plan.breaths.breaths[prompt.breath].next_note
        )
        return prompt if time < until else None

    def _seconds_left(self, time: Seconds) -> Seconds:
        """Tell how long one could play on as between the breaths before and after.

        Note by note the figure would jump, where the air runs down evenly.
        """
        left = max(0.0, self.level_at(time) - self.empty_air)
        litres = left * self.plan.player.capacity_l
        return Seconds(litres / self.flows_lps[bisect_right(self.breath_ends, time)])


def lay_gauge(
    plan: Plan, track: ClickTrack, *, hold_shown: Seconds, empty_air: float
) -> Gauge:
    """Lay a gauge for a plan and its track.

    Parameters
    ----------
    hold_shown : Seconds
        How long a hint that no breath comes stays.
    empty_air : float
        Level below which nothing more can be blown, as a fraction of capacity.
    """
    seconds_at = plan.tempo_map.seconds_at
    first_beat, end = seconds_at(plan.part.start), seconds_at(plan.part.end)
    felt = [click for click in track.clicks if click.kind in FELT and click.due < end]
    return Gauge(
        plan=plan,
        track=track,
        hold_shown=hold_shown,
        empty_air=empty_air,
        first_beat=first_beat,
        dues=(*(click.due for click in felt), end) if felt else (first_beat, end),
        felt_beats=_felt_beats(felt) or ((1, 1),),
        starts=tuple(time.start for time in plan.times),
        breath_ends=tuple(breath.next_note for breath in plan.breaths.breaths),
        flows_lps=tuple(_flows_lps(plan)),
        prompt_times=tuple(prompt.at for prompt in plan.prompts),
    )


def _flows_lps(plan: Plan) -> Iterator[float]:
    """Give the mean flow from breath to breath, in litres a second of sound.

    Where a breath takes all of the one note before it, it is the most there is.
    """
    breaths = plan.breaths
    first, lasts = 0, [breath.after_note for breath in breaths.breaths]
    for last in (*lasts, len(plan.times) - 1):
        notes = range(first, last + 1)
        sound_s = [max(0.0, breaths.ends[k] - plan.times[k].start) for k in notes]
        flows = breaths.flow_lps[first : last + 1]
        litres = sum(flow * s for flow, s in zip(flows, sound_s, strict=True))
        yield litres / sum(sound_s) if litres else max(breaths.flow_lps)
        first = last + 1


def _felt_beats(felt: Sequence[Click]) -> tuple[tuple[int, int], ...]:
    """Give each felt beat its number in its bar, and how many the bar has.

    In room to breathe the beat before goes on: it has the same number.
    """
    bars: list[list[float]] = []
    for k, click in enumerate(felt):
        goes_on = k > 0 and felt[k - 1].bar == click.bar
        if not goes_on or felt[k - 1].beat > click.beat:
            bars.append([])
        bars[-1].append(click.beat)
    counted = []
    for beats in bars:
        numbers = {beat: k for k, beat in enumerate(sorted(set(beats)), start=1)}
        counted += [(numbers[beat], len(numbers)) for beat in beats]
    return tuple(counted)
