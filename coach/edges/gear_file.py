"""The gear and pedals that the player has chosen, in ``player.toml``."""

from __future__ import annotations

from dataclasses import asdict

from coach.config import read_player_file, read_settings, write_player_file
from coach.rehearsal.gear.gear import Fact, PedalLearned
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.rehearsal.gear.pedals import PedalKeys


def read_choice() -> GearChoice:
    """Read which gear is chosen."""
    return read_settings(GearChoice, "click", "gear")


def read_pedals() -> PedalKeys:
    """Read what each pedal means."""
    return read_settings(PedalKeys, "click", "pedals")


def write_choice(choice: GearChoice) -> None:
    """Remember which gear is chosen."""
    _write("gear", asdict(choice))


def write_pedals(pedals: PedalKeys) -> None:
    """Remember what each pedal means."""
    _write("pedals", asdict(pedals))


def keep_pedal(fact: Fact) -> PedalKeys | None:
    """Remember a pedal that was just learned; give what each means now."""
    if not isinstance(fact, PedalLearned):
        return None
    pedals = read_pedals().learned(fact.action, fact.message)
    write_pedals(pedals)
    return pedals


def _write(table: str, values: dict[str, object]) -> None:
    """Put one table of the click's into the player's file; leave all else."""
    file = read_player_file()
    click = dict(file.get("click", {}))
    click[table] = {**click.get(table, {}), **values}
    write_player_file({**file, "click": click})
