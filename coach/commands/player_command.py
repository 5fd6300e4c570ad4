"""``coach player``: show and set what the coach knows of the player."""

from __future__ import annotations

import argparse
from dataclasses import asdict, replace
from typing import Any

from coach.config import player_name
from coach.plain.air_band import band_line
from coach.plain.run_json import air_as_dict
from coach.plain.safe_json import write_json
from coach.planning.air.lungs import Player
from coach.planning.air.tongued_pairs import stroke_of
from coach.planning.player_facts import PlayerFacts, hold_tones, take_up
from coach.score.plain_text import of_player
from coach.wiring.instrument_files import describe_instrument
from coach.wiring.learned_air import PlayersAir, write_choice_of_air
from coach.wiring.open_rehearsal import open_log, wall_time
from coach.wiring.player_file import (
    change_facts,
    list_tones,
    make_player,
    pair_of,
    read_air,
    read_facts,
    write_facts,
)
from coach.wiring.who_plays.players import list_players

PERCENT = 100
MS_IN_S = 1000
OFF_S = 0.5
"""A breath is timed by hand, and ends when it ends: so far off it may well be."""


def run(arguments: argparse.Namespace) -> int:
    """Set what is given, then show the player."""
    if arguments.list:
        return _list_players()
    changes = {
        "height_cm": arguments.height_cm,
        "age": arguments.age,
        "sex": arguments.sex,
        "capacity_l": arguments.capacity_l,
    }
    facts = change_facts(read_facts(), changes)
    instrument = describe_instrument(arguments.instrument or facts.instrument)
    if arguments.instrument:
        facts = take_up(facts, instrument.name)
    tones = {
        "long_s": arguments.long_tone,
        "loud_s": arguments.loud_tone,
        "tongued_s": arguments.tongued,
        "in_twos_s": arguments.in_twos,
    }
    facts = hold_tones(replace(facts, instrument=instrument.name), instrument, **tones)
    player = make_player(facts, instrument.wind)
    _choose(arguments)
    told = (arguments.instrument, *changes.values(), *tones.values())
    if any(value is not None for value in told):
        write_facts(facts)
    with open_log(to_play=True) as log:
        air = PlayersAir(facts, instrument.name, log, instrument.wind)
    if arguments.json:
        print(write_json(_as_dict(facts, player, air)))
        return 0
    long_tone, loud_tone = instrument.long_tone.written, instrument.loud_tone.written
    if player.name:
        print(f"Player: {player.name}")
    print(f"Instrument: {instrument.title} (long tone {long_tone}, loud {loud_tone})")
    print(f"Capacity: {player.capacity_l:.2f} L, {player.capacity_from}")
    if player.lower_l < player.capacity_l:
        share = (player.lower_l / player.capacity_l - 1) * PERCENT
        print(
            f"  A guess: one in twenty healthy people has less than "
            f"{player.lower_l:.2f} L ({share:.0f} %). {_say_surer(facts, player)}"
        )
    held = list_tones(facts, instrument.wind)
    if held:
        print(
            f"Flow: {player.flow_scale:.2f} × the model's, from a long tone "
            f"of {held[0].seconds:g} s"
        )
        if held[1:]:
            step = read_air(facts, instrument.wind).loud_step_factor
            print(f"Each step of dynamics: {step:.2f} × the air, from a loud tone")
    else:
        print(f"Flow: as the model has it. Time {long_tone}, mezzo-forte, one breath:")
        print(f"  {of_player(player_name(), '--long-tone SECONDS')}")
    print(_say_tongue(facts, instrument.wind))
    print(air.estimate.says)
    print(band_line(air.estimate, air.planned.player.flow_scale))
    print(air.planned.says)
    return 0


def _say_surer(facts: PlayerFacts, player: Player) -> str:
    """Say what would make a capacity that is guessed surer."""
    told = {
        "--height-cm CM": facts.height_cm,
        "--age YEARS": facts.age,
        "--sex female": facts.sex,
    }
    missing = " ".join(option for option, value in told.items() if not value)
    if missing and any(told.values()):
        told_by = of_player(player_name(), missing)
        return f"What is still missing for a prediction: {told_by}"
    return "Measure it." if player.is_flow_known else "Measure it, or time a long tone."


def _say_tongue(facts: PlayerFacts, wind: str) -> str:
    """Say what a stroke of the tongue takes, and how surely; or how to time it."""
    air, pair = read_air(facts, wind), pair_of(facts, wind)
    stroke_s = air.tongue_stroke_s
    took = f"Tongue: a stroke takes what its note does in {stroke_s * MS_IN_S:.0f} ms"
    if pair is None:
        timed = of_player(player_name(), "--tongued SECONDS --in-twos SECONDS")
        return (
            f"{took}, as the model has it. Time sixteenths at 100 on one breath:\n"
            f"  {timed}"
        )
    least, most = (
        stroke_of(replace(pair, in_twos_s=pair.in_twos_s + off_s), air) * MS_IN_S
        for off_s in (-OFF_S, OFF_S)
    )
    return (
        f"{took}, from {pair.tongued_s:g} s tongued and {pair.in_twos_s:g} s in twos; "
        f"half a second off makes it {least:.0f} to {most:.0f} ms"
    )


def _list_players() -> int:
    """Name all who play here, or whose runs the log has."""
    with open_log() as log:
        known = {*list_players(), *filter(None, log.list_players())}
    print("Whoever plays without --as")
    for name in sorted(known, key=str.casefold):
        print(name)
    return 0


def _choose(arguments: argparse.Namespace) -> None:
    """Keep for whose air plans are to be made."""
    chosen: dict[str, str | float] = {}
    if arguments.pin is not None:
        chosen = {"flow_from": "pinned", "pinned_factor": arguments.pin}
    elif arguments.learned or arguments.table:
        chosen = {"flow_from": "learned" if arguments.learned else "table"}
    if arguments.reset_learning:
        chosen["since"] = wall_time().isoformat()
    if arguments.long_tone is not None:
        chosen["tones_on"] = wall_time().date().isoformat()
    if chosen:
        write_choice_of_air(**chosen)


def _as_dict(facts: PlayerFacts, player: Player, air: PlayersAir) -> dict[str, Any]:
    """Lay out what was said and what follows from it."""
    said = {key: value or None for key, value in asdict(facts).items()}
    return {
        "schema": 1,
        "name": player.name,
        **said,
        "capacity_l": round(player.capacity_l, 3),
        "measured_capacity_l": said["capacity_l"],
        "capacity_from": player.capacity_from,
        "lower_l": round(player.lower_l, 3),
        "flow_scale": round(player.flow_scale, 4),
        "planned_flow_scale": round(air.planned.player.flow_scale, 4),
        "air": {**air_as_dict(air.estimate), "plans": air.planned.says},
    }
