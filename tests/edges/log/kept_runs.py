"""Runs to keep in a log, for the tests of its file, its rows and its versions."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

from coach.edges.log.run_log import RunLogFile
from coach.rehearsal.run.evidence import AskedNote, Evidence, SoundedNote, TakenBreath
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Like, Playing
from coach.rehearsal.run.run import Run, RunEnd, RunWord
from coach.score.etude_key import EtudeKey
from coach.score.tempo import Seconds

RIVER = EtudeKey("River", "aaa")
FIELD = EtudeKey("Field", "bbb")
MORNING = datetime(2025, 3, 3, 9, 0, tzinfo=timezone(timedelta(hours=1)))
TROMBONE = Playing(instrument="tenor-trombone", capacity_l=4.8)
MINE = Like("", "tenor-trombone")
TO_THE_END = RunEnd(
    is_completed=True,
    reached_bar=16,
    sent=64,
    worst_late=Seconds(0.0012),
    lasted=Seconds(40.0),
    loud=Seconds(12.5),
)
OUT = Mark(MarkKind.RAN_OUT, 7, 3.0, Seconds(26.0))
HEARD = Mark(MarkKind.RUSHED, 2, 1.0, Seconds(4.5), "microphone", Seconds(0.04), time=2)
PLAYED = Evidence(
    notes=(
        AskedNote(0.0, 1.25, 46, 0.0, 1.0, "tongued", 0.0),
        AskedNote(1.25, 0.75, 53, 1.0, 1.0, "natural-slur", 8.8, frozenset({"accent"})),
    ),
    breaths=(TakenBreath(0, 1.0, 1.25, is_gasp=True, left_out=0),),
    sounded=(SoundedNote(1, 0.012, -23.4), SoundedNote(1, None, None)),
)


def run(minutes: float = 0.0, **given: Any) -> Run:
    values: dict[str, Any] = {
        "etude": "River",
        "from_bar": 1,
        "to_bar": 16,
        "bpm": 84.5,
        "is_whole": True,
        "plan": "abc",
        "is_completed": False,
        "is_clean": False,
        "how": TROMBONE,
    }
    return Run(started=MORNING + timedelta(minutes=minutes), **{**values, **given})


def finish(log: RunLogFile, which: Run, *marks: Mark, **word: Any) -> Run:
    """Write a whole run."""
    run_id = log.begin(which)
    for mark in marks:
        log.add_mark(run_id, mark)
    log.end(run_id, TO_THE_END)
    return log.finish(run_id, RunWord(**word))
