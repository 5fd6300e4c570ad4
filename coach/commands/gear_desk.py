"""Gear as the gear screen shows and changes it."""

from __future__ import annotations

from dataclasses import replace

from coach.config import read_settings
from coach.edges.chosen_gear import read_choice, read_pedals, write_choice
from coach.edges.engine_link import EngineLink
from coach.rehearsal.clicks import Click, ClickSettings, ClickTrack, SoundKind
from coach.rehearsal.gear import ClickPlayer, PedalAction
from coach.score.tempo import Seconds
from coach.screens.studio import GearChoice, GearReport

MS = 1000.0
PATIENCE_S = 3.0
"""How long the engine may take to look at its gear."""

BEATS_IN_BAR = 4
BAR_S = 2.0
"""The bar that is played to hear the click."""


def read_gear(player: ClickPlayer) -> GearReport:
    """Look at all gear."""
    if not isinstance(player, EngineLink):
        return GearReport((), player.says)
    player.wait_until_ready(PATIENCE_S)
    found, choice = player.ask(PATIENCE_S), read_choice()
    if found is None:
        return GearReport((), player.says, notices=("The engine does not answer.",))
    return GearReport(
        choices=(
            GearChoice("click", "MIDI port", found.midi_outs, choice.midi_out),
            GearChoice("sound", "built-in sound", ("auto", "on", "off"), choice.sound),
            GearChoice("pedal", "pedal from", ("any", *found.midi_ins), choice.midi_in),
        ),
        click=player.says,
        latency_ms=found.latency * MS,
        pedal=tuple(
            (action, str(message))
            for action, message in read_pedals().messages().items()
        ),
        notices=found.remarks,
    )


def choose_gear(player: ClickPlayer, kind: str, option: str) -> None:
    """Use something from now on, and remember it."""
    fields = {"click": "midi_out", "sound": "sound", "pedal": "midi_in"}
    choice = replace(read_choice(), **{fields[kind]: option})
    write_choice(choice)
    if isinstance(player, EngineLink):
        player.choose(choice, read_pedals())


def learn_pedal(player: ClickPlayer, action: PedalAction) -> None:
    """Take the next thing that the pedal sends for an action."""
    if isinstance(player, EngineLink):
        player.learn(action)


def play_bar(player: ClickPlayer) -> None:
    """Play a bar of clicks."""
    settings = read_settings(ClickSettings, "click", "track")
    beat_s = Seconds(BAR_S / BEATS_IN_BAR)
    clicks = tuple(
        Click(
            due=Seconds(k * beat_s),
            length=Seconds(settings.click_length_s),
            kind=SoundKind.ACCENT if k == 0 else SoundKind.BEAT,
            channel=settings.click_channel,
            key=settings.accent_key if k == 0 else settings.beat_key,
            velocity=settings.accent_velocity if k == 0 else settings.beat_velocity,
            bar=1,
            beat=k + 1,
        )
        for k in range(BEATS_IN_BAR)
    )
    player.play(ClickTrack(clicks, starts=Seconds(0.0), ends=Seconds(BAR_S)))
