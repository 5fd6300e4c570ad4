"""Whether staves are engraved: what the player wants, what the terminal can show."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.util import find_spec
from typing import TYPE_CHECKING

from coach.errors import ConfigError
from coach.wiring.screens_file import read_screen_facts

if TYPE_CHECKING:
    from coach.edges.engraving.engraver import Engraver
    from coach.edges.engraving.terminal_graphics import TerminalAnswer

WISHES = ("auto", "on", "off")
NEEDED = ("verovio", "resvg_py", "PIL")

MISSING = (
    "Engraved notes need two more packages, which this system may lack: "
    "pip install verovio resvg-py"
)
NO_GRAPHICS = "This terminal shows no pictures, so the notes are drawn in its letters."


@dataclass(frozen=True, slots=True)
class EngravingChoice:
    """How staves are drawn from now on."""

    engraver: Engraver | None = None
    """What engraves; None where staves are drawn in cells."""

    typed: str = ""
    """What the player typed while the terminal was asked."""

    words: str = ""
    """What to tell the player, once; empty for nothing."""


def choose_engraving(
    arguments: argparse.Namespace, environment: Mapping[str, str], *, is_plain: bool
) -> EngravingChoice:
    """Choose by the flag, else by the player's file; nothing is loaded in vain.

    Where the player leaves it to the coach, only terminals that are known to show
    pictures get them; of those, only one that may be too old is asked.  Where the
    player wants them, any other is asked too.  Nobody waits longer than a moment.
    """
    wish = getattr(arguments, "engraved", None) or _settled()
    if wish == "off" or (wish == "auto" and is_plain):
        return EngravingChoice()
    from coach.edges.engraving import terminal_graphics as terminal

    graphics = terminal.known_graphics(environment)
    answer: TerminalAnswer | None = None
    if graphics is None:
        is_asked = wish == "on" and not is_plain and terminal.may_show(environment)
    else:
        is_asked = terminal.may_be_too_old(environment)
    if is_asked:
        answer = terminal.ask_terminal()
        graphics = answer.graphics
    typed = answer.typed if answer is not None else ""
    if graphics is None:
        return EngravingChoice(None, typed, NO_GRAPHICS if wish == "on" else "")
    if not all(find_spec(name) for name in NEEDED):
        return EngravingChoice(None, typed, MISSING if wish == "on" else "")
    from coach.edges.engraving.engraver import Engraver

    cell = answer.cell if answer is not None else None
    return EngravingChoice(Engraver(graphics, cell), typed)


def _settled() -> str:
    """Give what the player's file says."""
    wish = read_screen_facts().engraved
    if wish not in WISHES:
        raise ConfigError(
            f"player.toml: engraved is “{wish}”.", f"Say {', '.join(WISHES)}."
        )
    return wish
