"""A run log that can be read and not written."""

from __future__ import annotations

from pathlib import Path


def lock_away(path: Path) -> None:
    """Leave SQLite no place beside a log, as a folder without rights does."""
    nowhere = path.parent / "no" / "such" / "folder"
    path.with_name(f"{path.name}-shm").symlink_to(nowhere)
