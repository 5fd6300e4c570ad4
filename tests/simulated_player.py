"""A simulated player: true flow, step and intake, days that differ, careless marks.

Made to be other than the coach's model wherever that can be: the lungs fill by an
inspiratory flow that falls with the root of the room left, after an opening time of
their own; every breath reaches another top; flow differs from note to note, breath
to breath and day to day; its power of pitch is the player's own.  A mark comes late,
is forgotten, or is pressed by mistake; breaths are missed, with and without a word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, timezone
from math import exp, log
from random import Random

from coach.planning.air.air_settings import AirSettings
from coach.planning.air.long_tones import LongTone
from coach.rehearsal.run.evidence import Evidence, TakenBreath
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import PlayedRun, Run
from coach.score.tempo import Seconds

FIRST_DAY = datetime(2025, 3, 3, 9, 0, tzinfo=timezone(timedelta(hours=1)))
MINUTES_APART = 5
FULL = 0.90
EMPTY = 0.10
BREATH_STEP_S = 0.01
GASP = 1.5
"""A gasp draws so much faster than a calm breath."""

MIDDLE_INTAKE_PER_S = 0.82
"""Draws in half a second, from half, about what the coach's middle player does."""


@dataclass(frozen=True)
class SimulatedPlayer:
    """Who plays."""

    flow: float
    """Flow of F3 at mezzo-forte against the coach's model, at the believed capacity."""

    step_power: float
    """A step of dynamics is the coach's to this power."""

    intake_per_s: float
    """Share of capacity drawn in a second by empty lungs."""

    opening_s: float
    """Nothing comes in before."""

    pitch_power_off: float
    """Flow falls with pitch to the coach's power and this."""

    days_differ: float
    """Spread of days."""

    forgets: float
    """Share of run-outs that are not marked."""

    slips: float
    """Share of runs with a mark that means nothing."""

    misses: float
    """Share of breaths that are missed."""


def draw_player(chance: Random) -> SimulatedPlayer:
    """Draw a player."""
    return SimulatedPlayer(
        flow=exp(chance.gauss(0.0, 0.30)),
        step_power=exp(chance.gauss(0.0, 0.15)),
        intake_per_s=MIDDLE_INTAKE_PER_S * exp(chance.gauss(0.0, 0.25)),
        opening_s=chance.uniform(0.05, 0.12),
        pitch_power_off=chance.gauss(0.0, 0.03),
        days_differ=chance.uniform(0.05, 0.08),
        forgets=chance.uniform(0.0, 0.15),
        slips=chance.uniform(0.0, 0.06),
        misses=chance.uniform(0.0, 0.08),
    )


@dataclass(frozen=True)
class Day:
    """A player on one day."""

    player: SimulatedPlayer
    """Who."""

    number: int
    """Days since the first."""

    flow: float
    """Flow of that day."""

    intake_per_s: float
    """Intake of that day."""


def wake_up(player: SimulatedPlayer, number: int, chance: Random) -> Day:
    """Draw a day."""
    return Day(
        player,
        number,
        player.flow * exp(chance.gauss(0.0, player.days_differ)),
        player.intake_per_s * exp(chance.gauss(0.0, 0.05)),
    )


def breathe(day: Day, level: float, breath: TakenBreath, top: float) -> float:
    """Fill the lungs; the flow falls with the root of the room left."""
    level = max(level, EMPTY)
    gap_s = breath.end_s - breath.start_s
    intake_per_s = day.intake_per_s * (GASP if breath.is_gasp else 1.0)
    for _ in range(round(max(0.0, gap_s - day.player.opening_s) / BREATH_STEP_S)):
        room = max(0.0, 1.0 - level / 0.98)
        level += intake_per_s * room**0.5 * BREATH_STEP_S
        if level >= top:
            return max(top, level - intake_per_s * BREATH_STEP_S)
    return level


