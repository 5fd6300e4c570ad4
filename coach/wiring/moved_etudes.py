"""Open an etude in the octave or key that the player has chosen for it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from coach.edges.scores.score_files import read_part
from coach.edges.scores.transposition_file import keep_transposition, read_transposition
from coach.planning.transposing import MOST_SEMITONES, transpose
from coach.score.etude_key import key_of
from coach.score.phrase import Part

if TYPE_CHECKING:
    from coach.edges.scores.score_process import ScoreChild


def open_moved(
    path: Path,
    part: str | None = None,
    asked: int | None = None,
    *,
    child: ScoreChild | None = None,
) -> Part:
    """Read a part, moved by what is asked, else by what is kept.

    What is asked is kept with the etude, 0 for the page as it is.  `child` reads the
    score if it is not known yet.
    """
    written = read_part(path, part=part, child=child)
    etude = key_of(written)
    if asked is not None:
        keep_transposition(etude, asked)
    semitones = read_transposition(etude) if asked is None else asked
    return transpose(written, semitones)


def move_further(path: Path, part: str | None, semitones: int) -> Part:
    """Move a part by so much more, and keep it so."""
    now = read_transposition(key_of(read_part(path, part=part)))
    goal = max(-MOST_SEMITONES, min(MOST_SEMITONES, now + semitones))
    return open_moved(path, part, goal)
