"""Keep what was read of a score, so that a known etude opens at once.

A file of the cache is a line with the digest of what follows it, and JSON.  It is
named after the source's content, the part and everything that the reading depends
on, so it never needs to be thrown away for being old.  One that is damaged, or that
cannot be written, is as good as none.
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from tempfile import mkstemp

from coach import __version__
from coach.config import home, read_settings
from coach.edges.scores.score_columns import Columns

FORMAT_VERSION = 27
"""Goes up when the columns or the reading change."""


@dataclass(frozen=True, slots=True)
class CacheSettings:
    """The keys of ``[cache]`` in scores.toml."""

    kept_count: int
    """Files that are kept; the oldest go first."""


def cache_path(content: bytes, *reading: object) -> Path:
    """Name the file for a source and for all that its reading depends on."""
    depends = repr((FORMAT_VERSION, __version__, *reading))
    source = sha256(content).hexdigest()[:32]
    return home() / "cache" / f"{source}-{_digest(depends)[:16]}.json"


def load(path: Path) -> Columns | None:
    """Give what is kept; None if there is nothing, or it is damaged."""
    try:
        digest, _, body = path.read_text(encoding="utf-8").partition("\n")
        if digest != _digest(body):
            return None
        columns = json.loads(body)
    except (OSError, ValueError, RecursionError):
        return None
    return columns if isinstance(columns, dict) else None


def store(path: Path, columns: Columns) -> None:
    """Keep something, whole or not at all; a full or read-only disk is no error."""
    body = json.dumps(columns, separators=(",", ":"))
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, fresh = mkstemp(dir=path.parent, suffix=".new")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(f"{_digest(body)}\n{body}")
            Path(fresh).replace(path)
        finally:
            Path(fresh).unlink(missing_ok=True)
        _throw_away_oldest(path.parent)


def _digest(text: str) -> str:
    """Give the fingerprint of a text."""
    return sha256(text.encode()).hexdigest()


def _throw_away_oldest(folder: Path) -> None:
    """Keep the cache from growing without end."""
    most = read_settings(CacheSettings, "scores", "cache").kept_count
    files = [(file.stat().st_mtime, file) for file in folder.glob("*.json")]
    for _, file in sorted(files)[: max(0, len(files) - most)]:
        file.unlink(missing_ok=True)
