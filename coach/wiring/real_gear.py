"""Gear as the gear screen shows and changes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coach.config import read_settings
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_choice, read_pedals, write_choice
from coach.edges.hearing.follow_choice import read_follow_wishes, write_follow_choice
from coach.edges.hearing.take_settings import (
    read_take_choice,
    throw_takes_away,
    write_take_settings,
)
from coach.errors import GearError
from coach.rehearsal.click.bars_of_four import lay_bars
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.gear.gear_choice import (
    FOLLOW_SAYS,
    KEEP_EACH,
    ON,
    START_WAYS,
    THROW_AWAY,
    GearNow,
    choose,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.rehearsal.gear.gear import ClickPlayer, PedalAction
    from coach.rehearsal.hearing.calibration import Calibration

PATIENCE_S = 5.0
"""How long the engine may take to look at its gear: a sound device takes seconds."""


def read_gear(player: ClickPlayer) -> GearNow:
    """Look at all gear."""
    if not isinstance(player, EngineLink):
        return GearNow(player.says, read_choice(), read_pedals())
    player.wait_until_ready(PATIENCE_S)
    found = player.ask(PATIENCE_S)
    return GearNow(
        click=player.says,
        choice=read_choice(),
        pedals=read_pedals(),
        found=found,
        notices=found.remarks if found else ("The engine does not answer.",),
        takes=read_take_choice(),
        following=read_follow_wishes(),
    )


def choose_gear(player: ClickPlayer, kind: str, option: str) -> None:
    """Use something from now on, and remember it; an empty option for none."""
    if kind == "hearing":
        write_take_settings(listens=option == ON)
        return
    if kind == "takes":
        _choose_takes(option)
        return
    if kind == "start_by":
        write_follow_choice(start_by=START_WAYS[option])
        return
    if kind in FOLLOW_SAYS:
        write_follow_choice(**{kind: option == ON})
        return
    choice = choose(read_choice(), kind, option)
    write_choice(choice)
    if isinstance(player, EngineLink):
        player.choose(choice, read_pedals())


def _choose_takes(option: str) -> None:
    """Keep recordings of runs, or none, or throw those away that are kept."""
    if option.startswith(THROW_AWAY):
        throw_takes_away()
    else:
        write_take_settings(keeps=option == KEEP_EACH)


def learn_pedal(player: ClickPlayer, action: PedalAction) -> None:
    """Take the next thing that the pedal sends for an action."""
    if not isinstance(player, EngineLink):
        raise GearError("Nothing listens to a pedal.", "Start without --silent.")
    player.learn(action)


def listen_to_room(player: ClickPlayer, wanted: bool) -> None:
    """Hear the microphone's level, or let it go."""
    if isinstance(player, EngineLink):
        player.listen_to_room(wanted)


def play_bar(player: ClickPlayer) -> None:
    """Play a bar of clicks, if anything can sound."""
    found = player.ask(PATIENCE_S) if isinstance(player, EngineLink) else None
    if found is None or not (found.midi_out or found.sound):
        raise GearError(
            "Nothing here can sound a click.",
            "Choose a MIDI port or a sound device, or plug one in: r looks for it.",
        )
    player.play(lay_bars(1, 1, read_settings(ClickSettings, "click", "track")))


def calibrate(
    player: ClickPlayer, go_on: Callable[[float], bool]
) -> Calibration | None:
    """Measure how late the microphone hears the click, and keep it."""
    # Here, so that the gear is shown before all that measures it is loaded.
    from coach.wiring.gear_check import calibrate as measure

    if not isinstance(player, EngineLink):
        raise GearError(
            "Nothing sounds, so nothing is heard.", "Start without --silent."
        )
    return measure(player, go_on)
