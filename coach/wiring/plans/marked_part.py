"""A marked part to take to the stand: the plan engraved, in a file for a browser."""

from __future__ import annotations

from pathlib import Path

from coach.config import open_whole_or_not, player_home, player_name
from coach.edges.engraving.page_engraver import engrave_pages
from coach.errors import CoachError, what_to_do
from coach.plain.paper.marked_page import MUSIC_SIZE, write_marked_page
from coach.planning.plan import Plan
from coach.screens.staff.engraved.mei_marks import write_marked_mei

FOLDER = "marked-parts"
"""Where parts lie that are marked on screen, in the player's folder."""


def keep_marked_part(plan: Plan, etude: Path) -> Path:
    """Write a marked part into the player's folder, named as its etude's file.

    Raises
    ------
    CoachError
        As of `write_marked_part`.
    """
    path = player_home() / FOLDER / f"{etude.stem}.html"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CoachError(
            f"{path.parent} cannot be made: {error.strerror}.", what_to_do(error)
        ) from error
    write_marked_part(plan, path)
    return path


def write_marked_part(plan: Plan, path: Path) -> None:
    """Write a part with breaths and positions where it can be printed.

    Raises
    ------
    CoachError
        If nothing here engraves notes, or the file cannot be written.
    """
    pages = engrave_pages(write_marked_mei(plan), MUSIC_SIZE)
    page = write_marked_page(plan, pages, player=player_name())
    try:
        with open_whole_or_not(path) as file:
            file.write(page)
    except OSError as error:
        raise CoachError(
            f"{path} cannot be written: {error.strerror}.", "Name another file."
        ) from error
