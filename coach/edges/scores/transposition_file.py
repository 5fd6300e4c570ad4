"""How far each etude is moved from what is written, in a file of the player's.

A file that is damaged is as good as none: the etudes are then as they are written.
"""

from __future__ import annotations

import json
from pathlib import Path

from coach.config import home, write_whole
from coach.edges.kept_file import read_kept
from coach.errors import CoachError, what_to_do
from coach.planning.transposing import MOST_SEMITONES
from coach.score.etude_key import EtudeKey


def read_transposition(etude: EtudeKey) -> int:
    """Give how many semitones an etude is moved; 0 where nothing is kept."""
    return _read().get(etude.fingerprint, 0)


def keep_transposition(etude: EtudeKey, semitones: int) -> None:
    """Keep how far an etude is moved; 0 forgets it."""
    kept = _read()
    if kept.get(etude.fingerprint, 0) == semitones:
        return
    kept[etude.fingerprint] = semitones
    moved = {name: by for name, by in kept.items() if by}
    path = _path()
    try:
        write_whole(path, json.dumps(moved, indent=1))
    except OSError as error:
        raise CoachError(
            f"How far the etude is moved cannot be kept in {path}: {error.strerror}.",
            what_to_do(error),
        ) from error


def _path() -> Path:
    return home() / "transposed.json"


def _read() -> dict[str, int]:
    """Give all that is kept and makes sense."""
    return {
        name: by
        for name, by in read_kept(_path()).items()
        if type(by) is int and abs(by) <= MOST_SEMITONES
    }
