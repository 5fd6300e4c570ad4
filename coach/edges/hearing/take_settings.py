"""What becomes of the sound of a run: settings, which load nothing."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from coach.config import home, read_player_file, read_settings, write_player_file
from coach.errors import RecordingError
from coach.planning.naming import say_count
from coach.rehearsal.gear.gear_choice import TakeChoice

FOLDER = "takes"
"""Where takes are kept, in the player's folder."""

MEGABYTE = 1_000_000


@dataclass(frozen=True, slots=True)
class TakeSettings:
    """What becomes of takes: ``[takes]`` in ``config/recordings.toml``."""

    listens: bool
    """Runs are heard unless the player says otherwise."""

    keeps: bool
    """Each take is kept as a file."""

    tail_s: float
    """How long a take goes on after the last note."""

    patience_s: float
    """How long the end of a take is waited for."""

    nearest_s: float
    """A stamp nearer than this to the time that is heard is run time."""


def write_take_settings(**changes: bool) -> None:
    """Remember whether runs are heard, and whether takes are kept."""
    write_recording_settings("takes", **changes)


def write_recording_settings(table: str, **changes: bool | str) -> None:
    """Remember settings of one table of ``config/recordings.toml``."""
    file = read_player_file()
    known = dict(file.get("recordings", {}))
    known[table] = {**known.get(table, {}), **changes}
    write_player_file({**file, "recordings": known})


def say_takes() -> str:
    """Say whether runs are heard, and what becomes of takes: where and how large."""
    choice = read_take_choice()
    hearing, takes = choice.options()
    there = f"; {choice.kept}" if choice.kept else ""
    return f"Runs are heard: {hearing.chosen}; takes: {takes.chosen}{there}"


def read_take_choice() -> TakeChoice:
    """Read whether runs are heard, and what is kept of them."""
    settings, files = read_take_settings(), kept_takes()
    kept = f"{_count(files)} in {takes_folder()}" if files else ""
    return TakeChoice(settings.listens, settings.keeps, kept)


def _count(files: list[Path]) -> str:
    """Say how many takes there are, and how large."""
    size = sum(file.stat().st_size for file in files) / MEGABYTE
    return f"{say_count(len(files), 'take')}, {size:.1f} MB,"


def takes_folder() -> Path:
    """Give the folder that takes are kept in; it may not be there yet."""
    return home() / FOLDER


def take_path(run_id: int) -> Path:
    """Give the file that the take of a run is kept in, if it is."""
    return takes_folder() / f"run-{run_id}.wav"


def throw_takes_away() -> str:
    """Take all kept takes off the disk; say how many there were and how large."""
    files = kept_takes()
    said = f"{_count(files)} thrown away." if files else "No take is kept."
    try:
        for file in files:
            file.unlink()
    except OSError as error:
        raise RecordingError(
            f"{error.filename} cannot be thrown away: {error.strerror}.",
            "Check the rights of the folder.",
        ) from error
    return said


def kept_takes() -> list[Path]:
    """List the takes that are kept."""
    return sorted(takes_folder().glob("run-*.wav"))


def read_take_settings() -> TakeSettings:
    """Read what becomes of the sound of a run."""
    return read_settings(TakeSettings, "recordings", "takes")
