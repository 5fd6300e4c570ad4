"""Temporary folders of ours: each is held while it is used, and cleared when left.

A folder is held by a lock on it that ends with the last process that has it open, even
one that is killed; so a folder that can be locked belongs to nobody any more.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory, gettempdir

PREFIX = "coach-reading-"
YOUNG_S = 1.0
"""A folder this young may be about to be locked."""


@contextmanager
def hold_folder() -> Iterator[tuple[str, tuple[int, ...]]]:
    """Make a folder that is held; give its name, and what a child must get to hold it.

    It goes at the end; what a kill leaves is cleared by `clear_left_folders`.
    """
    with TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as name:
        handle = _open_locked(Path(name))
        try:
            yield name, () if handle is None else (handle,)
        finally:
            if handle is not None:
                os.close(handle)


def clear_left_folders(now: float) -> None:
    """Remove folders of this user that no living process holds.

    `now` is the wall clock, in seconds since 1970, as folders are stamped.
    """
    if not hasattr(os, "getuid"):
        return
    for folder in Path(gettempdir()).glob(f"{PREFIX}*"):
        with suppress(OSError):
            about = folder.lstat()
            is_ours = about.st_uid == os.getuid() and folder.is_dir()
            if folder.is_symlink() or not is_ours or now - about.st_ctime < YOUNG_S:
                continue
            handle = _open_locked(folder)
            if handle is not None:
                shutil.rmtree(folder, ignore_errors=True)
                os.close(handle)


def _open_locked(folder: Path) -> int | None:
    """Open a folder and lock it; None where somebody has, or where nobody can."""
    try:
        import fcntl
    except ImportError:
        return None
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle
