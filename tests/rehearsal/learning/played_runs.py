"""Runs to learn from, made by hand, and settings that leave out all but one thing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from coach.config import read_settings
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import measured
from coach.rehearsal.learning.candidates import LearningSettings
from coach.rehearsal.learning.replaying import Whom
from coach.rehearsal.run.evidence import AskedNote, Evidence, TakenBreath
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import PlayedRun, Run
from coach.score.tempo import Seconds

SETTINGS = read_settings(LearningSettings, "learning")
AIR = read_settings(AirSettings, "air")
PLAYER = measured(4.0)
WHOM = Whom(PLAYER, AIR)
F3 = 53
FIRST_DAY = datetime(2025, 3, 3, 9, 0, tzinfo=UTC)

HOLDS_S = (AIR.full_share - AIR.empty_share) * PLAYER.capacity_l / AIR.flow_f3_mf_lps
"""So long the model holds F3 at mezzo-forte from a full breath."""


def tone(start_s: float, length_s: float, **other: float) -> AskedNote:
    """Ask for F3 at mezzo-forte, slurred, so that it takes what a long tone takes."""
    loud = other.get("loud", 0.0)
    return AskedNote(start_s, length_s, F3, loud, loud, "natural-slur", 0.0)


def one_tone(share: float) -> Evidence:
    """Ask for a tone of such a share of what the model can hold."""
    return Evidence((tone(0.0, share * HOLDS_S),), ())


def two_tones(first: float, second: float, gap_s: float) -> Evidence:
    """Ask for two such tones with a breath between."""
    end = first * HOLDS_S
    notes = (tone(0.0, end), tone(end + gap_s, second * HOLDS_S))
    return Evidence(notes, (TakenBreath(0, end, end + gap_s),))


def play(
    evidence: Evidence,
    *ran_out_s: float,
    day: int = 0,
    is_clean: bool | None = True,
    is_completed: bool = True,
    kind: MarkKind = MarkKind.RAN_OUT,
) -> PlayedRun:
    """Play it on a day, with marks at run times."""
    return PlayedRun(
        Run(
            started=FIRST_DAY + timedelta(days=day),
            etude="By Hand",
            from_bar=1,
            to_bar=2,
            bpm=60,
            is_completed=is_completed,
            is_clean=is_clean and not ran_out_s if is_clean is not None else None,
            marks=tuple(Mark(kind, 1, 1.0, Seconds(at)) for at in ran_out_s),
        ),
        evidence,
    )


def exact(**other: float) -> LearningSettings:
    """Leave out slips, days, other steps and intakes, and time going by."""
    nothing = 1e-9
    values: dict[str, Any] = {
        "steps_differ_share": nothing,
        "intakes_differ_share": nothing,
        "days_differ_share": nothing,
        "walk_per_day_share": nothing,
        "changed_days_share": 0.0,
        "wrong_share": nothing,
        "heard_wrong_share": nothing,
        "forgotten_share": nothing,
        **other,
    }
    return replace(SETTINGS, **values)