def dry_at(
    day: Day, evidence: Evidence, capacity_l: float, air: AirSettings, chance: Random
) -> float | None:
    """Play a run; give the run time at which the air is gone, None if it lasts."""
    player = day.player
    breaths = {breath.after_note: breath for breath in evidence.breaths}
    level, today = FULL + chance.gauss(0.0, 0.015), day.flow
    empty = EMPTY + chance.gauss(0.0, 0.01)
    on_breath = exp(chance.gauss(0.0, 0.03))
    step = air.loud_step_factor**player.step_power
    silent = {
        breath.after_note + 1 + k
        for breath in evidence.breaths
        for k in range(breath.left_out)
    }
    for k, note in enumerate(evidence.notes):
        if k in silent:
            continue
        end = breaths[k].start_s if k in breaths else note.start_s + note.written_s
        share = 0.55 if "staccato" in note.signs else 1.0
        sounds = min(end - note.start_s, note.written_s * share)
        hertz = 440.0 * 2.0 ** ((note.midi - 69) / 12)
        power = air.pitch_power + player.pitch_power_off
        flow = air.flow_f3_mf_lps * (hertz / air.reference_hz) ** -power
        flow *= step ** ((note.loud_start + note.loud_end) / 2)
        flow *= 1.03 if note.stroke == "tongued" else 1.0
        flow = max(air.floor_lps, flow * exp(chance.gauss(0.0, 0.05)))
        used = today * on_breath * flow * sounds / capacity_l
        if level - used < empty:
            return float(note.start_s + sounds * max(0.0, level - empty) / used)
        level -= used
        if k in breaths:
            level = breathe(day, level, breaths[k], FULL + chance.gauss(0.0, 0.015))
            on_breath = exp(chance.gauss(0.0, 0.03))
    return None


def rehearse(
    day: Day,
    evidence: Evidence,
    capacity_l: float,
    air: AirSettings,
    chance: Random,
    number: int = 0,
) -> PlayedRun:
    """Play a run and say of it what such a player would."""
    player = day.player
    missed = {b for b in evidence.breaths if chance.random() < player.misses}
    real = replace(evidence, breaths=_without(evidence.breaths, missed))
    told = {b for b in missed if chance.random() < 0.95}
    known = replace(evidence, breaths=_without(evidence.breaths, told))
    dry = dry_at(day, real, capacity_l, air, chance)
    ends = evidence.notes[-1].start_s + evidence.notes[-1].written_s
    marks = []
    if dry is not None and chance.random() >= player.forgets:
        marks.append(dry + chance.gauss(0.05, 0.15))
    if chance.random() < player.slips:
        marks.append(chance.uniform(0.0, ends))
    return PlayedRun(
        Run(
            started=FIRST_DAY
            + timedelta(days=day.number, minutes=MINUTES_APART * number),
            etude="Simulated",
            from_bar=1,
            to_bar=16,
            bpm=60,
            is_completed=not marks or chance.random() < 0.5,
            is_clean=not marks,
            marks=tuple(
                Mark(MarkKind.RAN_OUT, 1, 1.0, Seconds(min(max(at, 0.0), ends)))
                for at in sorted(marks)
            ),
        ),
        known,
    )


def hold_tone(
    day: Day, capacity_l: float, air: AirSettings, chance: Random
) -> LongTone:
    """Hold F3 at mezzo-forte from a full breath until nothing more comes."""
    blown = (FULL - EMPTY) * capacity_l
    flow = air.flow_f3_mf_lps * day.flow * exp(chance.gauss(0.0, 0.05))
    return LongTone(blown / flow, air.reference_hz, 0.0)


def off_by(estimate: float, player: SimulatedPlayer) -> float:
    """Tell how far an estimate of flow is off, as a natural logarithm."""
    return log(estimate / player.flow)


def _without(
    breaths: Sequence[TakenBreath], left_out: set[TakenBreath]
) -> tuple[TakenBreath, ...]:
    """Leave breaths out."""
    return tuple(breath for breath in breaths if breath not in left_out)
