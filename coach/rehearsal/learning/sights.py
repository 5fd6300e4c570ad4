"""What one run, or one long tone, shows: between which flows it came out as it did.

The breaths of the run are replayed for every candidate.  For each step of dynamics
and each intake that leaves a few numbers: above one flow the player would have been
out of air sooner, below another not yet.

Conventions
-----------
Flows are natural logarithms of the scale against the model's.  What comes after the
first mark of running out is left aside, since nobody knows how much air the player
went on with.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from math import log

from coach.planning.air.air import flow_lps
from coach.planning.air.long_tones import LongTone
from coach.rehearsal.learning.candidates import (
    FLOW_LOGS,
    Candidates,
    LearningSettings,
    air_as,
)
from coach.rehearsal.learning.replaying import (
    Edge,
    Whom,
    at_step,
    find_edge,
    lay_notes,
    lay_stretches,
)
from coach.rehearsal.learning.sounded_loudness import as_sounded
from coach.rehearsal.run.evidence import Evidence
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import PlayedRun

REMEMBERED = 64
"""Runs whose edges are remembered: those of one rehearsal, and more."""


@dataclass(frozen=True, slots=True)
class Sight:
    """What one run, or one long tone, shows."""

    day: date
    """When, by the player's own clock."""

    ran_out: bool
    """The air was gone at a moment that is known; if not, it lasted to the end."""

    edges: tuple[tuple[Edge, ...], ...]
    """For each step of dynamics and each intake."""

    wrong: float
    """How likely a mark that means nothing falls there, 0 to 1."""

    spread: float
    """How far such runs differ in a day, as a natural logarithm of flow."""

    is_tone: bool = False
    """It is a long tone."""


def see_run(
    played: PlayedRun, whom: Whom, candidates: Candidates, settings: LearningSettings
) -> Sight | None:
    """Tell what a run shows of the player's air.

    Returns
    -------
    Sight or None
        None where nothing was said of the air: a run without a word, one cut
        off without a mark, or one called not clean with no word of what was wrong.
    """
    run = played.run
    out = [mark for mark in run.marks if mark.kind is MarkKind.RAN_OUT]
    says_enough = run.is_completed and (run.is_clean or bool(run.faults))
    if not run.is_telling or not played.evidence.notes or not (out or says_enough):
        return None
    first, last = played.evidence.notes[0], played.evidence.notes[-1]
    ends = last.start_s + last.written_s
    span = (ends, ends)
    wrong = 0.0
    if out:
        first_out = min(out, key=lambda mark: mark.at)
        is_heard = first_out.by == "microphone"
        at = first_out.at
        span = (at - settings.mark_late_s, at + settings.mark_early_s)
        lasts = max(ends - first.start_s, span[1] - span[0])
        slips = settings.heard_wrong_share if is_heard else settings.wrong_share
        wrong = slips * (span[1] - span[0]) / lasts
    edges = _find_edges(as_sounded(played.evidence, settings), span, whom, candidates)
    return Sight(
        day=run.started.date(),
        ran_out=bool(out),
        edges=edges,
        wrong=wrong,
        spread=settings.runs_differ_share,
    )


def see_tone(
    tone: LongTone,
    day: date,
    whom: Whom,
    candidates: Candidates,
    settings: LearningSettings,
) -> Sight:
    """Tell what a long tone shows: held from a full breath until nothing more came.

    Returns
    -------
    Sight
        A moment at which the air was gone, exact but for how tones of one day
        differ.
    """
    air = whom.air
    blown = (air.full_share - air.empty_share) * whom.player.capacity_l
    edges = []
    for power in candidates.step_powers:
        flow = log(
            blown / tone.seconds / flow_lps(tone.hertz, power * tone.loudness, air)
        )
        half = settings.tones_differ_share / 2
        edge = Edge(before=FLOW_LOGS[-1], latest=flow - half, earliest=flow + half)
        edges.append((edge,) * len(candidates.fill_factors))
    return Sight(
        day=day,
        ran_out=True,
        edges=tuple(edges),
        wrong=settings.tones_wrong_share * settings.tones_differ_share,
        spread=settings.tones_differ_share,
        is_tone=True,
    )


@lru_cache(maxsize=REMEMBERED)
def _find_edges(
    evidence: Evidence, span: tuple[float, float], whom: Whom, candidates: Candidates
) -> tuple[tuple[Edge, ...], ...]:
    """Find the edges of each candidate; the same run again comes to the same."""
    edges = []
    notes = lay_notes(evidence, whom)
    for power in candidates.step_powers:
        stretches = lay_stretches(
            evidence,
            [at_step(*note, power, whom.air) for note in notes],
            whom.player.capacity_l,
        )
        edges.append(
            tuple(
                find_edge(stretches, span, air_as(whom.air, power, factor))
                for factor in candidates.fill_factors
            )
        )
    return tuple(edges)
