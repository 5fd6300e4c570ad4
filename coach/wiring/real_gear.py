"""Gear as the gear screen shows and changes it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from coach.config import read_settings
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_choice, read_pedals, write_choice
from coach.errors import GearError
from coach.rehearsal.click.bars_of_four import lay_bars
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.gear.gear_choice import ANY, GearChoice
from coach.screens.studio import Calibration, GearReport
from coach.screens.studio import GearChoice as Choice

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.rehearsal.gear import gear
    from coach.rehearsal.gear.gear import ClickPlayer, PedalAction

MS = 1000.0
PATIENCE_S = 5.0
"""How long the engine may take to look at its gear: a sound device takes seconds."""

WAYS = ("auto", "on", "off")
"""Built-in sound: when no MIDI port is open, always, never."""


def read_gear(player: ClickPlayer) -> GearReport:
    """Look at all gear."""
    if not isinstance(player, EngineLink):
        return GearReport((), player.says)
    player.wait_until_ready(PATIENCE_S)
    found, choice = player.ask(PATIENCE_S), read_choice()
    if found is None:
        return GearReport((), player.says, notices=("The engine does not answer.",))
    return GearReport(
        choices=_choices(found, choice),
        click=player.says,
        latency_ms=found.latency * MS if found.sound else None,
        pedal=tuple(
            (action, str(message))
            for action, message in read_pedals().messages().items()
        ),
        notices=found.remarks,
    )


def choose_gear(player: ClickPlayer, kind: str, option: str) -> None:
    """Use something from now on, and remember it; an empty option for none."""
    choice = choose(read_choice(), kind, option)
    write_choice(choice)
    if isinstance(player, EngineLink):
        player.choose(choice, read_pedals())


def choose(choice: GearChoice, kind: str, option: str) -> GearChoice:
    """Give a choice of gear with one thing chosen anew."""
    match kind:
        case "click":
            return replace(choice, midi_out=option)
        case "pedal":
            return replace(choice, midi_in=option)
        case "microphone":
            return replace(choice, microphone=option)
        case "sound" if option in ("", *WAYS):
            return replace(choice, sound=option or "off", sound_out="")
        case "sound":
            return replace(choice, sound="on", sound_out=option)
    raise GearError(f"There is no gear of the kind “{kind}”.")


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
    """Play a bar of clicks."""
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
    made = measure(player, PATIENCE_S, go_on)
    if made is None:
        return None
    return Calibration(
        round_trip_ms=made.whole * MS,
        spread_ms=made.trip.spread * MS,
        heard=made.trip.heard,
        played=made.played,
        output=made.output,
        microphone=made.microphone,
    )


def _choices(found: gear.GearReport, choice: GearChoice) -> tuple[Choice, ...]:
    """Lay out what can be chosen, and what is."""
    sound = choice.sound_out if choice.sound == "on" else ""
    return (
        Choice("click", "MIDI port", found.midi_outs, choice.midi_out),
        Choice(
            "sound", "built-in sound", (*WAYS, *found.sound_outs), sound or choice.sound
        ),
        Choice("microphone", "microphone", found.microphones, choice.microphone),
        Choice("pedal", "pedal from", (ANY, *found.midi_ins), choice.midi_in),
    )
