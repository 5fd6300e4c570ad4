"""Replay the breaths of a run for one who takes more or less air.

The lungs are full at the start of a run, emptied by its notes, filled by its breaths.
A flow is found at which the air is just gone: at a moment, or anywhere before.

Conventions
-----------
Flows are natural logarithms of the scale against the model's.  Levels of air are
fractions of capacity.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate
from math import exp, log

from coach.planning.air.air import NoteAir, air_of, refill
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player
from coach.planning.effort import effort_factor
from coach.rehearsal.learning.candidates import FLOW_LOGS
from coach.rehearsal.run.evidence import AskedNote, Evidence, TakenBreath
from coach.score.note import Note, Pitch
from coach.score.tempo import beats

MIDI_OCTAVE = 12
CM_PER_M = 100.0

CLOSE = 1e-5
"""Less air than this is none, as a fraction of capacity."""


@dataclass(frozen=True, slots=True)
class Whom:
    """Whose runs they are."""

    player: Player
    """Whose lungs; the flow scale is passed over."""

    air: AirSettings
    """The model that candidates are held against."""


@dataclass(frozen=True, slots=True)
class Edge:
    """What a run shows of one candidate's flow."""

    before: float
    """Above this flow the air would have been gone before the moment marked."""

    latest: float
    """Below this flow it would have lasted beyond that moment."""

    earliest: float
    """Above this flow the moment itself would have been too late."""


@dataclass(frozen=True, slots=True)
class BreathStretch:
    """Notes played on one breath, for one step of dynamics."""

    breath: TakenBreath | None
    """The breath before it; None for the first."""

    begins_s: float
    """Run time at which it begins, whether or not a note is left to play."""

    starts: tuple[float, ...]
    """When each note starts, in run time."""

    used: tuple[float, ...]
    """Air used before each note, and in all, as a share of capacity."""

    notes: tuple[NoteAir, ...]
    """How each note uses air."""

    per_l: float
    """Share of capacity that a litre is."""

    def used_by(self, time: float) -> float:
        """Tell the air used up to a run time, as a share of capacity."""
        k = bisect_right(self.starts, time) - 1
        if k < 0:
            return 0.0
        into = self.notes[k].used_l(time - self.starts[k]) * self.per_l
        return min(self.used[k] + into, self.used[k + 1])


def lay_notes(evidence: Evidence, whom: Whom) -> list[tuple[NoteAir, float]]:
    """Tell how the model lets each note use air, and how loud it begins."""
    player = replace(whom.player, flow_scale=1.0)
    return [
        (_note_air(note, player, whom.air), note.loud_start) for note in evidence.notes
    ]


def at_step(note: NoteAir, loud: float, power: float, air: AirSettings) -> NoteAir:
    """Give the air of a note where the step of dynamics is taken to a power."""
    return NoteAir(
        start_lps=note.start_lps * air.loud_step_factor ** (loud * (power - 1.0)),
        growth_per_s=note.growth_per_s * power,
        floor_lps=note.floor_lps,
        sounding_s=note.sounding_s,
    )


def lay_stretches(
    evidence: Evidence, notes: Sequence[NoteAir], capacity_l: float
) -> tuple[BreathStretch, ...]:
    """Lay out the notes of each breath, with the air that they take."""
    per_l = 1.0 / capacity_l
    stops = {breath.after_note: breath.start_s for breath in evidence.breaths}
    blown = [
        note.used_l(stops.get(k, asked.start_s + asked.written_s) - asked.start_s)
        * per_l
        for k, (asked, note) in enumerate(zip(evidence.notes, notes, strict=True))
    ]
    lasts = [*(breath.after_note + 1 for breath in evidence.breaths), len(notes)]
    stretches = []
    first = 0
    for before, last in zip((None, *evidence.breaths), lasts, strict=True):
        if before is not None:
            first = before.after_note + before.left_out + 1
        stretches.append(
            BreathStretch(
                breath=before,
                begins_s=evidence.notes[0].start_s if before is None else before.end_s,
                starts=tuple(asked.start_s for asked in evidence.notes[first:last]),
                used=tuple(accumulate(blown[first:last], initial=0.0)),
                notes=tuple(notes[first:last]),
                per_l=per_l,
            )
        )
    return tuple(stretches)


def filled(level: float, breath: TakenBreath | None, air: AirSettings) -> float:
    """Tell the air after a breath; without one it stays."""
    if breath is None:
        return level
    gap_s = breath.end_s - breath.start_s
    return refill(level, gap_s, air, is_gasp=breath.is_gasp)


def _note_air(asked: AskedNote, player: Player, air: AirSettings) -> NoteAir:
    """Tell how the model lets a note use air."""
    octave, semitones = divmod(asked.midi, MIDI_OCTAVE)
    pitch = Pitch(octave - 1, "C", semitones)
    note = Note(
        onset=beats(0),
        length=beats(1),
        written=pitch,
        sounding=pitch,
        bar=1,
        beat=Fraction(1),
        loud_start=asked.loud_start,
        loud_end=asked.loud_end,
        articulations=asked.signs,
    )
    moved_m = asked.moved_cm / CM_PER_M
    effort = effort_factor(asked.stroke, moved_m, asked.written_s, air)
    return air_of(note, asked.written_s, player, air, effort)


def find_edge(
    stretches: Sequence[BreathStretch], span: tuple[float, float], air: AirSettings
) -> Edge:
    """Find the flows between which the air is gone within a span of run time."""
    begun = [k for k, stretch in enumerate(stretches) if stretch.begins_s <= span[0]]
    first = begun[-1] if begun else 0
    last = first
    while last + 1 < len(stretches) and stretches[last + 1].begins_s < span[1]:
        last += 1
    wholes = [stretch.used[-1] for stretch in stretches]

    def lowest(s: float, k: int, used: float, since: int) -> float:
        """Tell the least air at the ends of stretches, the last cut at `used`."""
        level, least = air.full_share, air.full_share
        for j in range(k + 1):
            level = filled(level, stretches[j].breath, air)
            level -= s * (used if j == k else wholes[j])
            if j >= since:
                least = min(least, level)
        return least - air.empty_share

    def solve(k: int, used: float, since: int) -> float:
        return _flow_where(lambda s: lowest(s, k, used, since))

    return Edge(
        before=solve(first - 1, wholes[first - 1], 0) if first else FLOW_LOGS[-1],
        latest=solve(last, stretches[last].used_by(span[1]), first),
        earliest=solve(first, stretches[first].used_by(span[0]), first),
    )


def _flow_where(left: Callable[[float], float]) -> float:
    """Find the flow at which no air is left; `left` falls with the scale.

    Regula falsi with the halving of the end that stays (Illinois; Dowell & Jarratt
    1971, BIT 11:168–174).
    """
    low, high = exp(FLOW_LOGS[0]), exp(FLOW_LOGS[-1])
    at_low, at_high = left(low), left(high)
    if at_high >= 0.0:
        return FLOW_LOGS[-1]
    if at_low <= 0.0:
        return FLOW_LOGS[0]
    stayed = 0
    while True:
        middle = low + (high - low) * at_low / (at_low - at_high)
        at_middle = left(middle)
        if abs(at_middle) < CLOSE:
            return log(middle)
        if at_middle > 0.0:
            low, at_low = middle, at_middle
            at_high, stayed = (at_high / 2 if stayed > 0 else at_high), 1
        else:
            high, at_high = middle, at_middle
            at_low, stayed = (at_low / 2 if stayed < 0 else at_low), -1
