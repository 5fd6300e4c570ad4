"""How well ``coach listen`` hears each instrument of the house, over its whole range.

Run it by hand: ``uv run python -m tests.benchmarks.listened_instruments``.  For each
file of ``config/instruments``, studies between its lowest and its highest key are
written out, planned, played as planned but for the faults of a seed, recorded (20 dB of
noise, a room of 0.3 s, the click at -12 dB), saved as one kind of file after the other,
and heard by the command itself.  Sound fonts are Debian's
(`tests/hearing_room/fonts.py`); a voice whose font is not installed is left out.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import tempfile
from dataclasses import dataclass, field
from importlib import import_module
from itertools import cycle
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from coach.cli import main as coach
from coach.edges.scores.score_files import read_part
from coach.planning.edits import Edits
from coach.planning.instrument.instrument_entry import InstrumentEntry
from coach.rehearsal.hearing.due_part import due_part
from coach.wiring.instrument_files import list_instruments
from coach.wiring.player_planner import PlayerPlanner
from tests.hearing_room.fonts import FONTS, PROGRAMS, play_font
from tests.hearing_room.players import Played, perform
from tests.hearing_room.rooms import USUAL, record
from tests.hearing_room.studies import Range, Study, compose_study
from tests.hearing_room.takes import STYLES
from tests.hearing_room.voices import RATE_HZ, Sound, sing

TEMPOS = (40.0, 66.0, 92.0, 126.0, 160.0)
FILES = (
    ("wav", "PCM_16", 44_100, 1),
    ("flac", "PCM_16", 48_000, 2),
    ("wav", "FLOAT", 96_000, 2),
    ("wav", "PCM_24", 16_000, 1),
    ("flac", "PCM_24", 8_000, 1),
    ("flac", "PCM_24", 96_000, 1),
    ("wav", "PCM_24", 22_050, 2),
)
"""Ending, kind of sample, samples a second, channels."""

SOUNDS = {
    "cornet": "trumpet",
    "flugelhorn": "trumpet",
    "horn-f": "horn",
    "tenor-horn": "horn",
    "tuba-bb": "tuba",
    "tuba-c": "tuba",
    "tuba-eb": "tuba",
    "tuba-f": "tuba",
}
"""Which program of a font sounds an instrument of no program of its own; the trombone
sounds what is not named."""

WIDE_SEMITONES = 25
"""A study goes over two octaves; several go over a range that is wider."""

LOW_SHARE = 0.97
"""A take of which less is found is told of by itself."""

SECOND_CHANNEL = 0.4
"""So loud is the second of two channels against the first."""


@dataclass
class Sums:
    """What was found, over some takes."""

    played: int = 0
    told: int = 0
    at_50: int = 0
    at_25: int = 0
    false_wrong: int = 0
    false_missed: int = 0
    errors: list[float] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)

    def add(self, played: Played, told: dict[str, Any]) -> None:
        """Count what the command told of a take."""
        true = {note.note: note.on for note in played.notes}
        heard = {
            n["i"]: n["heard_s"] for n in told["notes"] if n["heard_s"] is not None
        }
        errors = [heard[k] - true[k] for k in true.keys() & heard.keys()]
        self.played += len(true)
        self.told += len(heard)
        self.at_50 += sum(abs(error) <= 0.05 for error in errors)
        self.at_25 += sum(abs(error) <= 0.025 for error in errors)
        self.errors += errors
        self.false_wrong += len(set(told["wrong"]) - set(played.wrong))
        self.false_missed += len(set(told["missed"]) - set(played.dropped))

    def row(self) -> str:
        """Say it in a line."""
        both = max(1, self.played + self.told)
        middle = np.median(np.abs(self.errors or [0.0])) * 1000
        return (
            f"F1 50/25 ms {2 * self.at_50 / both:.4f} {2 * self.at_25 / both:.4f}, "
            f"median {middle:.1f} ms, falsely wrong {self.false_wrong} missed "
            f"{self.false_missed} of {self.played}, refused {self.refused}"
        )


def reaches(entry: InstrumentEntry) -> list[Range]:
    """Cut an instrument's range into parts that a study goes over."""
    span = entry.highest - entry.lowest
    parts = -(-span // WIDE_SEMITONES)
    width = min(span, WIDE_SEMITONES)
    firsts = np.linspace(entry.lowest, entry.highest - width, parts).round()
    return [Range(int(first), int(first) + width) for first in firsts]


def write_study(path: Path, study: Study, clef: str) -> None:
    """Write a study out as it sounds."""
    m21: Any = import_module("music21")
    beat = 60.0 / study.bpm
    line, notes, at = m21.stream.Part(), [], 0.0
    line.append(m21.clef.clefFromString(clef))
    line.append(m21.meter.TimeSignature("4/4"))
    line.append(m21.tempo.MetronomeMark(number=study.bpm))
    for due in study.due.notes:
        begin, end = (
            round(4 * float(t) / beat) / 4 for t in (due.due, due.written_end)
        )
        if begin > at:
            line.append(m21.note.Rest(quarterLength=begin - at))
        notes.append(m21.note.Note(due.midi, quarterLength=end - begin))
        line.append(notes[-1])
        at = end
    for k, due in enumerate(study.due.notes):
        if due.is_slurred:
            line.insert(0, m21.spanner.Slur(notes[k - 1], notes[k]))
    line.write("musicxml", path)


def planned(path: Path, entry: InstrumentEntry, composed: Study) -> Study:
    """Write a study out, and plan it as the command will."""
    write_study(path, composed, entry.readings[0].clef)
    part, planner = read_part(path), PlayerPlanner(entry.name)
    planner.hear_whole(part)
    plan = planner.plan(part, composed.bpm, Edits())
    due, last = due_part(plan), len(composed.due.notes) - 1
    keys = [[note.midi for note in notes] for notes in (due.notes, composed.due.notes)]
    assert keys[0] == keys[1], f"{entry.name} does not sound as composed"
    ends = sorted({*(breath.after_note for breath in plan.breaths.breaths), last})
    begins = [0, *(end + 1 for end in ends[:-1])]
    return Study(due, tuple(zip(begins, ends, strict=True)), composed.bpm)


def save(sound: Sound, folder: Path, kind: tuple[str, str, int, int]) -> Path:
    """Save a recording as one kind of file."""
    ending, subtype, rate_hz, channels = kind
    count = round(len(sound) * rate_hz / RATE_HZ)
    spectrum = np.fft.rfft(sound)
    bins = np.zeros(count // 2 + 1, dtype=complex)
    kept = min(len(bins), len(spectrum))
    bins[:kept] = spectrum[:kept]
    other = np.fft.irfft(bins, count) * count / len(sound)
    other *= min(1.0, 0.9 / float(np.abs(other).max()))
    path = folder / f"take.{ending}"
    both = np.column_stack([other, SECOND_CHANNEL * other])[:, :channels]
    soundfile.write(path, both, rate_hz, subtype=subtype)
    return path


def listened(*words: str) -> dict[str, Any] | str:
    """Ask the command; give what it told, or why it refused."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = coach(["listen", *words, "--json"])
    return json.loads(out.getvalue()) if code == 0 else err.getvalue().strip()


def hear_all(entry: InstrumentEntry, voice: str, seeds: range) -> Sums:
    """Hear an instrument in every part of its range, at every tempo in turn."""
    sums, files = Sums(), cycle(FILES)
    program = SOUNDS.get(entry.name, entry.name)
    program = program if program in PROGRAMS else "trombone"
    lays = [(seed, reach) for seed in seeds for reach in reaches(entry)]
    for k, (seed, reach) in enumerate(lays):
        bpm = TEMPOS[k % len(TEMPOS)]
        composed = compose_study(seed, STYLES[seed % 3], bpm, reach, phrase_count=4)
        with tempfile.TemporaryDirectory() as name:
            path = Path(name, "study.musicxml")
            study = planned(path, entry, composed)
            played = perform(study, seed)
            dry = (
                sing(played, seed)
                if voice == "partials"
                else play_font(played, seed, voice, program)
            )
            taken = record(dry, study, played, USUAL, seed)
            kind = next(files)
            take = save(taken.samples.astype(float), Path(name), kind)
            told = listened(
                str(take), str(path), "--instrument", entry.name, "--tempo", f"{bpm:g}"
            )
        where = f"{entry.name} {voice} seed {seed} {reach} {bpm:g} {kind}"
        if isinstance(told, str):
            sums.refused.append(f"{where}: {told}")
            continue
        before = sums.at_50
        sums.add(played, told)
        if sums.at_50 - before < LOW_SHARE * len(played.notes):
            print(
                f"  {sums.at_50 - before} of {len(played.notes)} notes: {where}",
                flush=True,
            )
    return sums


def main() -> None:
    """Print a row for each instrument and voice."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="440-442", help="first-last")
    parser.add_argument("--voices", nargs="*", default=["partials", "fluid", "tim"])
    parser.add_argument("instruments", nargs="*", help="all, if none is named")
    asked = parser.parse_args()
    first, last = (int(word) for word in asked.seeds.split("-"))
    with tempfile.TemporaryDirectory() as home:
        os.environ["COACH_HOME"] = home
        for entry in list_instruments():
            if asked.instruments and entry.name not in asked.instruments:
                continue
            for voice in asked.voices:
                if voice != "partials" and not FONTS[voice].exists():
                    print(f"left out, not installed: {voice}")
                    continue
                sums = hear_all(entry, voice, range(first, last + 1))
                print(f"{entry.name}, {voice}: {sums.row()}", flush=True)


if __name__ == "__main__":
    main()
