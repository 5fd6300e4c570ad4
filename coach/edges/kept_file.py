"""A small file of the player's folder that keeps things by their names, as JSON."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path
from typing import Any


def read_kept(path: Path) -> dict[str, Any]:
    """Give all that is kept: nothing where the file is damaged or not there."""
    with suppress(OSError, ValueError, RecursionError):
        kept = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(kept, dict):
            return kept
    return {}
