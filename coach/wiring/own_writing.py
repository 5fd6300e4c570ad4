"""Own etudes in the hands of the screens and of the player's editor."""

from __future__ import annotations

import re
from pathlib import Path

from coach.edges.scores.given_words import give_title
from coach.edges.scores.own_etudes import (
    keep_place,
    open_own,
    own_path,
    read_place,
    rename_own,
    renamed,
    save_own,
)
from coach.planning.instrument.instrument import Instrument
from coach.score.abc.new_tune import new_tune
from coach.screens.write.write_needs import OwnText

TITLE = re.compile(r"^T:.*$", re.M)


def open_text(name: str, instrument: Instrument) -> OwnText:
    """Open an own etude; one that is not there begins in the player's clef."""
    path = own_path(name)
    fresh = new_tune(path.stem, instrument.clef, instrument.transposition)
    return OwnText(str(path), open_own(path, fresh), read_place(path))


def save_text(own: OwnText) -> None:
    """Write an own etude, and remember where the cursor is."""
    path = Path(own.path)
    save_own(path, own.text)
    keep_place(path, own.place)


def rename(path: Path, name: str, *, has_runs: bool) -> Path:
    """Give an own etude another name, and another title too unless it has runs.

    Runs are kept under the title: one that has runs keeps it.
    """
    new = renamed(path, name)
    rename_own(path, new)
    if has_runs:
        return new
    text = open_own(new, "") if new.suffix == ".abc" else ""
    if TITLE.search(text):
        save_own(new, TITLE.sub(lambda _: f"T:{new.stem}", text, count=1))
    else:
        give_title(new, new.stem)
    return new
