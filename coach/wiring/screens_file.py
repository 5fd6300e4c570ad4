"""What the screens remember, in the player's file: read before the first picture."""

from __future__ import annotations

from dataclasses import asdict, replace

from coach.config import read_player_file, read_settings, write_player_file
from coach.screens.remembered import ScreenFacts

TABLE = "screens"


def read_screen_facts() -> ScreenFacts:
    """Read what the screens remember; one who set up by command is set up too."""
    known = read_settings(ScreenFacts, "screens")
    is_set_up = known.is_set_up or "player" in read_player_file()
    return replace(known, is_set_up=is_set_up)


def write_screen_facts(facts: ScreenFacts) -> None:
    """Keep what the screens remember."""
    file = read_player_file()
    screens = {**file.get(TABLE, {}), **asdict(facts)}
    write_player_file({**file, TABLE: screens})
