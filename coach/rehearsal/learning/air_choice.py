"""For whose air plans are made: as learned, pinned by the player, or by the table."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player
from coach.planning.performer import Performer
from coach.rehearsal.learning.candidates import air_as
from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.learning.replaying import Whom


@dataclass(frozen=True, slots=True)
class AirChoice:
    """What the player has chosen: keys of ``[choice]`` in ``config/learning.toml``."""

    flow_from: Literal["learned", "table", "pinned"]
    """Where the flow comes from that plans are made for."""

    pinned_factor: float
    """Flow against the model's, where it is pinned."""

    since: str
    """Nothing older than this date and time is learned from; empty for all."""

    tones_on: str
    """Date on which the long tones were timed; empty where that is not known."""


@dataclass(frozen=True, slots=True)
class PlannedAir:
    """The air that plans are made for."""

    player: Player
    """Whose lungs, with the flow that plans are made for."""

    air: AirSettings
    """The model, with the player's own step of dynamics and intake."""

    says: str
    """Where that comes from, in one sentence."""


def choose_air(choice: AirChoice, table: Whom, estimate: AirEstimate) -> PlannedAir:
    """Tell for which air plans are made.

    Parameters
    ----------
    table : Whom
        The player by table and long tones, and the air model with their own tongue and
        step of dynamics, where these were timed: what was learned is held against it.

    Returns
    -------
    PlannedAir
        As the table has it where nothing has been learned yet.  Long tones tell the
        flow as runs do, and nothing of all else.
    """
    player = table.player
    if choice.flow_from == "pinned":
        return PlannedAir(
            player=_known(player, choice.pinned_factor),
            air=table.air,
            says=f"Plans are made for {choice.pinned_factor:.2f} of the model's flow: "
            "you have pinned it.",
        )
    runs = estimate.ran_out + estimate.completed
    if choice.flow_from == "table" or not estimate.days:
        is_chosen = choice.flow_from == "table"
        basis = "you chose so" if is_chosen else "nothing has been learned yet"
        return PlannedAir(
            player=player,
            air=table.air,
            says=f"Plans are made for {player.flow_scale:.2f} of the model's flow, by "
            f"table and long tones: {basis}.",
        )
    why = (
        "no further until other days show it too: some are bad ones, with cold lips or "
        "breaths that are not full"
        if estimate.waits
        else "in the upper part of that band, so that the air lasts on most days"
    )
    learned = air_as(table.air, estimate.step_power, estimate.fill_factor)
    return PlannedAir(
        player=_known(player, estimate.aim),
        air=learned if runs else table.air,
        says=f"Plans are made for {estimate.aim:.2f}, {why}."
        f"{_say_doubt(player, estimate)}",
    )


def play_for(performer: Performer, planned: PlannedAir) -> Performer:
    """Let the performer's plans be made for that air."""
    settings = replace(performer.settings, air=planned.air)
    return replace(performer, player=planned.player, settings=settings)


def _say_doubt(player: Player, estimate: AirEstimate) -> str:
    """Say that a long tone is believed little, and how to insist on it."""
    told = player.flow_scale
    if not player.is_flow_known or estimate.low <= told <= estimate.high:
        return ""
    return (
        f" The long tone alone says {told:.2f}, which hardly fits: time it again; "
        f"plans go by it with the option --pin {told:.2f}."
    )


def _known(player: Player, flow_scale: float) -> Player:
    """Give the player with a flow that is no longer anybody's."""
    return replace(player, flow_scale=flow_scale, is_flow_known=True)
