"""``coach listen``: what is heard in a recording of a run."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import Self

from coach.config import read_settings
from coach.edges.hearing.recording_ear import HeardRecording, hear_recording
from coach.errors import RecordingError
from coach.plain.heard.heard_json import heard_as_dict
from coach.plain.heard.heard_table import heard_lines
from coach.plain.safe_json import write_json
from coach.planning.naming import say_bars
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.hearing.due_part import due_part
from coach.rehearsal.hearing.heard import Heard, Refused, ToldAgainst
from coach.rehearsal.hearing.heard_marks import heard_marks
from coach.rehearsal.hearing.heard_tempo import (
    is_far_tempo,
    is_other_tempo,
    tempo_heard,
)
from coach.rehearsal.hearing.heard_words import say_refused
from coach.rehearsal.hearing.take import Sounding
from coach.rehearsal.hearing.taken_clicks import taken_clicks
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.rehearsal.past_run import PastRun
from coach.rehearsal.run.run_words import say_outcome
from coach.score.plain_text import plain_words
from coach.wiring.moved_etudes import open_whole
from coach.wiring.open_rehearsal import open_log, wall_time, wishes_of
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.rehearsal_numbers import read_rehearsal_settings
from coach.wiring.terminal.terminal_signs import tell

PERCENT = 100
SECONDS_PER_MINUTE = 60


def run(arguments: argparse.Namespace) -> int:
    """Listen to a recording, tell what is heard, and log it if asked to."""
    path = Path(arguments.recording).expanduser()
    part = open_whole(arguments)
    telling = read_settings(TellingSettings, "recordings", "telling")
    with open_log() as log:
        planner = PlayerPlanner(arguments.instrument, log)
        planner.hear_whole(part)
        wishes, numbers = wishes_of(part, arguments), read_rehearsal_settings()
        past = PastRun(part, planner, log, wall_time, wishes, numbers)
        sounding = Sounding(clicks=taken_clicks(past.track))
        with _Progress() as show:
            told = hear_recording(path, due_part(past.plan), sounding, show)
        heard = _unless_refused(told.said, plain_words(path.name), _page(past))
        _refuse_far_tempo(past, heard, path, telling)
        if arguments.json:
            print(write_json(heard_as_dict(past.plan, heard)))
        else:
            lines = heard_lines(past.plan, heard, telling)
            tell([_title(past, path, told), *lines])
        if arguments.log:
            said = _keep(past, heard, path, telling)
            if arguments.json:
                sys.stderr.write(f"coach: {said}\n")
            else:
                tell([said])
    return 0


def _unless_refused(said: Heard | Refused, name: str, page: str) -> Heard:
    """Give what was heard; say why where nothing can be said."""
    if isinstance(said, Heard):
        return said
    why, mend = say_refused(said, page)
    raise RecordingError(f"“{name}” cannot be judged: {why}.", mend)


def _refuse_far_tempo(
    past: PastRun, heard: Heard, path: Path, telling: TellingSettings
) -> None:
    """Judge nothing that was played at quite another tempo."""
    if is_far_tempo(heard, telling):
        raise _other_tempo(past, heard, f"“{plain_words(path.name)}” cannot be judged")


def _other_tempo(past: PastRun, heard: Heard, what: str) -> RecordingError:
    """Say what is not done with a take at another tempo, and how it would be."""
    goes = say_bpm(tempo_heard(past.plan, heard))
    return RecordingError(
        f"{what}: it goes at {goes}, not at {say_bpm(past.plan.bpm)}.",
        f"Listen to it with --tempo {goes}.",
    )


def _title(past: PastRun, path: Path, told: HeardRecording) -> str:
    """Say what was listened to."""
    minutes, seconds = divmod(round(told.lasts), SECONDS_PER_MINUTE)
    return f"{_page(past)}, from {plain_words(path.name)} ({minutes}:{seconds:02})"


def _page(past: PastRun) -> str:
    """Say what it is held against."""
    bars = say_bars(past.segment.from_bar, past.segment.to_bar)
    return f"{past.part.title}, {bars} at {say_bpm(past.plan.bpm)}"


def _keep(past: PastRun, heard: Heard, path: Path, telling: TellingSettings) -> str:
    """Put the run into the log, unless it is there; give what there is to say of it."""
    if is_other_tempo(heard, telling):
        what = f"“{plain_words(path.name)}” is not kept in the log"
        raise _other_tempo(past, heard, what)
    if heard.told_against is ToldAgainst.OWN_AVERAGE:
        silent = replace(past.wishes.click, is_sounding=False)
        past.set_wishes(replace(past.wishes, click=silent))
    note = f"heard in {plain_words(path.name)}"
    kept = past.find_kept(note)
    if kept is None:
        marks = heard_marks(past.plan, heard, telling)
        run = past.keep(heard, marks, note, telling)
        return f"Kept in the log as run {run.id}: {say_outcome(run)}."
    return f"It is in the log already, as run {kept.id}; not kept again."


class _Progress:
    """Shows how far the listening is, where somebody watches."""

    def __init__(self) -> None:
        self._is_watched = sys.stderr.isatty()
        self._shown = -1

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def __exit__(self, *_: object) -> None:
        """Leave nothing of it on the line."""
        if self._shown >= 0:
            sys.stderr.write("\r\x1b[K")

    def __call__(self, share: float) -> None:
        """Show the share that is done, in the place of the one before."""
        percent = int(share * PERCENT)
        if self._is_watched and percent > self._shown:
            self._shown = percent
            sys.stderr.write(f"\rlistening … {percent} %")
            sys.stderr.flush()
