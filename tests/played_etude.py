"""An etude as somebody played it: a recording by seed, whose every fault is known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from coach.edges.scores.score_files import read_part
from coach.planning.edits import Edits
from coach.rehearsal.hearing.due_part import due_part
from coach.rehearsal.hearing.take import Take
from coach.wiring.player_planner import PlayerPlanner
from tests.hearing_room.players import Played, perform
from tests.hearing_room.rooms import USUAL, World, record
from tests.hearing_room.studies import Study
from tests.hearing_room.voices import sing


@dataclass(frozen=True, slots=True)
class PlayedEtude:
    """What was played, and how it was recorded."""

    played: Played
    """Every note and every fault."""

    taken: Take
    """The recording."""


def played_etude(path: Path, seed: int, world: World = USUAL) -> PlayedEtude:
    """Play an etude at its goal tempo, as planned but for the faults of a seed."""
    part, planner = read_part(path), PlayerPlanner()
    planner.hear_whole(part)
    plan = planner.plan(part, part.tempo.bpm, Edits())
    due = due_part(plan)
    ends = [*(breath.after_note for breath in plan.breaths.breaths), len(due.notes) - 1]
    begins = [0, *(end + 1 for end in ends[:-1])]
    study = Study(due, tuple(zip(begins, ends, strict=True)), plan.bpm)
    played = perform(study, seed)
    return PlayedEtude(played, record(sing(played, seed), study, played, world, seed))
