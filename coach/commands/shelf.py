"""The shelf of etudes: shipped ones and the player's own, with what the log tells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor, wait
from functools import partial
from math import inf
from pathlib import Path

from coach.config import shipped
from coach.edges import etude_shelf
from coach.edges.score_files import read_part
from coach.errors import CoachError
from coach.rehearsal.run import EtudeSummary
from coach.score.phrase import Part
from coach.screens.studio import Etude, Folder, FolderEntry

READERS = 2
"""Scores read side by side the first time: each is a process of its own."""

PATIENCE_S = 1.0
"""Known etudes are all there by then, and stand in order."""


def list_etudes(summaries: Mapping[str, EtudeSummary]) -> Iterator[Etude]:
    """Give every etude: rehearsed last first, then the slowest fingers first.

    Where scores must still be read, each comes as soon as it is, by name.
    """
    paths = etude_shelf.list_etudes()
    with ThreadPoolExecutor(READERS) as readers:
        reading = [readers.submit(_read, path) for path in paths]
        if not wait(reading, timeout=PATIENCE_S).not_done:
            parts = [job.result() for job in reading]
            known = sorted(
                zip(paths, parts, strict=True), key=partial(_order, summaries)
            )
            yield from (describe(path, part, summaries) for path, part in known)
            return
        for path, job in zip(paths, reading, strict=True):
            yield describe(path, job.result(), summaries)


def describe(
    path: Path, part: Part | CoachError, summaries: Mapping[str, EtudeSummary]
) -> Etude:
    """Describe one etude; one that cannot be read is listed with its problem."""
    is_shipped = path.is_relative_to(shipped("etudes"))
    if isinstance(part, CoachError):
        return Etude(path.stem, str(path), problem=str(part), is_shipped=is_shipped)
    summary = summaries.get(part.title)
    lowest, highest = _range(part)
    return Etude(
        title=part.title,
        path=str(path),
        key=part.key_name,
        metre=str(part.bars[0].metre),
        lowest=lowest,
        highest=highest,
        bars=part.bar_count,
        beat_quarters=part.tempo.beat,
        goal_bpm=part.tempo.bpm,
        hardest=_hardest(summary),
        last_run=summary.last_run if summary else None,
        best_clean_bpm=summary.clean_bpm if summary else None,
        is_shipped=is_shipped,
    )


def take_in(path: str, summaries: Mapping[str, EtudeSummary]) -> Etude:
    """Copy a score into the player's own folder."""
    kept = etude_shelf.import_etude(Path(path).expanduser())
    return describe(kept, read_part(kept), summaries)


def look_into(path: str) -> Folder:
    """Show a folder to choose a score from."""
    folder = Path(path).expanduser().resolve() if path else Path.home()
    try:
        inside = sorted(folder.iterdir(), key=lambda entry: entry.name.casefold())
        entries = [
            FolderEntry(entry.name, str(entry), is_folder=entry.is_dir())
            for entry in inside
            if not entry.name.startswith(".")
            and (entry.is_dir() or entry.suffix.lower() in etude_shelf.ENDINGS)
        ]
    except OSError as error:
        raise CoachError(
            f"The folder {folder} cannot be opened: {error.strerror}.",
            "Choose another.",
        ) from error
    entries.sort(key=lambda entry: not entry.is_folder)
    return Folder(str(folder), str(folder.parent), tuple(entries))


def _range(part: Part) -> tuple[str, str]:
    """Name the lowest and the highest note as written."""
    pitches = sorted((note.written for note in part.notes), key=lambda p: p.midi)
    return str(pitches[0]), str(pitches[-1])


def _hardest(summary: EtudeSummary | None) -> str:
    """Name the spot that goes wrong most."""
    if summary is None or summary.hardest_bar is None:
        return ""
    return f"bar {summary.hardest_bar}"


def _read(path: Path) -> Part | CoachError:
    """Read a score, or give what is wrong with it."""
    try:
        return read_part(path)
    except CoachError as error:
        return error


def _order(
    summaries: Mapping[str, EtudeSummary], etude: tuple[Path, Part | CoachError]
) -> tuple[float, float]:
    """Put what was rehearsed last first, then what has the fewest notes a second."""
    _, part = etude
    if isinstance(part, CoachError):
        return (0.0, inf)
    summary = summaries.get(part.title)
    lasts = part.tempo_map.seconds_at(part.end) - part.tempo_map.seconds_at(part.start)
    when = -summary.last_run.timestamp() if summary else 0.0
    return (when, len(part.notes) / lasts)
