"""The shelf of etudes: shipped ones and the player's own, with what the log tells."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, wait
from contextlib import suppress
from datetime import UTC, datetime
from functools import partial
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING

from coach.config import player_name, read_settings, shipped
from coach.edges.left_folders import clear_left_folders
from coach.edges.scores import etude_shelf
from coach.errors import CoachError
from coach.rehearsal.review.etude_tally import Tallies
from coach.rehearsal.review.trouble import find_trouble
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.playing import Like
from coach.score.etude_key import key_of
from coach.score.page_facts import span_of
from coach.score.phrase import Part
from coach.screens.leaving.daemon_threads import DaemonThreads
from coach.screens.shelf.shelf_needs import Etude, Folder, FolderEntry
from coach.wiring.moved_etudes import open_moved

if TYPE_CHECKING:
    from coach.edges.log.run_log import RunLogFile
    from coach.edges.scores.score_process import ScoreChild

READERS = 2
"""Scores read side by side the first time, each by a process that reads several."""

PATIENCE_S = 1.0
"""Known etudes are all there by then, and stand in order."""


def _nowhere(_: Part) -> str:
    """Name no place."""
    return ""


def list_etudes(
    tallies: Tallies,
    patience_s: float | None = PATIENCE_S,
    hardest: Callable[[Part], str] = _nowhere,
) -> Iterator[Etude]:
    """Give every etude: rehearsed last first, then the slowest fingers first.

    Where scores must still be read, each comes as soon as it is, by name; without a
    limit to patience all are read first.  `hardest` names the place of an etude that
    was rehearsed where it goes wrong.
    """
    paths = etude_shelf.list_etudes()
    clear_left_folders(datetime.now(UTC).timestamp())
    reading = _read_in_turn(paths, DaemonThreads(READERS))
    try:
        if not wait(reading, timeout=patience_s).not_done:
            parts = [job.result() for job in reading]
            known = sorted(zip(paths, parts, strict=True), key=partial(_order, tallies))
            yield from (describe(path, part, tallies, hardest) for path, part in known)
            return
        for path, job in zip(paths, reading, strict=True):
            yield describe(path, job.result(), tallies, hardest)
    finally:
        for job in reading:
            job.cancel()


def describe(
    path: Path,
    part: Part | CoachError,
    tallies: Tallies,
    hardest: Callable[[Part], str] = _nowhere,
) -> Etude:
    """Describe one etude; one that cannot be read is listed with its problem."""
    is_shipped = path.is_relative_to(shipped("etudes"))
    if isinstance(part, CoachError):
        return Etude(path.stem, str(path), problem=str(part), is_shipped=is_shipped)
    tally = tallies.of(key_of(part))
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
        notes_per_s=_notes_per_s(part),
        hardest=hardest(part) if tally else "",
        last_run=tally.last_run if tally else None,
        best_clean_bpm=tally.clean_bpm if tally else None,
        is_shipped=is_shipped,
    )


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


def tell_hardest(log: RunLogFile, instrument: str) -> Callable[[Part], str]:
    """Name the place of an etude that goes wrong more often than by chance."""
    settings = read_settings(TroubleSettings, "rehearsal", "trouble")
    like, most = Like(player_name(), instrument), max(settings.windows_runs)

    def tell(part: Part) -> str:
        runs = log.list_runs(key_of(part), like=like, most=most)
        told = [run for run in runs if run.is_telling]
        spots = find_trouble(told, span_of(part), settings)
        return f"bar {spots[0].bar}" if spots else ""

    return tell


def _read_in_turn(
    paths: Sequence[Path], readers: DaemonThreads
) -> Sequence[Future[Part | CoachError]]:
    """Begin to read scores by name; each reader takes one after another."""
    reading: list[Future[Part | CoachError]] = [Future() for _ in paths]
    waiting = deque(zip(paths, reading, strict=True))
    for _ in range(READERS):
        readers.submit(_read_on, waiting)
    return reading


def _read_on(waiting: deque[tuple[Path, Future[Part | CoachError]]]) -> None:
    """Read what waits, or give what is wrong with it, until nothing waits."""
    from coach.edges.scores.score_process import ScoreChild

    with ScoreChild() as child, suppress(IndexError):
        while True:
            path, job = waiting.popleft()
            if job.set_running_or_notify_cancel():
                _read(path, child, job)


def _read(path: Path, child: ScoreChild, job: Future[Part | CoachError]) -> None:
    """Read one score."""
    try:
        job.set_result(open_moved(path, child=child))
    except CoachError as error:
        job.set_result(error)
    except Exception as error:  # noqa: BLE001  # whoever waits for the score gets it
        job.set_exception(error)


def _order(
    tallies: Tallies, etude: tuple[Path, Part | CoachError]
) -> tuple[float, float]:
    """Put what was rehearsed last first, then what has the fewest notes a second."""
    _, part = etude
    if isinstance(part, CoachError):
        return (0.0, inf)
    tally = tallies.of(key_of(part))
    when = -tally.last_run.timestamp() if tally else 0.0
    return (when, _notes_per_s(part))


def _notes_per_s(part: Part) -> float:
    """Give how many notes a second it has at the tempo of the page."""
    lasts = part.tempo_map.seconds_at(part.end) - part.tempo_map.seconds_at(part.start)
    return len(part.notes) / lasts
