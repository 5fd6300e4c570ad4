"""How loud the microphone hears the room, as a bar and in words."""

from __future__ import annotations

from coach.rehearsal.gear.gear import LevelHeard

LOUDEST_DB = 0.0
SOFTEST_DB = -60.0
LEVEL_CELLS = 24


def say_level(level: LevelHeard, *, is_plain: bool) -> str:
    """Say how loud the microphone hears the room, as a bar and in words."""
    share = (level.level_db - SOFTEST_DB) / (LOUDEST_DB - SOFTEST_DB)
    filled = round(max(0.0, min(1.0, share)) * LEVEL_CELLS)
    bar = ("#" if is_plain else "█") * filled
    words = (
        "too loud: turn it down" if level.is_overloaded else f"{level.level_db:.0f} dB"
    )
    return f"microphone {bar:<{LEVEL_CELLS}} {words}"
