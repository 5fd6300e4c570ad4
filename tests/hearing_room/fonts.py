"""Performances on Debian's sound fonts through FluidSynth: recorded single notes.

A slur is one sounding note bent to the next pitch.  What a font takes from its note-on
until it speaks is measured for each pitch and taken off, so that a note is heard when
it should be.
"""

from __future__ import annotations

import subprocess
import tempfile
import wave
from functools import cache
from pathlib import Path

import mido
import numpy as np

from tests.hearing_room.players import Played
from tests.hearing_room.voices import (
    LEAD_S,
    RATE_HZ,
    SPOKEN_SHARE,
    Breathful,
    Sound,
    cut_slurs,
    gate_curve,
    length_s,
    level_curve,
    pitch_curve,
    stems,
)

FOLDER = Path("/usr/share/sounds/sf2")
FONTS = {
    "fluid": FOLDER / "FluidR3_GM.sf2",
    "tim": FOLDER / "TimGM6mb.sf2",
    "opl": FOLDER / "OPL-3_FM_128M.sf2",
    "csound": FOLDER / "sf_GMbank.sf2",
}
"""Debian's fluid-soundfont-gm, timgm6mb-soundfont, opl3-soundfont, csound-soundfont."""

PROGRAMS = {
    "trombone": 57,
    "trumpet": 56,
    "tuba": 58,
    "horn": 60,
    "soprano-saxophone": 64,
    "alto-saxophone": 65,
    "tenor-saxophone": 66,
    "baritone-saxophone": 67,
    "oboe": 68,
    "bassoon": 70,
    "clarinet": 71,
    "flute": 73,
    "voice": 53,
}
"""General MIDI Level 1, programs counted from 0."""

TICKS_A_SECOND = 10_000
BEND_SEMITONES = 48
VELOCITY = 96
APART_S = 1.0


def play_font(played: Played, seed: int, font: str, program: str) -> Sound:
    """Sound a performance on a font, from run time -LEAD_S on."""
    length = length_s(played)
    whole = np.zeros(round(length * RATE_HZ))
    latency = speaking_s(font, program)
    for groups in stems(cut_slurs(played, seed)):
        if not groups:
            continue
        starts = [group.notes[0].on - latency[group.notes[0].midi] for group in groups]
        raw = _render(FONTS[font], PROGRAMS[program], groups, starts)
        raw = np.pad(raw, (0, max(0, len(whole) - len(raw))))
        for group, start in zip(groups, starts, strict=True):
            begin = max(0, round((start - 0.005 + LEAD_S) * RATE_HZ))
            end = min(
                len(whole), round((group.notes[-1].off + 0.02 + LEAD_S) * RATE_HZ)
            )
            times = np.arange(begin, end) / RATE_HZ - LEAD_S
            gain = 10.0 ** (level_curve(group, times) / 20.0)
            whole[begin:end] += (
                raw[begin:end] * gain * gate_curve(group, times, start - 0.005)
            )
    return whole


@cache
def speaking_s(font: str, program: str) -> dict[int, float]:
    """Measure how long each pitch takes to come within 10 dB of its height."""
    keys = range(21, 109)
    tick = TICKS_A_SECOND
    messages = [(0, mido.Message("program_change", program=PROGRAMS[program]))]
    for k, key in enumerate(keys):
        at = round((0.2 + k * APART_S) * tick)
        messages.append((at, mido.Message("note_on", note=key, velocity=VELOCITY)))
        messages.append(
            (at + round(0.5 * tick), mido.Message("note_off", note=key, velocity=0))
        )
    sound = _synthesise(FONTS[font], messages)
    latency = {}
    for k, key in enumerate(keys):
        a = round((0.2 + k * APART_S) * RATE_HZ)
        piece = sound[a - 2000 : a + round(0.45 * RATE_HZ)]
        power = np.convolve(piece**2, np.hanning(441) / np.hanning(441).sum(), "same")
        height = np.median(
            power[2000 + round(0.06 * RATE_HZ) : 2000 + round(0.25 * RATE_HZ)]
        )
        reached = np.flatnonzero(power[1500:] >= SPOKEN_SHARE**2 * height)
        latency[key] = (
            float(reached[0] - 500) / RATE_HZ if len(reached) and height > 0 else 0.0
        )
    return latency


def _render(
    font: Path, program: int, groups: list[Breathful], starts: list[float]
) -> Sound:
    """Let FluidSynth play one stem."""
    messages = [(0, mido.Message("program_change", program=program))]
    for control, value in ((101, 0), (100, 0), (6, BEND_SEMITONES), (38, 0)):
        messages.append(
            (0, mido.Message("control_change", control=control, value=value))
        )
    for group, start in zip(groups, starts, strict=True):
        first, last = group.notes[0], group.notes[-1]
        times = np.arange(start - 0.002, last.off + 0.02, 0.001)
        bends = np.round(
            (pitch_curve(group, times) - first.midi) / BEND_SEMITONES * 8192
        )
        bends = np.clip(bends, -8192, 8191).astype(int)
        before = None
        for time, bend in zip(times, bends, strict=True):
            if bend != before:
                messages.append(
                    (_tick(time), mido.Message("pitchwheel", pitch=int(bend)))
                )
                before = bend
        on = mido.Message("note_on", note=first.midi, velocity=VELOCITY)
        messages.append((_tick(start), on))
        off = mido.Message("note_off", note=first.midi, velocity=0)
        messages.append((_tick(last.off + 0.012), off))
    return _synthesise(font, messages)


def _tick(time: float) -> int:
    """Turn run time into ticks of the file."""
    return max(0, round((time + LEAD_S) * TICKS_A_SECOND))


def _synthesise(font: Path, messages: list[tuple[int, mido.Message]]) -> Sound:
    """Render messages at ticks to a mono sound."""
    track, now = mido.MidiTrack(), 0
    for at, message in sorted(messages, key=lambda pair: pair[0]):
        track.append(message.copy(time=at - now))
        now = at
    file = mido.MidiFile(ticks_per_beat=TICKS_A_SECOND // 2)
    file.tracks.append(track)
    with tempfile.TemporaryDirectory() as folder:
        midi, sound = Path(folder, "in.mid"), Path(folder, "out.wav")
        file.save(midi)
        subprocess.run(
            [
                *("fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.4"),
                *("-r", str(RATE_HZ), "-O", "s16", "-T", "wav", "-F", str(sound)),
                *(str(font), str(midi)),
            ],
            check=True,
            capture_output=True,
        )
        with wave.open(str(sound)) as reader:
            data = np.frombuffer(reader.readframes(reader.getnframes()), dtype="<i2")
    return np.asarray(data.reshape(-1, 2).mean(axis=1) / 32768.0)
