"""How well the ear hears real players: three short clips, marked by hand.

Run it by hand, with Debian's package gcompris-qt-data installed (or unpacked anywhere:
name its ``instruments.rcc``)::

    uv run python -m tests.benchmarks.hearing_real_clips [FILE]

Marks, their source and how they were made are in ``real_clip_marks.toml``.  The page
that the ear is given has the keys, and times on a grid of 0.15 s, so up to 75 ms off;
the clip gets half a second of faint noise before and after it, since a run begins in a
room.  Scored by mir_eval: raw, and with one common shift, since where a note begins is
a matter of definition (both kinds of figures, as Mounir et al. ask for).
"""

from __future__ import annotations

import io
import struct
import sys
import tomllib
from pathlib import Path

import numpy as np
import soundfile

from coach.rehearsal.hearing.due_part import DueNote, DuePart
from coach.rehearsal.hearing.take import Sounding, Take
from coach.score.tempo import Seconds
from tests.benchmarks.hearing_baselines import Numbers, errors_of, f1, ours

INSTALLED = Path("/usr/share/gcompris-qt/rcc/instruments.rcc")
MARKS = Path(__file__).with_name("real_clip_marks.toml")
GRID_S = 0.15
ROOM_S = 0.5
FAINT = 1e-3
"""60 dB under full scale."""

NODE = struct.Struct(">IHIIQ")
IS_FOLDER = 2


def read_clips(path: Path) -> dict[str, bytes]:
    """Read the sound files of a Qt resource file of version 3, by their names.

    Its tree is a table of nodes: name, flags, then count and first child of a folder,
    or language and place of a file's bytes.
    """
    raw = path.read_bytes()
    magic, version, tree, data, names = struct.unpack_from(">4sIIII", raw)
    assert (magic, version) == (b"qres", 3), f"{path} is no resource file of version 3"

    def name_of(place: int) -> str:
        (length,) = struct.unpack_from(">H", raw, names + place)
        return raw[names + place + 6 : names + place + 6 + 2 * length].decode(
            "utf-16-be"
        )

    clips, left = {}, [0]
    while left:
        index = left.pop()
        place, flags, one, two, _ = NODE.unpack_from(raw, tree + index * NODE.size)
        if flags & IS_FOLDER:
            left += range(two, two + one)
            continue
        (size,) = struct.unpack_from(">I", raw, data + two)
        clips[name_of(place)] = raw[data + two + 4 : data + two + 4 + size]
    return clips


def page_of(times: Numbers, keys: list[int]) -> DuePart:
    """Write the page of a clip: its keys, on a grid."""
    due = np.round(times / GRID_S) * GRID_S
    ends = [*due[1:], due[-1] + 4 * GRID_S]
    return DuePart(
        tuple(
            DueNote(Seconds(at), Seconds(end), Seconds(end), key, 0.0)
            for at, end, key in zip(due.tolist(), ends, keys, strict=True)
        ),
        beat=Seconds(4 * GRID_S),
    )


def take_of(clip: bytes) -> Take:
    """Put a clip into a faint room; of two channels the mean."""
    samples, rate_hz = soundfile.read(io.BytesIO(clip), always_2d=True)
    sound = samples.mean(axis=1)
    room = round(ROOM_S * rate_hz)
    noise = np.random.default_rng(1).normal(0.0, FAINT, len(sound) + 2 * room)
    noise[room : room + len(sound)] += sound
    return Take(noise.astype(np.float32), float(rate_hz), Sounding())


def main() -> None:
    """Print a row for each clip, and one for all."""
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else INSTALLED
    if not path.exists():
        print(f"{path} is not there: apt-get install gcompris-qt-data, or name it.")
        return
    clips, every = read_clips(path), []
    for name, marks in tomllib.loads(MARKS.read_text(encoding="utf-8")).items():
        first, second = np.array(marks["first"]), np.array(marks["second"])
        true = (first + second) / 2 + ROOM_S
        take = take_of(clips[f"{name}.ogg"])
        told = ours(take, page_of((first + second) / 2, marks["keys"]), 0.0)
        errors = errors_of(true, told)
        shift = float(np.median(errors)) if len(errors) else 0.0
        row = [
            f1(true, told - off, window) for off in (0.0, shift) for window in WINDOWS
        ]
        every.append((len(true), row))
        apart = np.abs(first - second) * 1000
        print(
            f"{name}: {len(true)} notes, {len(told)} told; F1 50/25 ms "
            f"{row[0]:.3f} {row[1]:.3f}, shifted {row[2]:.3f} {row[3]:.3f}; "
            f"median {shift * 1000:+.1f} ms; the two markings "
            f"{np.median(apart):.0f} ms apart, at most {apart.max():.0f}, "
            f"F1 at 25 ms {f1(first, second, 0.025):.3f}"
        )
    total = sum(count for count, _ in every)
    means = [sum(n * row[k] for n, row in every) / total for k in range(4)]
    print(f"all, by notes ({total}): " + " ".join(f"{mean:.3f}" for mean in means))


WINDOWS = (0.05, 0.025)

if __name__ == "__main__":
    main()
